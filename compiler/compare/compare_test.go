package compare

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/record"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// sitting has the pace that a breath takes where the protocol sets none.
var sitting = record.Sitting{Breath: unit.Seconds(4)}

func dec(s string) unit.Dec { return unit.MustDec(s) }

// one is a protocol of one stage, or of several where they follow each other.
func one(m record.Modality, weeks int, stages ...record.Stage) *record.Protocol {
	p := &record.Protocol{ID: "p", Revision: 1, Modality: m, Weeks: weeks, Stages: stages}
	from := 1
	for i := range p.Stages {
		s := &p.Stages[i]
		s.Index, s.FromWeek, s.Ramp = i, from, i < len(stages)-1
		if !s.Ramp {
			s.Weeks = weeks - from + 1
		}
		from += s.Weeks
	}
	return p
}

func text(ms []Measure) (out []string) {
	for _, m := range ms {
		a, b := "-", "-"
		if m.A != nil {
			a = m.A.Text(3)
		}
		if m.B != nil {
			b = m.B.Text(3)
		}
		out = append(out, m.Key+" "+a+" "+b)
	}
	return out
}

// Every measure of every modality, worked by hand.
func TestMeasures(t *testing.T) {
	grip := record.Stage{Load: dec("0.30"), HoldSeconds: 120, RestSeconds: 240, Rounds: 4, Hands: record.Alternate, DaysPerWeek: 3, PerDay: 1}
	three := grip
	three.Rounds = 3
	both := grip
	both.Hands = record.Together
	for _, c := range []struct {
		why  string
		p    *record.Protocol
		want string
	}{
		{"four squeezes of 120 s at 0.30: 0.30 x 480 = 144 a session, half of it each hand, three times a week 432; 4 x 120 + 3 x 240 s = 20 min", one(record.Handgrip, 8, grip),
			"gripLoad 0.3, squeezesSession 4, squeezesOneHand 2, holdSeconds 120, tensionSeconds 480, forceTimeSession 144, forceTimeOneHand 72, forceTimeWeek 432, minutesSession 20, sessionsWeek 3, minutesWeek 60"},
		{"an odd number: one hand has two of three, 0.30 x 240 = 72; 3 x 120 + 2 x 240 s = 14 min", one(record.Handgrip, 8, three),
			"gripLoad 0.3, squeezesSession 3, squeezesOneHand 2, holdSeconds 120, tensionSeconds 360, forceTimeSession 108, forceTimeOneHand 72, forceTimeWeek 324, minutesSession 14, sessionsWeek 3, minutesWeek 42"},
		{"both hands at once: each does every round", one(record.Handgrip, 8, both),
			"gripLoad 0.3, squeezesSession 4, squeezesOneHand 4, holdSeconds 120, tensionSeconds 480, forceTimeSession 144, forceTimeOneHand 144, forceTimeWeek 432, minutesSession 20, sessionsWeek 3, minutesWeek 60"},
		{"squats by heart rate: no force; 4 x 120 + 3 x 120 s = 14 min", one(record.WallSquat, 4, record.Stage{Squat: record.SquatLoad{HeartRate: dec("0.95")}, HoldSeconds: 120, RestSeconds: 120, Rounds: 4, DaysPerWeek: 3, PerDay: 1}),
			"heartRate 0.95, squatsSession 4, holdSeconds 120, tensionSeconds 480, minutesSession 14, sessionsWeek 3, minutesWeek 42"},
		{"squats by the knee", one(record.WallSquat, 4, record.Stage{Squat: record.SquatLoad{KneeDegrees: 110}, HoldSeconds: 60, RestSeconds: 60, Rounds: 1, DaysPerWeek: 3, PerDay: 1}),
			"kneeDegrees 110, squatsSession 1, holdSeconds 60, tensionSeconds 60, minutesSession 1, sessionsWeek 3, minutesWeek 3"},
		{"two seconds in, two of pause, six out: six a minute, 30 in five minutes", one(record.SlowBreathing, 8, record.Stage{Breath: record.Breath{Inhale: 20, Pause: 20, Exhale: 60}, Minutes: dec("5"), DaysPerWeek: 7, PerDay: 2}),
			"breathsMinute 6, breathsSession 30, minutesSession 5, sessionsWeek 14, minutesWeek 70"},
		{"a breath of 5.5 s: 10.909 a minute, whole breaths in five minutes 54", one(record.SlowBreathing, 8, record.Stage{Breath: record.Breath{Inhale: 25, Exhale: 30}, Minutes: dec("5"), DaysPerWeek: 7, PerDay: 1}),
			"breathsMinute 10.909, breathsSession 54, minutesSession 5, sessionsWeek 7, minutesWeek 35"},
		{"counted breaths without a pace: none is claimed; 0.75 x 30 = 22.5; 30 x 4 + 4 x 60 s = 6 min", one(record.Inspiratory, 6, record.Stage{Load: dec("0.75"), Sets: 5, Breaths: 6, RestSeconds: 60, DaysPerWeek: 6, PerDay: 1}),
			"inspiratoryLoad 0.75, breathsSession 30, loadBreathsSession 22.5, loadBreathsWeek 135, minutesSession 6, sessionsWeek 6, minutesWeek 36"},
		{"timed breaths: ten minutes at six a minute", one(record.Inspiratory, 6, record.Stage{Load: dec("0.25"), Breath: record.Breath{Inhale: 40, Exhale: 60}, Minutes: dec("10"), DaysPerWeek: 7, PerDay: 1}),
			"inspiratoryLoad 0.25, breathsMinute 6, breathsSession 60, loadBreathsSession 15, loadBreathsWeek 105, minutesSession 10, sessionsWeek 7, minutesWeek 70"},
		{"neither counted nor timed, which a rule refuses: no length is made up", one(record.Inspiratory, 6, record.Stage{Load: dec("0.25"), DaysPerWeek: 7, PerDay: 1}),
			"inspiratoryLoad 0.25, sessionsWeek 7"},
	} {
		got := strings.ReplaceAll(strings.Join(text(both1(c.p)), ", "), " -", "")
		if d := cmp.Diff(strings.Split(c.want, ", "), strings.Split(got, ", ")); d != "" {
			t.Errorf("%s: -want +got\n%s", c.why, d)
		}
	}
}

// both1 is the first week of one protocol, with nothing beside it.
func both1(p *record.Protocol) []Measure { return both(stage(p, 1, sitting), nil) }

// A course is told in the stretches in which neither dose changes, and its sums are those of its weeks.
func TestStretches(t *testing.T) {
	week := func(load string, weeks, days int) record.Stage {
		return record.Stage{Load: dec(load), HoldSeconds: 120, RestSeconds: 240, Rounds: 4, Hands: record.Alternate, DaysPerWeek: days, PerDay: 1, Weeks: weeks}
	}
	a := Side{Node: tree.NewRecord(), Protocol: one(record.Handgrip, 8, week("0.20", 2, 3), week("0.30", 0, 3))}
	b := Side{Node: tree.NewRecord(), Protocol: one(record.Handgrip, 10, week("0.20", 1, 3), week("0.25", 2, 3), week("0.30", 0, 4))}
	c := Protocols(a, b, sitting)
	var got []string
	for _, s := range c.Stretches {
		got = append(got, fmt.Sprintf("%d-%d %s", s.From, s.To, text(s.Measures)[0]))
	}
	want := []string{"1-1 gripLoad 0.2 0.2", "2-2 gripLoad 0.2 0.25", "3-3 gripLoad 0.3 0.25", "4-8 gripLoad 0.3 0.3", "9-10 gripLoad - 0.3"}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
	// 8 x 3 sessions of 20 min; 3 x 3 + 7 x 4 = 37
	if d := cmp.Diff([]string{"weeks 8 10", "sessions 24 37", "minutes 480 740"}, text(c.Course)); d != "" {
		t.Error(d)
	}
}

// Law: the other way round everything changes sides.
func TestSidesExchange(t *testing.T) {
	n := func(load string) *tree.Node {
		r := tree.NewRecord()
		r.Set("load", tree.Num(dec(load)))
		r.Set("only"+load, tree.Str("x"))
		return r
	}
	f := func(rule, path, message string) finding.Finding {
		return finding.Finding{Rule: rule, Path: path, Message: message}
	}
	grip := record.Stage{Load: dec("0.30"), HoldSeconds: 120, RestSeconds: 240, Rounds: 4, Hands: record.Alternate, DaysPerWeek: 3, PerDay: 1}
	a := Side{Node: n("0.3"), Protocol: one(record.Handgrip, 8, grip), Findings: []finding.Finding{f("r", "x", "was 1"), f("gone", "x", "")}}
	b := Side{Node: n("0.4"), Protocol: one(record.SlowBreathing, 9, record.Stage{Breath: record.Breath{Inhale: 40, Exhale: 60}, Minutes: dec("5"), DaysPerWeek: 7, PerDay: 1}),
		Findings: []finding.Finding{f("r", "x", "is 2"), f("r", "y", "is new")}}
	x, y := Protocols(a, b, sitting), Protocols(b, a, sitting)
	if len(x.Appear) != 1 || len(x.Vanish) != 1 || len(x.Stay) != 1 || !x.Stay[0].Changed() || x.Appear[0].Path != "y" || x.Vanish[0].Rule != "gone" {
		t.Errorf("%+v", x)
	}
	if len(y.Appear) != 1 || y.Appear[0].Rule != "gone" || y.Vanish[0].Path != "y" || y.Stay[0].A.Message != "is 2" {
		t.Errorf("%+v", y)
	}
	side := func(p Parameter) string { return fmt.Sprint(p.Path, show(p.A), show(p.B)) }
	var fore, back []string
	for i := range x.Parameters {
		fore = append(fore, side(x.Parameters[i]))
	}
	for _, p := range y.Parameters {
		back = append(back, side(Parameter{p.Path, p.B, p.A}))
	}
	if d := cmp.Diff([]string{"load 0.3 0.4", "only0.3 x -", "only0.4 - x"}, fore); d != "" {
		t.Error(d)
	}
	if len(back) != 3 || back[0] != fore[0] {
		t.Errorf("%v, then %v", fore, back)
	}
	for i, s := range x.Stretches {
		for k, m := range s.Measures {
			o := y.Stretches[i].Measures[k]
			if !(Measure{Key: m.Key, A: m.B, B: m.A}).same(o) {
				t.Errorf("%s: %v and %v", m.Key, text([]Measure{m}), text([]Measure{o}))
			}
		}
	}
	for _, m := range x.Stretches[0].Measures {
		if common := m.A != nil && m.B != nil; common != strings.Contains("minutesSession sessionsWeek minutesWeek", m.Key) {
			t.Errorf("two kinds of training share %s: %v", m.Key, common)
		}
	}
}

func show(s *string) string {
	if s == nil {
		return " -"
	}
	return " " + *s
}

// What a reader must know beside the numbers.
func TestNotes(t *testing.T) {
	at := func(id string, revision int, m record.Modality, note string) Side {
		n := tree.NewRecord()
		n.Set("note", tree.Str(note))
		p := one(m, 4, record.Stage{HoldSeconds: 1, Rounds: 1, DaysPerWeek: 1, PerDay: 1, Load: dec("0.3")})
		p.ID, p.Revision = id, revision
		return Side{Node: n, Protocol: p}
	}
	for _, c := range []struct {
		why  string
		a, b Side
		want string
	}{
		{"the same file", at("p", 1, record.Handgrip, "x"), at("p", 1, record.Handgrip, "x"), "nothing differs"},
		{"changed without a new revision", at("p", 1, record.Handgrip, "x"), at("p", 1, record.Handgrip, "y"), "both are revision 1 of p, and they differ"},
		{"changed with one", at("p", 1, record.Handgrip, "x"), at("p", 2, record.Handgrip, "y"), ""},
		{"backwards", at("p", 2, record.Handgrip, "x"), at("p", 1, record.Handgrip, "y"), "falls from 2 to 1"},
		{"two protocols", at("p", 2, record.Handgrip, "x"), at("q", 1, record.Handgrip, "y"), ""},
		{"two kinds of training", at("p", 1, record.Handgrip, "x"), at("q", 1, record.WallSquat, "y"), "A is handgrip and B is wall-squat: two kinds of training"},
	} {
		got := strings.Join(Protocols(c.a, c.b, sitting).Notes, "\n")
		if (got == "") != (c.want == "") || !strings.Contains(got, c.want) {
			t.Errorf("%s: %q, want %q", c.why, got, c.want)
		}
	}
}
