package clinic

import (
	"testing"
)

// What is done with a file hangs on its name only so far as the name says where to look.
func TestCalled(t *testing.T) {
	for _, c := range []struct {
		name string
		want calling
		why  string
	}{
		{"heron-07.yaml", toRead, "a record as it is written"},
		{"lark-03.YAML", toRead, "capitals are no other ending"},
		{"BAD.CUE", toRead, "nor is a whole name in capitals"},
		{"Heron.Yml", toRead, "nor are both"},
		{"X.JSON", toRead, "nor in another notation"},
		{"heron-07 (1).yaml", toRead, "a browser's second download is read, and its id is told as taken"},
		{"heron-07 conflicted copy.yaml", toRead, "so is a sync program's copy that keeps the ending"},
		{"heron-07.sync-conflict-20270101-120000-ABC.yaml", toRead, "and another's"},
		{"heron-07 (Kopie).yaml", toRead, "and a German one"},
		{"breath-session.cue", toRead, "a protocol may have the word session in its name"},
		{"2-sessions-a-day.yaml", toRead, "or sessions"},
		{"heron-07.log.csv", aLog, "a log as it is called"},
		{"Heron-07.LOG.csv", aLog, "in capitals"},
		{"heron-07.sessions.CSV", aLog, "with the ending in capitals"},
		{"heron-07.diary.yaml", aLog, "a diary has an owner like a log"},
		{"heron-07.log (1).csv", aLog, "a copy of a log is somebody's log"},
		{"heron-07 log.xlsx", aLog, "a log in a notation that is not read must be told"},
		{"heron-07.log.json", aLog, "so must one that no roster looks for"},
		{"heron-07.log.txt", aLog, "or one with another ending"},
		{"heron-07.log.csv.txt", aLog, "or a hidden one"},
		{"heron-07.csv", aTable, "what is in it tells whether it is a log"},
		{"heron-07.yaml.sync-conflict-20270101-120000", aCopy, "a copy that nobody would read"},
		{"heron-07.yaml.txt", aCopy, "a system that hides endings makes it"},
		{"heron-07.yaml (2)", aCopy, "a file manager's copy"},
		{"heron-07.cue - copy", aCopy, "another's"},
		{".heron-07.yaml.icloud", aCopy, "the file is in a cloud and not on this machine"},
		{"heron-07.yaml ", aCopy, "a space behind the ending is not seen by a person"},
		{"heron-07.yaml~", leftover, "an editor's backup"},
		{"#heron-07.yaml#", leftover, "an editor's unsaved text"},
		{".#heron-07.yaml", lock, "an editor's lock, a link to nowhere"},
		{".~lock.heron-07.yaml#", lock, "an office program's lock"},
		{"._heron-07.yaml", lock, "a Mac's file beside a file"},
		{".heron-07.yaml.swp", leftover, "an editor's swap file"},
		{"heron-07.yaml.bak", leftover, "a backup"},
		{"heron-07.yaml.gpg", leftover, "an encrypted copy"},
		{"heron-07.toml", ordinary, "settings of a program"},
		{"heron-07", unknown, "no ending says nothing: what is in it does"},
		{"heron-07.yalm", unknown, "a slip"},
		{"notes.txt", unknown, "a text may be anything"},
		{"heron-07.yaml.", unknown, "a dot too many"},
		{"README.md", ordinary, "a page"},
		{"heron-07.log.csv.bak", leftover, "a copy of a log"},
		{"heron-07.log.csv.gz", leftover, "one in an archive"},
		{"heron-07.log.old", leftover, "one without its ending"},
		{"heron-07.log.zip", leftover, "both"},
		{"heron-07.EML", document, "a mail may hold readings"},
		{"heron-07.pressures.xml", document, "so may what a device writes"},
		{"photo.PNG", ordinary, "a picture, in capitals"},
		{"consent.pdf", document, "a document"},
		{"calendar.ics", ordinary, "a pack's file"},
		{"ledger.jsonl", ordinary, "the ledger"},
		{"isocue.log", document, "a program's log, or a device's"},
		{".gitignore", ordinary, "a hidden file of a program"},
		{"LICENSE", ordinary, "a well-known name without an ending"},
	} {
		if got, why := called(c.name); got != c.want || (got == ordinary || got == leftover || got == lock || got == document || got == unknown) && why == "" {
			t.Errorf("%q is %d (%s), want %d: %s", c.name, got, why, c.want, c.why)
		}
	}
}
