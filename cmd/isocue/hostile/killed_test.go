//go:build unix

package hostile

import (
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// kills is how often a run is killed.
func kills() int {
	if full {
		return 100
	}
	return 2
}

// goesOn says whether to kill once more: as often as that, and in full until kills have met the work both done and not, however
// badly the machine keeps time.
func goesOn(i int, met bool) bool { return i < kills() || full && !met && i < 20*kills() }

// moments picks when to kill: any time up to as long as a run takes. A run that ended first, or was killed long before it began
// to write, moves that bound, at first by much, for the run by which it was measured may have met a busy machine; so the kills stay
// about the work whatever else the machine does.
type moments struct {
	r    *rand.Rand
	long time.Duration
	told int
}

func (m *moments) next() time.Duration { return m.long/3 + time.Duration(m.r.Int64N(int64(m.long))) }

func (m *moments) ended(all bool) {
	by := 1.05 + 0.6*math.Pow(0.8, float64(m.told))
	m.told++
	if all {
		by = 1 / by
	}
	m.long = time.Duration(float64(m.long) * by)
}

// killed starts the program and kills it after a moment, unless it has ended.
func killed(t *testing.T, dir string, after time.Duration, args ...string) {
	t.Helper()
	cmd := exec.Command(program, args...)
	cmd.Dir, cmd.Env = dir, []string{}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	time.Sleep(after)
	cmd.Process.Kill()
	cmd.Wait() // the error is the kill
}

// plain runs the program to its end and wants an exit code.
func plain(t testing.TB, dir string, code int, args ...string) outcome {
	t.Helper()
	o := call{dir: dir, args: args}.run(t)
	if o.code != code {
		t.Fatalf("%v: exit code %d, want %d\n%s%s", args, o.code, code, o.out, o.err)
	}
	return o
}

func lasts(t testing.TB, dir string, code int, args ...string) time.Duration {
	t.Helper()
	began := time.Now()
	if o := (call{dir: dir, args: args}).process(t); o.code != code {
		t.Fatalf("%v: exit code %d\n%s%s", args, o.code, o.out, o.err)
	}
	return time.Since(began)
}

// pack is what a folder given to --pack holds: "" for what is not there. What lies beside is told apart.
type pack struct{ calendar, sheet, page, plan string }

// has says whether b is one of its files, whole.
func (p pack) has(b string) bool {
	return b == p.calendar || b == p.sheet || b == p.page || b == p.plan || wholeSound(b)
}

// wholeSound says whether a RIFF file is as long as its head says.
func wholeSound(b string) bool {
	return len(b) > 44 && strings.HasPrefix(b, "RIFF") && len(b) == 8+int(binary.LittleEndian.Uint32([]byte(b[4:8])))
}

func packOf(t testing.TB, dir string) (p pack, beside []string) {
	t.Helper()
	es, err := os.ReadDir(dir)
	if os.IsNotExist(err) {
		return p, nil
	}
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range es {
		b, err := os.ReadFile(filepath.Join(dir, e.Name()))
		if err != nil {
			t.Fatal(err)
		}
		switch e.Name() {
		case "calendar.ics":
			p.calendar = string(b)
		case "handout.html":
			p.sheet = string(b)
		case "session.html":
			p.page = string(b)
		case "plan.json":
			p.plan = string(b)
		default:
			if strings.HasPrefix(e.Name(), "sound-") { // the same in every plan of a protocol, and first in the order
				if !wholeSound(string(b)) {
					t.Errorf("%s is not whole", e.Name())
				}
				continue
			}
			if !strings.HasPrefix(e.Name(), ".isocue-") {
				t.Errorf("%s holds %s", dir, e.Name())
			}
			beside = append(beside, string(b))
		}
	}
	return p, beside
}

var (
	first  = []string{"compile", "handgrip-alternating", "slow-breathing-even", "--client", "", "--start", "2027-01-04", "--now", now, "--pack", "pack"}
	second = []string{"compile", "handgrip-alternating", "slow-breathing-even", "--client", "", "--previous", "pack/plan.json", "--pause", "2027-02-01..2027-02-09", "--now", "2027-01-20T09:00:00Z", "--pack", "pack"}
)

// forDemo fills in the client record.
func forDemo(args []string) []string {
	out := append([]string{}, args...)
	for i := range out {
		if out[i] == "--client" {
			out[i+1] = demo()
		}
	}
	return out
}

// states are the packs that a killed run may leave, in the order of its work: each file whole, the plan last.
func states(t testing.TB) (fresh, again []pack) {
	t.Helper()
	dir := t.TempDir()
	plain(t, dir, 0, forDemo(first)...)
	one, _ := packOf(t, filepath.Join(dir, "pack"))
	plain(t, dir, 0, forDemo(second)...)
	two, _ := packOf(t, filepath.Join(dir, "pack"))
	if one.plan == "" || one.calendar == "" || one.sheet == "" || one.page == "" || two.plan == one.plan || two.calendar == one.calendar || two.sheet == one.sheet || two.page == one.page {
		t.Fatal("the two packs do not differ")
	}
	return onTheWay(pack{}, one), onTheWay(one, two)
}

// at is which of some states a folder is in; -1 is none of them, which is half a file, or files that do not go together.
func at(p pack, of []pack) int {
	for i, s := range of {
		if p == s {
			return i
		}
	}
	return -1
}

// onTheWay are the states from one pack to another, as its files are put into their places one after the other.
func onTheWay(a, b pack) []pack {
	return []pack{a, {b.calendar, a.sheet, a.page, a.plan}, {b.calendar, b.sheet, a.page, a.plan}, {b.calendar, b.sheet, b.page, a.plan}, b}
}

// A compile into a pack, killed at any moment, leaves what was there, or each file whole with the plan last; run again, it leaves
// the whole. Nothing half written lies beside, where the system can keep a file without a name.
func TestKilledCompile(t *testing.T) {
	t.Parallel()
	fresh, again := states(t)
	when := &moments{r: rand.New(rand.NewPCG(7, 11)), long: lasts(t, t.TempDir(), 0, forDemo(first)...)}
	seen := map[string]int{}
	for i := 0; goesOn(i, len(seen) > 1); i++ {
		dir := t.TempDir()
		args, of := first, fresh
		if i%2 == 1 {
			plain(t, dir, 0, forDemo(first)...)
			args, of = second, again
		}
		folder := filepath.Join(dir, "pack")
		killed(t, dir, when.next(), forDemo(args)...)
		p, beside := packOf(t, folder)
		state := at(p, of)
		if state < 0 {
			t.Fatalf("kill %d left a calendar of %d bytes beside a plan of %d", i, len(p.calendar), len(p.plan))
		}
		seen[fmt.Sprintf("%d of 4 files new", state)]++
		when.ended(state == 4)
		for _, b := range beside {
			if seen["a whole file beside"]++; !of[4].has(b) {
				t.Errorf("kill %d left %d bytes of a file beside", i, len(b))
			}
		}
		plain(t, dir, 0, forDemo(args)...)
		if p, _ := packOf(t, folder); at(p, of) != 4 {
			t.Fatalf("run again after kill %d: state %d", i, at(p, of))
		}
	}
	t.Logf("kills: %v", seen)
	if full && len(seen) < 2 {
		t.Errorf("every kill left the same: %v", seen)
	}
}

// A lint that records, killed at any moment, leaves a ledger that tells of all its files or of none, with a chain that holds; run
// again, it tells of all, each once.
func TestKilledRecord(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	record := []string{"lint", "files", "--record", "ledger.jsonl", "--by", "B", "--now", now}
	for i := range 30 {
		put(t, dir, fmt.Sprintf("files/p%02d.yaml", i), fmt.Sprintf("id: p%d\ntitle: P\nrevision: 1\nmodality: handgrip\nload: {fraction: 0.95}\nholdSeconds: 120\nrestSeconds: 2\n"+
			"rounds: 50\nhands: alternate\ndaysPerWeek: 3\nsessionsPerDay: 1\nweeks: 90\n", i))
	}
	lines := func() int {
		var out struct {
			Lines []struct{ File string }
			Torn  bool
		}
		o := plain(t, dir, 0, "ledger", "ledger.jsonl", "--format", "json")
		if err := json.Unmarshal([]byte(o.out), &out); err != nil {
			t.Fatal(err)
		}
		return len(out.Lines)
	}
	ledger := filepath.Join(dir, "ledger.jsonl")
	when := &moments{r: rand.New(rand.NewPCG(13, 17)), long: lasts(t, dir, 1, record...)}
	all := lines()
	if all < 60 {
		t.Fatalf("the run is told in %d lines only", all)
	}
	seen := map[string]int{}
	for i := 0; goesOn(i, seen["all told"] > 0 && len(seen) > 1); i++ {
		had := 0
		if err := os.Remove(ledger); err != nil && !os.IsNotExist(err) {
			t.Fatal(err)
		}
		if i%2 == 1 { // a ledger that tells of something already
			plain(t, dir, 0, "lint", "handgrip-alternating", "--record", "ledger.jsonl", "--by", "B", "--now", now)
			had = 1
		}
		killed(t, dir, when.next(), record...)
		told := seen["all told"]
		switch _, err := os.Stat(ledger); {
		case os.IsNotExist(err):
			seen["no ledger"]++
		default:
			switch n := lines(); n {
			case had:
				seen["nothing told"]++
			case had + all:
				seen["all told"]++
			default:
				t.Fatalf("kill %d: %d lines, want %d or %d", i, n, had, had+all)
			}
		}
		when.ended(seen["all told"] > told)
		plain(t, dir, 1, record...)
		if n := lines(); n != had+all {
			t.Fatalf("run again after kill %d: %d lines, want %d", i, n, had+all)
		}
	}
	t.Logf("kills: %v", seen)
	if full && (seen["all told"] == 0 || len(seen) < 2) {
		t.Errorf("every kill left the same: %v", seen)
	}
}
