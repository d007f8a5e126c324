//go:build unix

package clinic

import (
	"os"
	"path/filepath"
	"testing"

	"isocue.example/compiler/files"
	"isocue.example/compiler/report/plans"
)

// Before a worker waits for a folder, it clears its own shelf: what it waits for may lie there, or with somebody who waits for it.
func TestShelfIsClearedBeforeWaiting(t *testing.T) {
	dir := t.TempDir()
	d, told := newDesk(), 0
	busy := func() {
		d.clear(func(_ int, row plans.RosterRow) {
			if told++; row.Outcome != plans.RosterCompiled {
				t.Errorf("%+v", row)
			}
		})
	}
	for _, text := range []string{"one", "two", "three"} { // the same folder, as by two ids whose folders are links to one
		w, err := files.Prepare([]files.File{{Name: filepath.Join(dir, "calendar.ics"), Data: []byte(text)}}, files.Manner{Force: true, Later: files.TogetherMost > 1, Busy: busy})
		if err != nil {
			t.Fatal(err)
		}
		d.shelf = append(d.shelf, shelved{row: plans.RosterRow{Outcome: plans.RosterCompiled}, writing: w})
	}
	if told != 2 {
		t.Errorf("%d were told before the last, want 2", told)
	}
	busy()
	es, err := os.ReadDir(dir)
	if b, rerr := os.ReadFile(filepath.Join(dir, "calendar.ics")); err != nil || rerr != nil || len(es) != 1 || string(b) != "three" {
		t.Errorf("%q, %d files, %v, %v", b, len(es), err, rerr)
	}
}
