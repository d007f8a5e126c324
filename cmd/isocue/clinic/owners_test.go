package clinic

import (
	"path/filepath"
	"strings"
	"testing"
)

// A log belongs to the record whose id it is named by; one that only seems to be somebody's is told, and by the name that it should
// have.
func TestOwners(t *testing.T) {
	records := []holder{{file: "c/dara.yaml", id: "plover-12"}, {file: "c/heron-07.yaml", id: "heron-07"}, {file: "c/heron-07-b.yaml", id: "heron-07-b"},
		{file: "c/swapped.yaml", id: "broken"}, {file: "c/broken.yaml"}, {file: "d/far.yaml", id: "far-1"}}
	for _, c := range []struct {
		log, owner string // the file of the record whose it is, or seems to be; "" for nobody
		told       string // "" where it is read
		why        string
	}{
		{"c/plover-12.log.csv", "c/dara.yaml", "", "a record is known by its id, whatever its file is called"},
		{"c/Plover-12.LOG.CSV", "c/dara.yaml", "", "capitals are no other name"},
		{"c/plover-12.sessions.csv", "c/dara.yaml", "", "the session log likewise"},
		{"c/plover-12.diary.yaml", "c/dara.yaml", "", "a diary likewise"},
		{"c/dara.log.csv", "c/dara.yaml", "allowed: plover-12.log.csv", "named after the file"},
		{"c/Dara.sessions.csv", "c/dara.yaml", "allowed: plover-12.sessions.csv", "the right ending is told"},
		{"c/dara.diary.yaml", "c/dara.yaml", "allowed: plover-12.diary.yaml", "a diary too"},
		{"c/heron-07.diary.yml", "c/heron-07.yaml", "allowed: heron-07.diary.yaml", "entries are added under one name, so that one name is read"},
		{"c/heron-07.diary (1).yaml", "c/heron-07.yaml", "allowed: heron-07.diary.yaml", "a copy of a diary"},
		{"c/heron-07 (1).log.csv", "c/heron-07.yaml", "allowed: heron-07.log.csv", "a browser's copy"},
		{"c/heron-07.log (Kopie).csv", "c/heron-07.yaml", "allowed: heron-07.log.csv", "a file manager's copy"},
		{"c/heron-07_log.csv", "c/heron-07.yaml", "allowed: heron-07.log.csv", "a line in place of the dot"},
		{"c/heron-07.log.xlsx", "c/heron-07.yaml", "allowed: heron-07.log.csv", "another notation"},
		{"c/heron-07-b.log (1).csv", "c/heron-07-b.yaml", "allowed: heron-07-b.log.csv", "the longest id counts"},
		{"c/broken.log.csv", "c/swapped.yaml", "", "the id goes before the file's name"},
		{"c/broken-2.log.csv", "c/swapped.yaml", "allowed: broken.log.csv", "also where it only seems so"},
		{"c/heron-7.log.csv", "c/heron-07.yaml", "did you mean heron-07.log.csv", "a digit too few"},
		{"c/log.csv", "", "named by no id", "a log that belongs to nobody"},
		{"c/osprey-1.log.csv", "", "named by no id", "of somebody who has no record"},
		{"c/far-1.log.csv", "d/far.yaml", "move it to d/far-1.log.csv", "its record is in another folder"},
	} {
		of, alone := (&Found{Logs: []string{filepath.FromSlash(c.log)}}).owners(records)
		owner, says, read := "", "", false
		for file, b := range of {
			if b.log+b.sessions+b.diary != "" {
				owner, read = file, true
			}
			for _, f := range b.trouble {
				owner, says = file, f.Message+"; "+f.Remedy
			}
		}
		for _, f := range alone {
			says = f.Message + "; " + f.Remedy
		}
		if owner != c.owner || !strings.Contains(says, c.told) || read != (c.told == "") {
			t.Errorf("%s is %q's, says %q, want %q and %q: %s", c.log, owner, says, c.owner, c.told, c.why)
		}
	}
	of, _ := (&Found{Logs: []string{"c/PLOVER-12.log.csv", "c/plover-12.log.csv"}}).owners(records)
	if b := of["c/dara.yaml"]; len(b.trouble) != 1 || !strings.Contains(b.trouble[0].Message, "are one name in small letters") {
		t.Errorf("two logs of one name: %+v", b)
	}
	if _, alone := (&Found{Logs: []string{"c/unread.log.csv"}}).owners([]holder{{file: "c/unread.yaml"}}); len(alone) != 0 {
		t.Errorf("the log of a record whose id cannot be read is nobody's: %v", alone)
	}
}
