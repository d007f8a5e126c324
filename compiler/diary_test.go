package compiler

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"isocue.example/compiler/diary"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/rule"
)

// Entries are judged by their words, their days, each other and the record; what is found is a client's, and one mistake is one finding.
func TestLintDiary(t *testing.T) {
	c, err := New(nil)
	if err != nil {
		t.Fatal(err)
	}
	src, err := os.ReadFile(filepath.Join("..", "testdata", "demo", "client.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	if !slices.ContainsFunc(c.Check.Base.Questions(), func(q rule.Question) bool { return q.ID == diary.IllNow }) {
		t.Errorf("%s is no question of the rule base", diary.IllNow)
	}
	cl := c.Reader.Bytes("client.yaml", src).Client
	now := time.Date(2027, 1, 10, 9, 0, 0, 0, time.UTC)
	const ill, well = `date: 2027-01-04, ill: "fever"`, "date: 2027-01-04, well: true"
	for _, x := range []struct {
		entries []string
		told    string // "" where nothing is
		verdict finding.Verdict
		why     string
	}{
		{[]string{ill}, "", "", "sound"},
		{[]string{"id: one, " + ill, "id: two, " + well}, "ill counts (ill one on line 1, well two on line 2)", finding.Caution, "both are shown"},
		{[]string{`date: 2027-01-11, ill: "fever"`}, "ill is dated 2027-01-11, after today, 2027-01-10", finding.Malformed, "tomorrow"},
		{[]string{"date: 2027-01-11, pause: {from: 2027-01-11}"}, "", "", "a pause may lie ahead"},
		{[]string{"date: 2027-02-01, stop: true"}, "", "", "a stop may lie ahead"},
		{[]string{"date: 2027-01-04, condition: {code: carpal-tunel}"}, `did you mean "carpal-tunnel"`, finding.Malformed, "a condition that nobody knows"},
		{[]string{"date: 2027-01-04, medicine: {class: beta-bloker, change: started}"}, `did you mean "beta-blocker"`, finding.Malformed, "a class that nobody knows"},
		{[]string{`date: 2027-01-04, asked: {questions: 1, answers: {ill-nw: "no"}}`}, `did you mean "ill-now"`, finding.Malformed, "a question that nobody asks"},
		{[]string{`date: 2027-01-04, clearance: {for: [presure, handgrip], by: "R. Okafor", role: physician, date: 2027-01-04, until: 2027-06-01}`}, `did you mean "pressure"`, finding.Malformed, "a gate that nobody has"},
		{[]string{"date: 2027-01-04, id: a, " + `symptom: "odd"`, "date: 2027-01-04, read: {entry: a, finding: dizy}"}, `is not a symptom, did you mean "dizzy"`, finding.Malformed, "a symptom that nobody knows"},
		{[]string{"date: 2027-01-04, id: a, " + `symptom: "odd"`, "date: 2027-01-04, read: {entry: a, finding: nothing}"}, "", "", "nothing is an answer"},
		{[]string{"date: 2027-01-04, grip: {hand: left, unit: kgf, trials: [30], score: best, with: home-guage}"}, `did you mean "home-gauge"`, finding.Malformed, "a gauge that nobody has"},
		{[]string{"date: 2027-01-04, device: {grip: {id: new, unit: kgf, step: 1}, instead: home-gauge}", "date: 2027-01-05, grip: {hand: left, unit: kgf, trials: [30], score: best, with: new}"}, "", "", "a gauge of the diary"},
		{[]string{"date: 2027-01-04, over: {code: carpal-tunnel, side: left}"}, "neither record nor diary says that it began", finding.Caution, "an end without a beginning"},
		{[]string{"date: 2027-01-04, medicine: {class: beta-blocker, name: bisoprolol, change: stopped}"}, "neither record nor diary says under that name that it was taken", finding.Caution, "a stop of what nobody took"},
		{[]string{"date: 2027-01-04, medicine: {class: beta-blocker, change: started}", "date: 2027-01-06, medicine: {class: beta-blocker, change: stopped}"}, "", "", "a stop of what was started"},
		{[]string{"date: 2027-01-04, condition: {code: carpal-tunnel, side: left}", "date: 2027-01-06, over: {code: carpal-tunnel, side: left}"}, "", "", "an end of what began"},
		{[]string{ill, "date: 2027-01-05, over: {code: ill-now}"}, "", "", "an illness is a condition too"},
		{[]string{"date: 2027-01-04, course: {protocols: [handgrip-maintenanc], start: 2027-02-01}"}, "did you mean handgrip-maintenance", finding.Malformed, "a protocol that nobody has"},
		{[]string{"date: 2027-01-04, course: {protocols: [protocols/ours.cue], start: 2027-02-01}"}, "", "", "one of the clinic's own"},
		{[]string{ill, `date: 2027-01-05, void: {entry: zz, why: "the other client"}`}, "names the entry zz, which is not in the diary", finding.Malformed, "a void of nothing"},
		{[]string{"id: a, " + ill, "id: a, " + well}, "two entries have the id a", finding.Malformed, "one id on two"},
	} {
		var text strings.Builder
		for _, e := range x.entries {
			text.WriteString("- {by: \"L. Brandt\", " + e + "}\n")
		}
		f := c.Reader.Bytes("a.diary.yaml", []byte(text.String()))
		if len(f.Findings) > 0 {
			t.Fatalf("%s: %v", x.why, f.Findings)
		}
		got := c.LintDiary(f, cl, now)
		if (x.told == "") != (len(got) == 0) || x.told != "" && !slices.ContainsFunc(got, func(g finding.Finding) bool {
			return strings.Contains(g.Message, x.told) && g.Verdict == x.verdict && g.Private
		}) {
			t.Errorf("%s: %v", x.why, got)
		}
	}
}

var placed = regexp.MustCompile(` on line \d+`)

// The order of lines decides nothing: any order of a diary is told the same, but for the lines themselves.
func TestLintDiaryInAnyOrder(t *testing.T) {
	c, err := New(nil)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(`- {id: a, date: 2027-01-04, by: "B", ill: "fever"}
- {id: b, date: 2027-01-04, by: "B", well: true}
- {id: c, date: 2027-01-04, by: "B", time: "08:00", moved: {zone: Europe/Paris, emergency: "112"}}
- {id: d, date: 2027-01-04, by: "B", moved: {zone: Europe/Lisbon, emergency: "112"}}
- {id: e, date: 2027-01-05, by: "B", void: {entry: a, why: "the other client"}}
- {id: f, date: 2027-01-06, by: "B", void: {entry: a, why: "again"}}
- {id: g, date: 2027-01-06, by: "B", told: {who: client, about: [zz], reached: true}}
- {date: 2027-01-06, by: "B", symptom: "tired"}
- {date: 2027-01-06, by: "B", symptom: "tired"}
- {id: h, date: 2027-01-06, by: "B", over: {code: carpal-tunel}}
- {id: i, date: 2027-02-06, by: "B", stop: true}`, "\n")
	told := func() (out []string) {
		f := c.Reader.Bytes("a.diary.yaml", []byte(strings.Join(lines, "\n")+"\n"))
		if len(f.Findings) > 0 || f.Kind != load.IsDiary {
			t.Fatal(f.Findings)
		}
		for _, x := range c.LintDiary(f, nil, time.Date(2027, 1, 10, 9, 0, 0, 0, time.UTC)) {
			out = append(out, x.Rule+" "+placed.ReplaceAllString(x.Message, ""))
		}
		slices.Sort(out)
		return out
	}
	want := told()
	if len(want) < 3 {
		t.Fatal(want)
	}
	rnd := rand.New(rand.NewPCG(5, 6))
	for range 60 {
		rnd.Shuffle(len(lines), func(i, j int) { lines[i], lines[j] = lines[j], lines[i] })
		if got := told(); !slices.Equal(got, want) {
			t.Fatalf("%s\nnot\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
		}
	}
}
