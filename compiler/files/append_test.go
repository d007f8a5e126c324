package files

import (
	"bufio"
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
)

// full says that the tag full is given; its counts are those of `.ci/run`.
var full bool

func kept(name string) Growing { return Growing{Name: name, What: "list", Most: 4 << 20} }

// behind adds a line behind the last whole one.
func behind(line string) func([]byte) (Addition, error) {
	return func(have []byte) (Addition, error) {
		return Addition{End: bytes.LastIndexByte(have, '\n') + 1, Text: []byte(line + "\n")}, nil
	}
}

func TestAppend(t *testing.T) {
	dir := t.TempDir()
	name := filepath.Join(dir, "a")
	for i, c := range []struct{ have, want, why string }{
		{"", "x\n", "it is made"}, {"one\n", "one\nx\n", "behind"}, {"one\ntw", "one\nx\n", "what was left half told is mended"},
	} {
		if i > 0 {
			if err := os.WriteFile(name, []byte(c.have), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		if err := Append(kept(name), behind("x")); err != nil {
			t.Fatal(c.why, err)
		}
		if b, _ := os.ReadFile(name); string(b) != c.want {
			t.Errorf("%s: %q", c.why, b)
		}
	}
	// nothing to add leaves the bytes as they are, and so does an error
	for _, next := range []func([]byte) (Addition, error){
		func([]byte) (Addition, error) { return Addition{}, nil },
		func([]byte) (Addition, error) { return Addition{Text: []byte("y")}, fmt.Errorf("no") },
	} {
		err := Append(kept(name), next)
		if b, _ := os.ReadFile(name); string(b) != "one\nx\n" {
			t.Errorf("%q, %v", b, err)
		}
	}
	small := kept(name)
	small.Most = 7
	if err := Append(small, behind("xyz")); err == nil || !strings.Contains(err.Error(), "at most 7") {
		t.Error(err)
	}
	for _, none := range []string{dir, filepath.Join(dir, "none", "a")} {
		if err := Append(kept(none), behind("x")); err == nil {
			t.Errorf("%s was written", none)
		}
	}
}

// An editor saves by putting a new file in the place of the old: what was added meanwhile is added to the new one too.
func TestAppendMeetsAnotherFile(t *testing.T) {
	name := filepath.Join(t.TempDir(), "a")
	asked := 0
	err := Append(kept(name), func(have []byte) (Addition, error) {
		if asked++; asked < 3 {
			other := name + ".new"
			if err := os.WriteFile(other, []byte("saved\n"), 0o600); err != nil {
				return Addition{}, err
			}
			if err := os.Rename(other, name); err != nil {
				return Addition{}, err
			}
		}
		return behind("x")(have)
	})
	if b, _ := os.ReadFile(name); err != nil || string(b) != "saved\nx\n" || asked != 3 {
		t.Errorf("%q after %d, %v", b, asked, err)
	}
	err = Append(kept(name), func(have []byte) (Addition, error) {
		os.Remove(name)
		return behind("x")(have)
	})
	if err == nil || !strings.Contains(err.Error(), "again and again") {
		t.Error(err)
	}
}

// Two writers at once, each killed in the middle of its work, again and again: every line that was reported is there, each once, and
// none is mixed with another.
func TestKilledWriters(t *testing.T) {
	if name := os.Getenv("ISOCUE_LIST"); name != "" {
		for i := range 100_000 {
			line := fmt.Sprintf("%s/%d %s", os.Getenv("ISOCUE_WRITER"), i, strings.Repeat("x", 50*(i%9)))
			if err := Append(kept(name), behind(line)); err != nil {
				os.Exit(3)
			}
			fmt.Println(line)
		}
		os.Exit(0)
	}
	rounds := 3
	if full {
		rounds = 100 // of two writers
	}
	name := filepath.Join(t.TempDir(), "list")
	var mu sync.Mutex
	reported := map[string]bool{}
	for round := range rounds {
		var wg sync.WaitGroup
		for w := range 2 {
			wg.Go(func() {
				cmd := exec.Command(os.Args[0], "-test.run", "^TestKilledWriters$")
				cmd.Env = append(os.Environ(), "ISOCUE_LIST="+name, fmt.Sprintf("ISOCUE_WRITER=w%d-%d", round, w))
				out, err := cmd.StdoutPipe()
				if err == nil {
					err = cmd.Start()
				}
				if err != nil {
					t.Error(err)
					return
				}
				// The kill comes once some lines were reported, however long that takes; what is reported until it arrives counts too.
				lines := bufio.NewScanner(out)
				for n := 0; lines.Scan(); n++ {
					if n == 3+(round+w)%7 {
						cmd.Process.Kill()
					}
					mu.Lock()
					reported[lines.Text()] = true
					mu.Unlock()
				}
				cmd.Wait() // the error is the kill
			})
		}
		wg.Wait()
	}
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	for l := range strings.Lines(string(b)) {
		whole := strings.HasSuffix(l, "\n")
		l = strings.TrimSuffix(l, "\n")
		if seen[l] || whole && !strings.HasPrefix(l, "w") || strings.Count(l, "/") > 1 {
			t.Errorf("%q is there twice, or mixed with another", l)
		}
		seen[l] = true
	}
	for l := range reported {
		if !seen[l] {
			t.Errorf("%q was reported and is gone", l)
		}
	}
	if len(reported) < 6*rounds {
		t.Errorf("only %d lines were written before the kills", len(reported))
	}
	t.Logf("%d kills, %d lines reported, all there", 2*rounds, len(reported))
}
