//go:build unix

package hostile

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A roster, killed at any moment, leaves each client's pack as a compile does: what was there, or each file whole with the plan last;
// its two lists are whole or not there. Run again, it finishes, and every pack is the one of a run that was never killed. Half of the
// runs begin with nothing, half follow packs that an earlier run made otherwise.
func TestKilledRoster(t *testing.T) { // not beside the others, which time their kills: it takes every processor
	clients := 6
	if full {
		clients = 30
	}
	src, err := os.ReadFile(demo())
	if err != nil {
		t.Fatal(err)
	}
	clinic := t.TempDir()
	for i := range clients {
		put(t, clinic, fmt.Sprintf("clients/%02d.yaml", i), strings.ReplaceAll(string(src), "plover-12", fmt.Sprintf("plover-%d", i)))
	}
	args := []string{"roster", "handgrip-alternating", "--clients", filepath.Join(clinic, "clients"), "--start", "2027-01-04", "--now", now, "--pack", "packs"}
	other := append(append([]string{}, args...), "--reviews=false")
	packs := func(dir string) (out []pack) {
		for i := range clients {
			p, _ := packOf(t, filepath.Join(dir, "packs", fmt.Sprint("plover-", i)))
			out = append(out, p)
		}
		return out
	}
	once := t.TempDir()
	when := &moments{r: rand.New(rand.NewPCG(19, 23)), long: lasts(t, once, 0, args...)}
	fresh := packs(once)
	twice := t.TempDir()
	plain(t, twice, 0, other...)
	before := packs(twice)
	plain(t, twice, 0, args...)
	after := packs(twice)
	if before[0] == after[0] || fresh[0] == after[0] {
		t.Fatal("the packs do not differ")
	}
	seen := map[string]int{}
	for i := 0; goesOn(i, seen["some done"] > 0); i++ {
		dir, old, want := t.TempDir(), make([]pack, clients), fresh
		if i%2 == 1 {
			plain(t, dir, 0, other...)
			old, want = before, after
		}
		killed(t, dir, when.next(), args...)
		done := 0
		for k, p := range packs(dir) {
			switch at(p, onTheWay(old[k], want[k])) {
			case 4:
				done++
			case -1:
				t.Fatalf("kill %d left plover-%d with a calendar of %d bytes beside a plan of %d", i, k, len(p.calendar), len(p.plan))
			}
		}
		listed := lists(t, filepath.Join(dir, "packs"))
		over := done == clients && listed == clients
		when.ended(over)
		switch {
		case done == 0:
			seen["none done"]++
		case done < clients:
			seen["some done"]++
		default:
			seen["all done"]++
		}
		plain(t, dir, 0, args...)
		for k, p := range packs(dir) {
			if p != want[k] {
				t.Fatalf("run again after kill %d: the pack of plover-%d is not that of a run that was not killed", i, k)
			}
		}
		if n := lists(t, filepath.Join(dir, "packs")); n != clients {
			t.Fatalf("run again after kill %d: %d clients listed, want %d", i, n, clients)
		}
	}
	t.Logf("kills: %v", seen)
	if full && seen["some done"] == 0 {
		t.Errorf("no run was killed in its midst: %v", seen)
	}
}

// lists holds roster.csv and roster.json to their form and says how many clients they list; 0 where they are not there.
func lists(t testing.TB, dir string) int {
	t.Helper()
	var out struct {
		Version int
		Clients []struct{ ID string }
	}
	src, err := os.ReadFile(filepath.Join(dir, "roster.json"))
	if os.IsNotExist(err) {
		return 0
	}
	if err == nil {
		err = json.Unmarshal(src, &out)
	}
	if err != nil || out.Version != 1 {
		t.Fatalf("roster.json: %v, version %d", err, out.Version)
	}
	f, err := os.Open(filepath.Join(dir, "roster.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if rows, err := csv.NewReader(f).ReadAll(); err != nil || len(rows) < 2 {
		t.Fatalf("roster.csv: %v, %d rows", err, len(rows))
	}
	return len(out.Clients)
}
