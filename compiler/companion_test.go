package compiler

import (
	"os"
	"slices"
	"strings"
	"testing"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// walker is the demo client with a walking level; minutes under 0 leaves it out.
func walker(t testing.TB, c *Compiler, minutes int, day string, ids ...string) Input {
	t.Helper()
	in := demo(t, c, ids...)
	if minutes < 0 {
		return in
	}
	src := strings.Replace(string(file(t, "../testdata/demo/client.yaml")), "measured:\n",
		"measured:\n  walking:\n    - {date: "+day+", minutesPerWeek: "+unit.Int(int64(minutes)).String()+"}\n", 1)
	f := c.Reader.Bytes("client.yaml", []byte(src))
	if f.Client == nil {
		t.Fatal(f.Findings)
	}
	in.Client = f.Client
	return in
}

// The first week follows the client's own level, and then rises week by week to the dose of the guideline: 150 minutes a week.
// Source: WHO 2020 for the dose; the step is held by the rules.
func TestWalkingBeginsAtTheClientsLevel(t *testing.T) {
	c := engine(t)
	for _, x := range []struct {
		why     string
		minutes int
		day     string
		want    []int // minutes of a walk in weeks 1, 2 and 3
	}{
		{"no level: the lowest stage", -1, "", []int{10, 13, 15}},
		{"nothing walked: the lowest stage", 0, "2027-01-02", []int{10, 13, 15}},
		{"a minute short of the fifth stage", 99, "2027-01-02", []int{18, 20, 23}},
		{"the fifth stage exactly", 100, "2027-01-02", []int{20, 23, 25}},
		{"as much as the course asks for", 150, "2027-01-02", []int{30, 30, 30}},
		{"more than the course asks for", 400, "2027-01-02", []int{30, 30, 30}},
		{"a level noted after the start is what the course did", 150, "2027-01-05", []int{10, 13, 15}},
	} {
		p := plan(t, c, walker(t, c, x.minutes, x.day, "walking-start"))
		got, last := map[int]int{}, 0
		for _, s := range p.Sessions {
			got[s.Week], last = int(p.Kinds[s.Kind].WorkSeconds/600), max(last, s.Week)
		}
		for i, m := range x.want {
			if got[i+1] != m {
				t.Errorf("%s: week %d has walks of %d min, want %d", x.why, i+1, got[i+1], m)
			}
		}
		if last != 12 || got[12] != 30 || len(p.Sessions) != 60 {
			t.Errorf("%s: %d weeks, %d walks, %d min at the end; want 12, 60, 30", x.why, last, len(p.Sessions), got[12])
		}
	}
}

// A programme of walking, grip and breathing is one calendar in which nothing overlaps, and so is one with exercises; exercises
// keep a day between and never follow squeezes in one sitting.
func TestCompanionsStandBesideTheRest(t *testing.T) {
	c := engine(t)
	for _, ids := range [][]string{
		{"walking-start", "handgrip-alternating", "slow-breathing-even"},
		{"slow-breathing-even", "strength-home", "walking-start", "handgrip-alternating"},
		{"strength-home", "inspiratory-strength", "walking-start"},
	} {
		p := plan(t, c, demo(t, c, ids...))
		if len(p.Unplaced) > 0 {
			t.Errorf("%v: %v", ids, p.Unplaced[0])
		}
		var end, exercises unit.Local
		var sitting []record.Modality
		for _, s := range p.Sessions {
			if s.Start < end {
				t.Errorf("%v: a session at %s begins before the one before it ends", ids, s.Start)
			}
			end = s.Start + unit.Local((s.Seconds+59)/60)
			m := p.Kinds[s.Kind].Modality
			if m == record.Strength {
				if exercises != 0 && s.Start-exercises < 48*60 {
					t.Errorf("%v: exercises at %s and at %s", ids, exercises, s.Start)
				}
				exercises = s.Start
			}
			if s.Gate != (len(sitting) == 0) {
				t.Errorf("%v: the gate at %s stands wrong", ids, s.Start)
			}
			if sitting = append(sitting, m); s.End {
				if slices.Contains(sitting, record.Strength) && slices.Contains(sitting, record.Handgrip) || !slices.IsSortedFunc(sitting, func(a, b record.Modality) int { return a.Rank() - b.Rank() }) {
					t.Errorf("%v: a sitting of %v", ids, sitting)
				}
				sitting = nil
			}
		}
	}
}

// A plan with companions comes back from its file, and compiling it again changes nothing.
func TestCompanionsFollow(t *testing.T) {
	c := engine(t)
	in := walker(t, c, 60, "2027-01-02", "walking-start", "strength-home")
	in.Previous = reread(t, plan(t, c, in))
	r, err := c.Compile(in)
	if err != nil || r.Plan == nil || len(r.Changes) > 0 {
		t.Fatal(err, r.Findings, r.Changes)
	}
}

// What bars effort bars exercises: an unstable heart and a pressure over the line for effort, until a clinician opens it. A light walk is
// barred by symptoms and what is unstable, and goes on with what is steady. Source: the lists of contraindications that schema/base/questions.cue cites.
func TestCompanionsAreEffort(t *testing.T) {
	c := engine(t)
	for _, x := range []struct{ why, old, new, rule, walk string }{
		{"chest pain on effort", `chest-pain-on-effort: "no"`, `chest-pain-on-effort: "yes"`, "screening-blocking-answer", "screening-blocking-answer"},
		{"a heart attack lately", `heart-attack-lately: "no"`, `heart-attack-lately: "yes"`, "screening-early", "screening-early"},
		{"stable heart disease without a clearance", `heart-disease-stable: "no"`, `heart-disease-stable: "yes"`, "screening-clearance", "screening-detail"},
		{"160 in the latest sitting", `at: "2027-01-03T20:00", systolic: 137, diastolic: 84`, `at: "2027-01-03T20:00", systolic: 190, diastolic: 84`, "pressure-systolic-clearance", ""},
	} {
		for _, id := range []string{"walking-start", "strength-home"} {
			src := string(file(t, "../testdata/demo/client.yaml"))
			if !strings.Contains(src, x.old) {
				t.Fatalf("%s: %q does not stand in the record", x.why, x.old)
			}
			f := c.Reader.Bytes("client.yaml", []byte(strings.Replace(src, x.old, x.new, 1)))
			in := demo(t, c, id)
			in.Client = f.Client
			in.Now = now.AddDate(0, 0, 1)
			want := map[string]string{"walking-start": x.walk, "strength-home": x.rule}[id]
			r, err := c.Compile(in)
			if err != nil || (r.Plan != nil) != (want == "") {
				t.Errorf("%s: %s: a plan is there: %v, %v", x.why, id, r.Plan != nil, err)
				continue
			}
			if want != "" && !slices.ContainsFunc(r.Findings, func(f finding.Finding) bool { return f.Rule == want && f.Rejects() }) {
				t.Errorf("%s: %s is refused by %v, want %s", x.why, id, r.Findings, want)
			}
		}
	}
}

func file(t testing.TB, name string) []byte {
	t.Helper()
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return b
}
