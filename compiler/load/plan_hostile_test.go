package load

import (
	"fmt"
	"strings"
	"testing"

	"isocue.example/compiler/finding"
)

const smallPlan = `{"version": 1, "client": "a", "start": "2027-01-04", "zone": "Europe/Lisbon", "kinds": {"k": {"title": "A"}},
"sessions": [{"uid": "u", "kind": "k", "week": 1, "slot": 1, "seconds": 60, "status": "confirmed", "start": "2027-01-04T07:00"}], "waivers": []}`

// A plan that somebody else wrote, or changed, is told from ours before memory is spent on it. Sources: RFC 8259, section 4, for
// names; schema/words.cue for texts; the rest are engineering limits.
func TestHostilePlans(t *testing.T) {
	edit := func(old, new string) string {
		if !strings.Contains(smallPlan, old) {
			t.Fatalf("%q does not stand in the plan", old)
		}
		return strings.Replace(smallPlan, old, new, 1)
	}
	for _, c := range []struct{ src, says, why string }{
		{smallPlan, "", "a plan as isocue writes it"},
		{edit(`"waivers"`, `"later": {"a": [1, {"b": null}], "A": "ê"}, "waivers"`), `"A" stands twice`, "a field of a later version may be anything, but one thing"},
		{edit(`"waivers"`, `"later": {"a": [1, {"b": null}], "c": "ê"}, "waivers"`), "", "a field of a later version"},
		{edit(`"zone"`, `"client": "b", "zone"`), `"client" stands twice in one record, at byte `, "two clients"},
		{edit(`"zone"`, `"CLIENT": "b", "zone"`), `"CLIENT" stands twice`, "the decoder takes any letters"},
		{edit(`"week": 1`, `"week": 1, "Week": 2`), `"Week" stands twice`, "one level down"},
		{edit(`"A"`, `"A\u001b[31m"`), "holds a control character", "an escape"},
		{edit(`"A"`, `"A\nEND:VEVENT"`), "holds a control character", "a line break"},
		{edit(`"A"`, "\"A\u202eB\""), "holds a control character", "a direction control"},
		{edit(`"A"`, "\"A\u009bB\""), "holds a control character", "a control character beyond ASCII"},
		{edit(`{"k"`, `{"k": {}, "k\u0007"`), "holds a control character", "in a name"},
		{edit(`[]`, strings.Repeat("[", 20)+strings.Repeat("]", 20)), "nested deeper than 16 levels", "depth"},
		{edit(`[]`, "["+strings.Repeat(`"",`, 850_000)+`""]`), "more than 400000 values", "a text of two bytes is sixteen in memory"},
		{edit(`"k": {`, strings.Repeat(`"k": {}, `, 1)+`"k": {`), `"k" stands twice`, "two kinds of one name"},
		{edit(`"waivers": []`, `"w": "`+strings.Repeat("a", MaxPlan)+`"`), "the plan has more than 8388608 bytes, allowed: at most 8388608", "a long text"},
		{edit(`"waivers"`, `"ended": [{"kind": "j"}, {"kind": "l"}], "waivers"`), "", "kinds that are gone"},
		{edit(`"waivers"`, `"ended": [{"kind": "k"}], "waivers"`), `ended kind 1 of the plan is "k", allowed: each once`, "a kind that is gone and is not"},
		{edit(`"waivers"`, `"ended": [{"kind": "j"}, {"kind": "j"}], "waivers"`), `ended kind 2 of the plan is "j"`, "a kind that is gone twice"},
		{smallPlan + "{}", "something stands behind its end", "a second document"},
		{smallPlan[:len(smallPlan)-1], "not a plan that isocue wrote", "cut off"},
		{strings.Repeat("[", 100_000), "nested deeper than 16 levels", "depth and nothing else"},
	} {
		p, err := ReadPlan([]byte(c.src))
		if c.says == "" && (err != nil || p == nil) || c.says != "" && (err == nil || !strings.Contains(err.Error(), c.says)) {
			t.Errorf("%s: %v, want %q", c.why, err, c.says)
		}
		if err != nil && !finding.OneLine(err.Error()) {
			t.Errorf("%s: the error holds what it tells of: %q", c.why, err)
		}
	}
	many := `{"k": {}`
	for i := range planFields + 1 {
		many += fmt.Sprintf(`, "k%d": {}`, i)
	}
	if _, err := ReadPlan([]byte(edit(`{"k": {"title": "A"}}`, many+"}"))); err == nil || !strings.Contains(err.Error(), "more than 1000 fields") {
		t.Errorf("%v", err)
	}
}
