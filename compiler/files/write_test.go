package files

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
func TestWrite(t *testing.T) {
	eachWay(t, func(t *testing.T, dir string) {
		in := func(name string) string { return filepath.Join(dir, name) }
		two := func(a, b string) []File {
			return []File{{Name: in("calendar.ics"), Data: []byte(a)}, {Name: in("plan.json"), Data: []byte(b)}}
		}
		if err := Write(two("one", ourPlan), Manner{Force: false}); err != nil {
			t.Fatal(err)
		}
		holds(t, dir, map[string]string{"calendar.ics": "one", "plan.json": ourPlan})
		if err := Write(two("two", "x"), Manner{Force: false}); err == nil || !strings.Contains(err.Error(), "calendar.ics is there and was not written by isocue") {
			t.Errorf("%v", err)
		}
		refuse := errors.New("not now")
		if err := Write(two("two", "x"), Manner{Force: true, May: func() error { return refuse }}); !errors.Is(err, refuse) {
			t.Errorf("%v", err)
		}
		holds(t, dir, map[string]string{"calendar.ics": "one", "plan.json": ourPlan})
		if err := Write(two("two", ourPlan+"\n"), Manner{Force: true}); err != nil {
			t.Fatal(err)
		}
		holds(t, dir, map[string]string{"calendar.ics": "two", "plan.json": ourPlan + "\n"})
		// a file of somebody's appears between the look and the write
		f := File{Name: in("new.ics"), Data: []byte("ours")}
		tmp, err := beside(f, true)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(f.Name, []byte("theirs"), 0o600); err != nil {
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
		if err := Write([]File{{Name: in("a.ics"), Data: []byte("a")}, {Name: in("sub"), Data: []byte("b")}}, Manner{Force: true}); err == nil || !strings.Contains(err.Error(), "sub is not a regular file") {
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
		if err := CreateNew(name, []byte("a")); err != nil {
			t.Fatal(err)
		}
		if err := CreateNew(name, []byte("b")); err == nil || !strings.Contains(err.Error(), "is there already, allowed: a new name") {
			t.Errorf("%v", err)
		}
		holds(t, dir, map[string]string{"a.yaml": "a"})
		if err := CreateNew(filepath.Join(dir, "gone", "a.yaml"), []byte("a")); err == nil || strings.Contains(err.Error(), ".isocue-") {
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
	if err := Write([]File{{Name: filepath.Join(dir, "a.ics"), Data: []byte("a")}}, Manner{}); err != nil {
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
