//go:build unix

package hostile

import (
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"
)

var reportedEntry = regexp.MustCompile(`\(entry ([a-z2-7]{8}), `)

// Two who enter at once, killed at any moment: every entry that was reported is in the diary, and what is there can be read.
func TestKilledEnter(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	put(t, dir, "clients/plover-12.yaml", text(t, "testdata/demo/client.yaml"))
	args := []string{"enter", "clients/plover-12.yaml", "symptom", "tired", "--by", "B", "--now", now}
	when := &moments{r: rand.New(rand.NewPCG(3, 9)), long: lasts(t, dir, 0, args...)}
	name := filepath.Join(dir, "clients", "plover-12.diary.yaml")
	var mu sync.Mutex
	reported, died := []string{}, 0
	rounds := kills()
	for i := 0; i < rounds || full && (len(reported) < rounds/4 || died < rounds/4) && i < 10*rounds; i++ {
		var wg sync.WaitGroup
		for range 2 {
			after := when.next()
			wg.Go(func() {
				cmd := exec.Command(program, args...)
				var out strings.Builder
				cmd.Dir, cmd.Env, cmd.Stdout = dir, []string{}, &out
				if err := cmd.Start(); err != nil {
					t.Error(err)
					return
				}
				time.Sleep(after)
				cmd.Process.Kill()
				err := cmd.Wait()
				mu.Lock()
				defer mu.Unlock()
				if m := reportedEntry.FindStringSubmatch(out.String()); m != nil {
					reported = append(reported, m[1])
				}
				if err != nil {
					died++
				}
				when.ended(err == nil)
			})
		}
		wg.Wait()
	}
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	for _, id := range reported {
		if n := strings.Count(string(b), "id: "+id+",") + strings.Count(string(b), `id: "`+id+`",`); n != 1 {
			t.Errorf("%s was reported and is there %d times", id, n)
		}
	}
	plain(t, dir, 0, args...) // which mends what was left half told
	plain(t, dir, 0, "lint", "clients/plover-12.diary.yaml", "--now", now)
	t.Logf("%d killed of %d, %d entries reported", died, 2*rounds, len(reported))
}
