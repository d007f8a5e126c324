package ledger

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"isocue.example/compiler/finding"
)

func line(n int) Line {
	return Line{Time: "2027-01-03T09:00:00Z", File: fmt.Sprintf("%d.cue", n), Digest: fmt.Sprint(n), Rule: "r", Verdict: "unsafe", Base: "v0.1", By: "t"}
}

func listed(name string) ([]Line, bool, error) {
	b, err := Read(name)
	return b.Lines, b.Torn(), err
}

// Every change of a judgement is a line, in either direction, and what is judged as before is none, whoever judges.
func TestEveryChangeIsALine(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "ledger")
	name := filepath.Join(t.TempDir(), "l.jsonl")
	says := func(at, verdict, policy string) []Line {
		l := line(1)
		l.Time, l.Verdict, l.Policy = at, verdict, policy
		return []Line{l}
	}
	for i, c := range []struct {
		by string
		Line
		want int
	}{
		{"L. Coach", says("2027-01-03T09:00:00Z", "accepted", "")[0], 1},
		{"L. Coach", says("2027-01-04T09:00:00Z", "accepted", "")[0], 0},
		{"M. Osei", says("2027-01-05T09:00:00Z", "accepted", "")[0], 0},
		{"M. Osei", says("2027-01-06T09:00:00Z", "unsafe", "tight")[0], 1},
		{"L. Coach", says("2027-01-07T09:00:00Z", "unsafe", "tight")[0], 0},
		{"L. Coach", says("2027-01-08T09:00:00Z", "accepted", "")[0], 1},
		{"M. Osei", says("2027-01-09T09:00:00Z", "accepted", "other")[0], 1},
	} {
		for _, ledger := range []string{dir, name} {
			if n, err := Append(ledger, c.by, []Line{c.Line}); err != nil || n != c.want {
				t.Errorf("%d: %d lines, %v, want %d", i, n, err, c.want)
			}
		}
	}
	b, err := Read(dir)
	if err != nil || len(b.Chains) != 2 || len(b.Lines) != 4 {
		t.Fatalf("%+v %v", b, err)
	}
	if got := b.Lines[1].Verdict + b.Lines[2].Verdict; got != "unsafeaccepted" {
		t.Errorf("the lines are not in the order of time: %s", got)
	}
	for _, c := range b.Chains { // a digest that was kept shows lines dropped from the end
		if !b.Holds(c.Last) || b.Holds("") {
			t.Errorf("%s: %v, and an empty digest: %v", c.File, b.Holds(c.Last), b.Holds(""))
		}
		text, _ := os.ReadFile(c.File)
		all := bytes.SplitAfter(text, []byte("\n"))
		if err := os.WriteFile(c.File, bytes.Join(all[:len(all)-2], nil), 0o600); err != nil {
			t.Fatal(err)
		}
		if less, err := Read(dir); less.Holds(c.Last) || err != nil {
			t.Errorf("%s: a line was dropped from the end and nobody sees it: %v", c.File, err)
		}
	}
}

func TestChain(t *testing.T) {
	name := filepath.Join(t.TempDir(), "l.jsonl")
	for i := range 3 {
		if n, err := Append(name, "", []Line{line(i), line(i + 1)}); err != nil || n != map[bool]int{true: 2, false: 1}[i == 0] {
			t.Fatal(n, err)
		}
	}
	ls, torn, err := listed(name)
	if err != nil || torn || len(ls) != 4 || ls[0].Prev != "" || ls[1].Prev == "" {
		t.Fatal(ls, torn, err)
	}
	good, _ := os.ReadFile(name)
	lines := strings.SplitAfter(string(good), "\n")
	for why, text := range map[string]string{
		"changed": strings.Replace(string(good), `"unsafe"`, `"accepted"`, 1),
		"dropped": lines[0] + lines[2] + lines[3],
		"put in":  lines[0] + lines[0] + lines[1] + lines[2] + lines[3],
		"swapped": lines[1] + lines[0] + lines[2] + lines[3],
		"garbage": lines[0] + "hello\n" + lines[1],
	} {
		if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		var b *Broken
		if _, _, err := listed(name); !errors.As(err, &b) {
			t.Errorf("%s: %v", why, err)
		}
		if _, err := Append(name, "", []Line{line(9)}); err == nil {
			t.Errorf("%s: a broken ledger was written on", why)
		}
		if after, _ := os.ReadFile(name); string(after) != text {
			t.Errorf("%s: a broken ledger was changed", why)
		}
	}
	// a torn last line was never reported as written: it is told, and mended by the next writer
	if err := os.WriteFile(name, good[:len(good)-9], 0o600); err != nil {
		t.Fatal(err)
	}
	if ls, torn, err := listed(name); err != nil || !torn || len(ls) != 3 {
		t.Error(len(ls), torn, err)
	}
	if n, err := Append(name, "", []Line{line(3)}); err != nil || n != 1 {
		t.Error(n, err)
	}
	if after, _ := os.ReadFile(name); !bytes.Equal(after, good) {
		t.Error("mending gave other bytes")
	}
}

// A run is told whole or not at all: wherever the file was cut off, the runs before the cut are read and what is left of the cut
// one is not; the next writer takes it away.
func TestCutAnywhere(t *testing.T) {
	dir := t.TempDir()
	name := filepath.Join(dir, "l.jsonl")
	var ends []int // of each run
	for _, run := range [][]Line{{line(1)}, {line(2), line(3), line(4)}, {line(5), line(6)}} {
		if n, err := Append(name, "", run); err != nil || n != len(run) {
			t.Fatal(n, err)
		}
		b, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		ends = append(ends, len(b))
	}
	whole, _ := os.ReadFile(name)
	lines := map[int]int{0: 0, ends[0]: 1, ends[1]: 4, ends[2]: 6}
	for at := range whole {
		last := 0
		for _, e := range ends {
			if e <= at {
				last = e
			}
		}
		cut := filepath.Join(dir, "cut.jsonl")
		if err := os.WriteFile(cut, whole[:at], 0o600); err != nil {
			t.Fatal(err)
		}
		ls, torn, err := listed(cut)
		if err != nil || len(ls) != lines[last] || torn != (at > last) {
			t.Fatalf("cut at byte %d: %d lines, torn %v, %v; want %d, %v", at, len(ls), torn, err, lines[last], at > last)
		}
		if at%7 > 0 { // each is a sync
			continue
		}
		if n, err := Append(cut, "", []Line{line(9)}); err != nil || n != 1 {
			t.Fatal(n, err)
		}
		if after, _ := os.ReadFile(cut); !bytes.HasPrefix(after, whole[:last]) || bytes.Count(after, []byte("\n")) != lines[last]+1 {
			t.Fatalf("cut at byte %d, then written on: %s", at, after)
		}
	}
	// a run told in part in the middle is no accident: only somebody who edits the file leaves that
	part := bytes.SplitAfter(whole, []byte("\n"))
	text := bytes.Join([][]byte{part[0], part[1]}, nil)
	var l Line
	if err := json.Unmarshal(part[5], &l); err != nil {
		t.Fatal(err)
	}
	l.Prev = hash(bytes.TrimSuffix(part[1], []byte("\n")))
	j, err := json.Marshal(l)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, append(append(text, j...), '\n'), 0o600); err != nil {
		t.Fatal(err)
	}
	var b *Broken
	if _, _, err := listed(name); !errors.As(err, &b) || b.Line != 3 {
		t.Error(err)
	}
}

// The same line twice in one run is one line, and a ledger is a regular file of a bounded size.
func TestWhatIsNoLedger(t *testing.T) {
	dir := t.TempDir()
	name := filepath.Join(dir, "l.jsonl")
	if n, err := Append(name, "", []Line{line(1), line(1), line(2)}); err != nil || n != 2 {
		t.Error(n, err)
	}
	if _, _, err := listed(os.DevNull); err == nil || !strings.Contains(err.Error(), "is not a regular file") {
		t.Error(err)
	}
	if _, err := Append(os.DevNull, "", []Line{line(1)}); err == nil || !strings.Contains(err.Error(), "is not a regular file") {
		t.Error(err)
	}
	// a file that somebody else wrote is not a ledger that was cut off, even without a line's end
	for _, text := range []string{"notes", "{", `{"a": 1}`, `{"time`, "{\n", "\n", "{}\n", "{\"password\": \"x\"}\n", "[]\n", "null\n"} {
		other := filepath.Join(dir, "other")
		if err := os.WriteFile(other, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		_, err := Append(other, "", []Line{line(1)})
		b, _ := os.ReadFile(other)
		if begun := strings.HasPrefix(`{"time":"`, text); begun != (err == nil) || !begun && string(b) != text {
			t.Errorf("%q became %q, %v", text, b, err)
		}
	}
	if err := os.Truncate(name, MaxBytes+1); err != nil {
		t.Fatal(err)
	}
	if _, _, err := listed(name); err == nil || !strings.Contains(err.Error(), "keep it, and begin a new one") {
		t.Error(err)
	}
	if _, err := Append(name, "", []Line{line(3)}); err == nil || !strings.Contains(err.Error(), "keep it, and begin a new one") {
		t.Error(err)
	}
}

func TestOf(t *testing.T) {
	head := line(1)
	head.Rule, head.Verdict = "", ""
	reject := finding.Finding{Rule: "a", Verdict: finding.Unsafe, Found: "0.9", Protocol: "p", Revision: 2}
	private := finding.Finding{Rule: "b", Verdict: finding.Unsafe, Found: "182", Private: true}
	waived := finding.Finding{Rule: "c", Verdict: finding.OutOfEvidence, Waiver: finding.Waiver{By: "B", Until: "2027-07-01", Reason: "r"}}
	caution := finding.Finding{Rule: "d", Verdict: finding.Caution}
	for _, c := range []struct {
		fs   []finding.Finding
		want string
	}{
		{nil, "accepted::"}, {[]finding.Finding{caution}, "accepted::"}, {[]finding.Finding{reject, caution}, "unsafe:a:0.9"},
		{[]finding.Finding{private}, "unsafe:b:"}, {[]finding.Finding{waived}, "waived:c:"}, {[]finding.Finding{reject, waived}, "unsafe:a:0.9 waived:c:"},
	} {
		var got []string
		for _, l := range Of(head, c.fs) {
			got = append(got, l.Verdict+":"+l.Rule+":"+l.Found)
		}
		if strings.Join(got, " ") != c.want {
			t.Errorf("%v, want %s", got, c.want)
		}
	}
}

// Writers at once lose nothing: each line of each is there once, in one chain.
func TestWritersAtOnce(t *testing.T) {
	name := filepath.Join(t.TempDir(), "l.jsonl")
	var wg sync.WaitGroup
	for w := range 4 {
		wg.Go(func() {
			for i := range 25 {
				if n, err := Append(name, "", []Line{line(1000*w + i)}); err != nil || n != 1 {
					t.Error(n, err)
				}
			}
		})
	}
	wg.Wait()
	if ls, torn, err := listed(name); err != nil || torn || len(ls) != 100 {
		t.Error(len(ls), torn, err)
	}
}

// full says that the tag full is given; its counts are those of `.ci/run`.
var full bool

// Writers who begin one ledger at once each write into it: that another was first is no link to nowhere.
func TestWritersBeginAtOnce(t *testing.T) {
	dir := t.TempDir()
	rounds := 60
	if full {
		rounds = 400
	}
	for r := range rounds {
		name := filepath.Join(dir, fmt.Sprint(r))
		var wg sync.WaitGroup
		for w := range 4 {
			wg.Go(func() {
				if n, err := Append(name, "", []Line{line(w)}); err != nil || n != 1 {
					t.Error(n, err)
				}
			})
		}
		wg.Wait()
	}
}

// A writer killed in the middle of a thousand writes, again and again: the chain verifies, and every line that was reported
// as written is there.
func TestKilledWriters(t *testing.T) {
	if name := os.Getenv("ISOCUE_LEDGER_WRITER"); name != "" {
		for i := range 1000 {
			l := line(i)
			l.File = os.Getenv("ISOCUE_LEDGER_ROUND")
			l.Digest = l.File + "/" + fmt.Sprint(i)
			if _, err := Append(name, "", []Line{l}); err != nil {
				os.Exit(3)
			}
			fmt.Println(l.Digest)
		}
		os.Exit(0)
	}
	name := filepath.Join(t.TempDir(), "l.jsonl")
	reported := map[string]bool{}
	rounds := 4
	if full {
		rounds = 12
	}
	for round := range rounds {
		cmd := exec.Command(os.Args[0], "-test.run", "^TestKilledWriters$")
		cmd.Env = append(os.Environ(), "ISOCUE_LEDGER_WRITER="+name, fmt.Sprintf("ISOCUE_LEDGER_ROUND=%d", round))
		out, err := cmd.StdoutPipe()
		if err == nil {
			err = cmd.Start()
		}
		if err != nil {
			t.Fatal(err)
		}
		// The kill comes once some lines were reported, however long that takes; what is reported until it arrives counts too.
		lines := bufio.NewScanner(out)
		for n := 0; lines.Scan(); n++ {
			if n == 5+3*round {
				cmd.Process.Kill()
			}
			if d := lines.Text(); strings.Contains(d, "/") {
				reported[d] = true
			}
		}
		cmd.Wait()
		ls, _, err := listed(name)
		if err != nil && !strings.Contains(err.Error(), "no such ledger") {
			t.Fatal(err)
		}
		have := map[string]bool{}
		for _, l := range ls {
			have[l.Digest] = true
		}
		for d := range reported {
			if !have[d] {
				t.Fatalf("round %d: %s was reported as written and is gone", round, d)
			}
		}
	}
	if len(reported) < 20 {
		t.Errorf("only %d lines were written before the kills", len(reported))
	}
	t.Logf("%d kills, %d lines reported as written, all there", rounds, len(reported))
}
