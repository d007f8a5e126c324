package clinic

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// What may be a client's log and is not read is that client's trouble, or is told where the log itself stands beside it.
func TestWhatMayBeALogRefuses(t *testing.T) {
	const text = "on Sunday 192/115, chest pain\n"
	for _, c := range []struct {
		name    string
		with    []string // what else stands beside the record
		folder  bool
		refuses bool
		why     string
	}{
		{"plover_12.log.csv", nil, false, true, "a low line"},
		{"plover–12.log.csv", nil, false, true, "an en dash"},
		{"plover-１２.log.csv", nil, false, true, "digits of full width"},
		{"plоver-12.log.csv", nil, false, true, "a letter of another alphabet"},
		{"plover12.log.csv", nil, false, true, "no hyphen"},
		{"plover-21.log.csv", nil, false, true, "two digits swapped"},
		{".plover-12.log.csv", nil, false, true, "a hidden file"},
		{"logs/plover-12.log.csv", nil, false, true, "a folder below"},
		{".old/plover-12.log.csv", nil, false, true, "a hidden folder"},
		{"plover-12.log.csv", nil, true, true, "a folder of that name"},
		{"plover-12.log", nil, false, true, "what a device writes"},
		{"plover-12.LOG", nil, false, true, "in capitals"},
		{"plover-12.xml", nil, false, true, "another notation"},
		{"plover-12.pressures.xml", nil, false, true, "with a word between"},
		{"plover-12.html", nil, false, true, "a page"},
		{"plover-12.pdf", nil, false, true, "a print"},
		{"plover-12.eml", nil, false, true, "a mail"},
		{"plover-12.xlsx", nil, false, true, "a table that is not read"},
		{"plover-12.txt", nil, false, true, "a text with a pressure"},
		{"plover-12.log.csv.part", nil, false, true, "half a download"},
		{"plover-12.log.csv.tmp", nil, false, true, "half a copy"},
		{"plover-12.log.csv.bak", nil, false, true, "a backup without what it is one of"},
		{"plover-12.log.csv.old", nil, false, true, "an older one"},
		{"plover-12.log.csv~", nil, false, true, "an editor's"},
		{"#plover-12.log.csv#", nil, false, true, "what was not saved"},
		{"plover-12.log.csv.gz", nil, false, true, "an archive"},
		{"plover-12.log.csv.zip", nil, false, true, "another"},
		{"plover-12.log.zip", nil, false, true, "one without the ending"},
		{"plover-12.diary.yaml.bak", nil, false, true, "of a diary"},
		{"plover-12.sessions.csv.bak", []string{"plover-12.log.csv"}, false, true, "the other log is beside it, this one is not"},
		{"plover-12.log.csv.bak", []string{"plover-12.log.csv"}, false, false, "a backup beside its log is told"},
		{"plover-12.log.csv~", []string{"plover-12.log.csv"}, false, false, "an editor's likewise"},
		{"plover-12.yaml.bak", nil, false, false, "a copy of the record"},
		{"plover-12-consent.pdf", nil, false, false, "it says that it is something else"},
		{"heron-07.pdf", nil, false, false, "somebody else's"},
		{"plover-12.ics", nil, false, false, "a calendar holds no reading"},
		{".~lock.plover-12.log.csv#", nil, false, false, "a lock holds nothing of the file"},
	} {
		dir := t.TempDir()
		put := func(name, src string) string {
			name = filepath.Join(dir, filepath.FromSlash(name))
			if err := os.MkdirAll(filepath.Dir(name), 0o700); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(name, []byte(src), 0o600); err != nil {
				t.Fatal(err)
			}
			return name
		}
		record := put("plover-12.yaml", "id: plover-12\n")
		for _, w := range c.with {
			put(w, "at,systolic,diastolic\n")
		}
		if c.folder {
			if err := os.Mkdir(filepath.Join(dir, c.name), 0o700); err != nil {
				t.Fatal(err)
			}
		} else {
			put(c.name, text)
		}
		found, err := find(dir)
		if err != nil {
			t.Fatal(err)
		}
		of, _ := found.owners([]holder{{file: record, id: "plover-12"}})
		trouble := of[record].trouble
		if (len(trouble) > 0) != c.refuses {
			t.Errorf("%s (%s): refuses %v: %v", c.name, c.why, !c.refuses, trouble)
		}
		for _, f := range trouble {
			if f.Remedy == "" || !strings.Contains(f.Message, "allowed: ") && !strings.Contains(f.Message, "did you mean ") {
				t.Errorf("%s: it does not say what to do: %v", c.name, f)
			}
		}
		if named := namedIn(found.Passed, filepath.Join(dir, filepath.FromSlash(c.name))); strings.HasSuffix(c.name, ".bak") && !named {
			t.Errorf("%s is not named", c.name)
		}
		j := &Judging{}
		if alone := j.around(record, "plover-12", "", "").trouble; (len(alone) > 0) != c.refuses {
			t.Errorf("%s (%s): a compile of one client says %v", c.name, c.why, alone)
		}
	}
}
