package compiler

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"isocue.example/compiler/diary"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// entersAfter compiles a course from 2027-01-04, and again two weeks on with a diary; it gives the stages of its sessions in both, in order.
func entersAfter(t *testing.T, protocol, now string, entries ...string) (before, after []record.Session, old, plan *record.Plan) {
	t.Helper()
	c := invented(t)
	cl := c.Reader.Bytes("c.yaml", []byte(strings.Replace(demoText, "  bloodPressure:", "  walking:\n    - {date: 2027-01-02, minutesPerWeek: 30}\n  bloodPressure:", 1))).Client
	start, _ := unit.ParseDate("2027-01-04")
	in := Input{Client: cl, Start: start, Now: time.Date(2027, 1, 3, 12, 0, 0, 0, time.UTC)}
	in.Protocols = append(in.Protocols, standardOf(c, protocol))
	res, err := c.Compile(in)
	if err != nil || res.Plan == nil {
		t.Fatal(protocol, err, res.Findings)
	}
	old = reread(t, res.Plan)
	text := ""
	for _, e := range entries {
		text += `- {by: "L. Brandt", ` + e + "}\n"
	}
	f := c.Reader.Bytes("a.diary.yaml", []byte(text))
	if len(f.Findings) > 0 {
		t.Fatal(f.Findings)
	}
	in.Previous, in.Diary = old, diary.Of(f.Diary.Of())
	if in.Now, err = time.Parse(time.RFC3339, now); err != nil {
		t.Fatal(err)
	}
	if res, err = c.Compile(in); err != nil || res.Plan == nil || len(res.Plan.Holds) > 0 {
		t.Fatal(protocol, err, res.Findings)
	}
	return old.Sessions, res.Plan.Sessions, old, res.Plan
}

// stagesFrom is how often each stage is trained in a row, by day from and to.
func stagesFrom(p *record.Plan, all []record.Session, from string) string {
	day, _ := unit.ParseDate(from)
	var out []string
	last, n := -1, 0
	put := func() {
		if n > 0 {
			out = append(out, fmt.Sprintf("%d*%d", last, n))
		}
	}
	for _, s := range all {
		if s.Status == record.Cancelled || s.Start.Date() < day {
			continue
		}
		if k := p.Kinds[s.Kind]; k.Stage != last {
			put()
			last, n = k.Stage, 0
		}
		n++
	}
	put()
	return strings.Join(out, " ")
}

const changed = `date: 2027-01-16, time: "08:00", medicine: {class: thiazide, change: changed}`
const allowed = `date: 2027-01-16, time: "09:00", clearance: {for: [thiazide, handgrip, wall-squat, inspiratory, slow-breathing, walking, strength], by: "R. Okafor", role: physician, date: 2027-01-16, until: 2027-12-01}`

// After a medicine changed no stage rises for two weeks, and the ramp goes on behind with every session that it had: none is skipped.
// Source: schema/base/gaps.cue, steadyDays.
func TestSteadyAfterAMedicine(t *testing.T) {
	for _, protocol := range []string{"handgrip-start", "inspiratory-strength", "walking-start", "strength-home"} {
		_, _, old, _ := entersAfter(t, protocol, "2027-01-16T20:00:00Z")
		_, after, _, p := entersAfter(t, protocol, "2027-01-16T20:00:00Z", changed, allowed)
		at := -1
		for _, s := range old.Sessions {
			if s.Start.String() < "2027-01-16T16" {
				at = old.Kinds[s.Kind].Stage
			}
		}
		risen := false
		for _, s := range after {
			k := p.Kinds[s.Kind]
			switch day := s.Start.Date().String(); {
			case s.Status == record.Cancelled || day <= "2027-01-16":
			case day < "2027-01-30" && k.Stage > at:
				t.Errorf("%s on %s is at stage %d, and %d was trained before the medicine changed", protocol, day, k.Stage, at)
			case day >= "2027-01-30" && k.Stage > at+1 && !risen:
				t.Errorf("%s on %s is at stage %d: the one behind %d was skipped", protocol, day, k.Stage, at)
			case k.Stage > at:
				risen = true
			}
		}
		if was, is := stagesFrom(old, old.Sessions, "2027-01-04"), stagesFrom(p, after, "2027-01-04"); was == is {
			t.Errorf("%s: nothing was held: %s", protocol, is)
		}
	}
}

// Compiled again and again within and behind the two weeks, the ramp goes on from what was trained. Source: the law that nobody skips
// a stage.
func TestSteadyGoesOn(t *testing.T) {
	c := invented(t)
	_, after, _, p := entersAfter(t, "handgrip-start", "2027-01-16T20:00:00Z", changed, allowed)
	want := stagesFrom(p, after, "2027-01-04")
	cl := c.Reader.Bytes("c.yaml", []byte(demoText)).Client
	f := c.Reader.Bytes("a.diary.yaml", []byte(`- {by: "L. Brandt", `+changed+"}\n- {by: \"L. Brandt\", "+allowed+"}\n"))
	for _, now := range []string{"2027-01-21T20:00:00Z", "2027-01-27T20:00:00Z", "2027-02-03T20:00:00Z", "2027-02-12T20:00:00Z"} {
		at, _ := time.Parse(time.RFC3339, now)
		in := Input{Client: cl, Start: p.Start, Now: at, Previous: reread(t, p), Diary: diary.Of(f.Diary.Of())}
		in.Protocols = append(in.Protocols, standardOf(c, "handgrip-start"))
		res, err := c.Compile(in)
		if err != nil || res.Plan == nil {
			t.Fatal(now, err, res.Findings)
		}
		if p = res.Plan; stagesFrom(p, p.Sessions, "2027-01-04") != want {
			t.Errorf("on %s: %s, want %s", now, stagesFrom(p, p.Sessions, "2027-01-04"), want)
		}
	}
}

// A step down holds for a week, in every modality with a lighter stage or load, and the number of sessions stays. Source:
// schema/base/gaps.cue, easings.
func TestStepDown(t *testing.T) {
	for _, x := range []struct {
		protocol, day string
		want          bool
	}{
		{"handgrip-start", "2027-02-08", true}, {"handgrip-alternating", "2027-02-08", true}, {"wall-squat-home", "2027-01-16", true}, {"inspiratory-strength", "2027-01-22", true},
		{"strength-home", "2027-02-08", true}, {"walking-start", "2027-02-08", true}, {"slow-breathing-even", "2027-02-08", true},
	} {
		protocol, want := x.protocol, x.want
		day, _ := unit.ParseDate(x.day)
		_, plain, _, was := entersAfter(t, protocol, x.day+"T20:00:00Z")
		_, eased, _, is := entersAfter(t, protocol, x.day+"T20:00:00Z", "date: "+x.day+", lighter: {protocol: "+protocol+"}")
		if len(plain) != len(eased) {
			t.Errorf("%s: %d sessions, and %d without the step down", protocol, len(eased), len(plain))
		}
		lighter, behind := 0, 0
		for i := range plain {
			if i < len(eased) && text(was.Kinds[plain[i].Kind]) != text(is.Kinds[eased[i].Kind]) {
				if on := plain[i].Start.Date(); on < day {
					t.Errorf("%s on %s has begun and is another", protocol, on)
				} else if on <= day+7 {
					lighter++
				} else if strings.HasPrefix(protocol, "handgrip-alt") {
					behind++
				}
			}
		}
		if (lighter > 0) != want || behind > 0 {
			t.Errorf("%s: %d sessions of the week are lighter, want some: %t; behind it %d", protocol, lighter, want, behind)
		}
	}
}
