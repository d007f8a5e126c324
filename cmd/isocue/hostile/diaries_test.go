//go:build unix

package hostile

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"
)

// Diaries that mean harm, each beside the demo's record. Every one is judged within the bounds of any file, and an entry can be added to
// it, or it is said why not.
func TestDiaries(t *testing.T) {
	t.Parallel()
	many, large := 200, 1<<16
	if full {
		many, large = 19_999, 1<<20
	}
	each := func(form string) string {
		var b strings.Builder
		for i := range many {
			fmt.Fprintf(&b, "- {id: e%d, date: 2027-01-02, by: B, "+form+"}\n", i, i)
		}
		return b.String()
	}
	for _, d := range []struct {
		text  string
		lint  int // its exit code
		enter int
		says  string
		why   string
	}{
		{each("condition: {code: carpal-tunnel}, note: \"n%d\""), 0, 0, "", "large and nothing else"},
		{each("moved: {zone: Europe/Lisbon, emergency: \"%d\"}"), 1, 0, "two entries of one day say different things", "every entry contradicts every other"},
		{each("grip: {hand: left, unit: kgf, trials: [3], score: best, with: gauge-%d}"), 1, 0, "is not a gauge of the record or the diary", "gauges that nobody has"},
		{each("device: {grip: {id: g%d, unit: kgf, step: 1}, instead: none}"), 1, 0, "is not a device of the record or the diary", "as many gauges, each in place of none"},
		{each("over: {code: carpal-tunnel}, note: \"n%d\""), 0, 0, "neither record nor diary says that it began", "ends without a beginning"},
		{each("void: {entry: e0, why: \"error %d\"}"), 1, 0, "a void is taken back by a void", "voids of a void"},
		{strings.ReplaceAll(each("note: \"%d\", well: true"), "id: e", "id: \"\", x: e"), 1, 0, "x is not a field here", "an unknown field in every line"},
		{strings.Repeat("- {well: maybe, date: 1}\n", many), 1, 0, "more places from here on", "nothing that can be read"},
		{"- {date: 2027-01-02, by: B, ill: \"a\"}\n" + strings.Repeat(" #\n", large), 0, 0, "", "an entry that does not end"},
		{strings.Repeat("x\n", large), 1, 0, "belongs to no entry", "lines of nobody"},
		{strings.Repeat("- \n", large), 1, 1, "entries, allowed: at most 20000", "more entries than a diary may have"},
		{strings.Repeat("#", 5<<20), 1, 1, "bytes, allowed: at most", "more bytes than a diary may have"},
		{"- " + strings.Repeat("[", 4000) + "\n- " + strings.Repeat("{a: ", 2000) + "\n", 1, 0, "cannot be read", "lists in lists, records in records"},
		{"- &a [*a, *a]\n- {<<: *b}\n- !!binary aGk=\n", 1, 0, "is not data", "what multiplies itself"},
	} {
		dir := t.TempDir()
		put(t, dir, "clients/plover-12.yaml", text(t, "testdata/demo/client.yaml"))
		put(t, dir, "clients/plover-12.diary.yaml", d.text)
		o := call{dir: dir, args: []string{"lint", filepath.Join("clients", "plover-12.diary.yaml"), "--now", now}}.process(t)
		if o.code != d.lint || !strings.Contains(o.out, d.says) || o.bounds() != "" {
			t.Errorf("%s: lint ends with %d, %s\n%.600s\n%.300s", d.why, o.code, o.bounds(), o.out, o.err)
		}
		o = call{dir: dir, args: []string{"enter", "clients/plover-12.yaml", "ill", "fever", "--by", "B", "--now", now}}.process(t)
		if o.code != d.enter || o.bounds() != "" {
			t.Errorf("%s: enter ends with %d, %s\n%.600s\n%.300s", d.why, o.code, o.bounds(), o.out, o.err)
		}
	}
}
