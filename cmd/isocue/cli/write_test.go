package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// eachWay runs a test with files that have no name before they are whole, where the system can, and without.
func eachWay(t *testing.T, test func(t *testing.T, dir string)) {
	t.Helper()
	for _, way := range []bool{true, false} {
		t.Run(fmt.Sprintf("nameless %v", way), func(t *testing.T) {
			nameless = way
			defer func() { nameless = true }()
			test(t, t.TempDir())
		})
	}
}

// holds wants a folder to hold these files and no others.
func holds(t *testing.T, dir string, want map[string]string) {
	t.Helper()
	es, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range es {
		b, err := os.ReadFile(filepath.Join(dir, e.Name()))
		if w, ok := want[e.Name()]; err != nil || !ok || string(b) != w {
			t.Errorf("%s holds %.40q, want %.40q (%v)", e.Name(), b, w, ok)
		}
	}
	if len(es) != len(want) {
		t.Errorf("%d files, want %d", len(es), len(want))
	}
}

const ourPlan = "{\n  \"version\": 1,\n  \"client\": \"a\"}"

// Files are new, or replace what is ours; what is another's stays, and what appears meanwhile.
func TestWriteAll(t *testing.T) {
	eachWay(t, func(t *testing.T, dir string) {
		in := func(name string) string { return filepath.Join(dir, name) }
		two := func(a, b string) []pending {
			return []pending{{name: in("calendar.ics"), data: []byte(a)}, {name: in("plan.json"), data: []byte(b)}}
		}
		if err := writeAll(two("one", ourPlan), false, nil); err != nil {
			t.Fatal(err)
		}
		holds(t, dir, map[string]string{"calendar.ics": "one", "plan.json": ourPlan})
		if err := writeAll(two("two", "x"), false, nil); err == nil || !strings.Contains(err.Error(), "calendar.ics is there and was not written by isocue") {
			t.Errorf("%v", err)
		}
		refuse := errors.New("not now")
		if err := writeAll(two("two", "x"), true, func() error { return refuse }); !errors.Is(err, refuse) {
			t.Errorf("%v", err)
		}
		holds(t, dir, map[string]string{"calendar.ics": "one", "plan.json": ourPlan})
		if err := writeAll(two("two", ourPlan+"\n"), true, nil); err != nil {
			t.Fatal(err)
		}
		holds(t, dir, map[string]string{"calendar.ics": "two", "plan.json": ourPlan + "\n"})
		// a file of somebody's appears between the look and the write
		f := pending{name: in("new.ics"), data: []byte("ours")}
		tmp, err := beside(f, true)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(f.name, []byte("theirs"), 0o600); err != nil {
			t.Fatal(err)
		}
		if err := tmp.put(f, false); !errors.Is(err, fs.ErrExist) {
			t.Errorf("%v", err)
		}
		tmp.drop()
		holds(t, dir, map[string]string{"calendar.ics": "two", "plan.json": ourPlan + "\n", "new.ics": "theirs"})
		// where one file cannot be written, none is
		if err := os.Mkdir(in("sub"), 0o700); err != nil {
			t.Fatal(err)
		}
		if err := writeAll([]pending{{name: in("a.ics"), data: []byte("a")}, {name: in("sub"), data: []byte("b")}}, true, nil); err == nil || !strings.Contains(err.Error(), "sub is not a regular file") {
			t.Errorf("%v", err)
		}
		if _, err := os.Stat(in("a.ics")); err == nil {
			t.Error("a.ics was written, though sub cannot be")
		}
	})
}

// A new file is never put over one that is there, in whatever moment that came.
func TestCreateNew(t *testing.T) {
	eachWay(t, func(t *testing.T, dir string) {
		name := filepath.Join(dir, "a.yaml")
		if err := createNew(name, []byte("a")); err != nil {
			t.Fatal(err)
		}
		if err := createNew(name, []byte("b")); err == nil || !strings.Contains(err.Error(), "is there already, allowed: a new name") {
			t.Errorf("%v", err)
		}
		holds(t, dir, map[string]string{"a.yaml": "a"})
		if err := createNew(filepath.Join(dir, "gone", "a.yaml"), []byte("a")); err == nil || strings.Contains(err.Error(), ".isocue-") {
			t.Errorf("%v", err)
		}
	})
}

// What a killed run left beside its files goes with the next one that writes there, and nothing else does.
func TestSweep(t *testing.T) {
	dir := t.TempDir()
	old := time.Now().Add(-2 * forgotten)
	for _, name := range []string{".isocue-123", ".isocue-456", ".isocue-12a", ".isocue-", "isocue-123", ".isocue-789.ics"} {
		p := filepath.Join(dir, name)
		if err := os.WriteFile(p, []byte("x"), 0o600); err != nil {
			t.Fatal(err)
		}
		if name != ".isocue-456" { // a run that is at work
			if err := os.Chtimes(p, old, old); err != nil {
				t.Fatal(err)
			}
		}
	}
	if err := os.Mkdir(filepath.Join(dir, ".isocue-999"), 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.Chtimes(filepath.Join(dir, ".isocue-999"), old, old); err != nil {
		t.Fatal(err)
	}
	if err := writeAll([]pending{{name: filepath.Join(dir, "a.ics"), data: []byte("a")}}, false, nil); err != nil {
		t.Fatal(err)
	}
	es, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, e := range es {
		names = append(names, e.Name())
	}
	if got, want := strings.Join(names, " "), ".isocue- .isocue-12a .isocue-456 .isocue-789.ics .isocue-999 a.ics isocue-123"; got != want {
		t.Errorf("left %s, want %s", got, want)
	}
}
