package diary

import (
	"errors"
	"strings"
	"testing"

	"isocue.example/compiler/internal/testkit"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

func TestNumbers(t *testing.T) {
	for _, c := range []struct{ typed, want, why string }{
		{"38.5", "38.5", "a point"}, {"38,5", "38.5", "a comma"}, {"40", "40", "whole"}, {"40,0", "40", "a fraction of nothing"},
		{"1.234,5", "", "two marks"}, {"38,", "", "no digits behind"}, {"-3", "", "no measurement is negative"}, {"", "", "nothing"}, {"3e2", "", "no way that people write"}, {"38 5", "", "a space"},
	} {
		d, err := Number(c.typed)
		if (err == nil) != (c.want != "") || err == nil && d.String() != c.want {
			t.Errorf("%s: %q is %v, %v", c.why, c.typed, d, err)
		}
	}
	for _, c := range []struct{ typed, number, unit, why string }{
		{"38,5kg", "38.5", "kg", "as it was typed"}, {"38.5 KG", "38.5", "kg", "capitals"}, {"85lb", "85", "lbf", "pounds"}, {"85 lbs", "85", "lbf", "pounds"},
		{"380N", "380", "N", "newtons"}, {"38kp", "38", "kgf", "kiloponds are the same"}, {"38", "38", "", "no unit"}, {"kg", "", "", "no number"}, {"38st", "", "", "stones"},
	} {
		d, u, err := Force(c.typed)
		if (err == nil) != (c.number != "") || err == nil && (d.String() != c.number || u != c.unit) {
			t.Errorf("%s: %q is %v %q, %v", c.why, c.typed, d, u, err)
		}
	}
}

func TestPressures(t *testing.T) {
	for _, c := range []struct {
		typed   string
		s, d, p int
		why     string
	}{
		{"138/84/70", 138, 84, 70, "with the pulse"}, {"138/84", 138, 84, 0, "without"}, {" 138 / 84 / 70 ", 138, 84, 70, "spaces"},
		{"84/138", 0, 0, 0, "swapped"}, {"138", 0, 0, 0, "one number"}, {"138-84", 0, 0, 0, "a hyphen may be a span"}, {"1380/84", 0, 0, 0, "a slip"}, {"13.8/8.4", 0, 0, 0, "kilopascals"},
	} {
		s, d, p, err := Pressure(c.typed)
		if (err == nil) != (c.s > 0) || s != c.s || d != c.d || p != c.p {
			t.Errorf("%s: %q is %d/%d/%d, %v", c.why, c.typed, s, d, p, err)
		}
	}
}

func TestDays(t *testing.T) {
	wednesday := testkit.Date(t, "2027-02-24")
	for _, c := range []struct {
		typed string
		ahead bool
		want  string // or what is told
		why   string
	}{
		{"today", false, "2027-02-24", ""}, {"Yesterday", false, "2027-02-23", ""}, {"tomorrow", true, "2027-02-25", ""},
		{"Monday", false, "2027-02-22", "the last one"}, {"mon", false, "2027-02-22", "three letters"}, {"Thursday", false, "2027-02-18", "last week's"}, {"Sunday", false, "2027-02-21", "the first day of some weeks"},
		{"Wednesday", false, "write today, or 2027-02-17", "today's own name"}, {"Monday", true, "may be 2027-02-22 or 2027-03-01", "what may lie ahead"},
		{"2027-02-27", true, "2027-02-27", ""}, {"27.2.2027", true, "2027-02-27", "as on the continent"}, {"30.2.2027", true, "no day of the calendar", ""}, {"2027-02-30", false, "is no day", ""},
		{"1/2/2027", false, "is no day", "two days in two countries"}, {"yesterdy", false, "did you mean yesterday", "a slip"}, {"mo", false, "is no day", "may be Monday or month"}, {"", false, "is no day", ""},
	} {
		d, err := Day(c.typed, wednesday, c.ahead)
		got := d.String()
		if err != nil {
			got = err.Error()
		}
		if err == nil && got != c.want || !strings.Contains(got, c.want) {
			t.Errorf("%s: %q is %s, want %s", c.why, c.typed, got, c.want)
		}
	}
	for typed, want := range map[string]string{"07:30": "07:30", "7:30": "07:30", "7.30": "07:30", "19h30": "19:30", "7:30pm": "19:30", "12:05 am": "00:05", "12:05 p.m.": "12:05", "24:00": "", "7": "", "7:60": "", "13:00pm": "", "730": ""} {
		c, err := Clock(typed)
		if (err == nil) != (want != "") || err == nil && c.String() != want {
			t.Errorf("%q is %v, %v", typed, c, err)
		}
	}
}

var home = Known{Gauges: []record.Gauge{{ID: "home-gauge", Unit: "kgf"}}, Medicines: map[string]string{"bisoprolol": "beta-blocker"}, Classes: []string{"beta-blocker", "thiazide"},
	Symptoms: []string{"ill-now", "chest-pain"}, QuestionSet: 2, Now: 450}

// typed is one command as a user types it: words, then options.
func typed(s string) Typed {
	t := Typed{By: "L. Brandt", ID: "ab12", Options: map[string]string{}}
	fields := strings.Split(s, " ")
	t.What = fields[0]
	for i := 1; i < len(fields); i++ {
		name, option := strings.CutPrefix(fields[i], "--")
		switch value := ""; {
		case !option:
			t.Words = append(t.Words, fields[i])
			continue
		case name == "add" || name == "replaces" || name == "yes":
			t.Sure = t.Sure || name == "yes"
			t.Options[name] = "true"
		default:
			i++
			value = fields[i]
			switch name {
			case "date":
				t.Date = value
			case "time":
				t.Time = value
			case "note":
				t.Note = value
			default:
				t.Options[name] = value
			}
		}
	}
	delete(t.Options, "yes")
	return t
}

func TestLines(t *testing.T) {
	k := home
	k.Today = testkit.Date(t, "2027-02-24")
	for _, c := range []struct{ typed, want string }{
		{"ill fever since noon", `ill: "fever since noon"`}, {"well --date 2027-02-23", "date: 2027-02-23"}, {"symptom a\"b\\", `symptom: "a\"b\\"`},
		{"reading 138/84/70 --time 7:30", `time: "07:30", reading: {systolic: 138, diastolic: 84, pulse: 70, setting: home}`},
		{"reading 138 / 84 clinic left standing --time now", "systolic: 138, diastolic: 84, setting: clinic, arm: left, posture: standing}"},
		{"grip right 38.5 40 39,5 --with home-gauge", "grip: {hand: right, unit: kgf, trials: [38.5, 40, 39.5], score: best, with: home-gauge}"},
		{"grip right 38,5kg --yes", "unit: kgf, trials: [38.5]"},
		{"medicine beta-blocker stopped", "medicine: {class: beta-blocker, change: stopped}"}, {"medicine Bisoprolol started", "{class: beta-blocker, name: bisoprolol, change: started}"},
		{"course handgrip-maintenance protocols/ours.cue --start 2027-03-08 --replaces", `course: {protocols: [handgrip-maintenance, "protocols/ours.cue"], start: 2027-03-08, replaces: true}`},
		{"asked no ill-now=yes", `asked: {questions: 2, answers: {ill-now: "yes", chest-pain: "no"}}`}, {"condition hand-hurt left", "condition: {code: hand-hurt, side: left}"},
		{"hours mon,Wed 7:00-8:00 sat 09:00-10:00", `hours: [{days: [mon, wed], from: "07:00", to: "08:00"}, {days: [sat], from: "09:00", to: "10:00"}]`},
		{"pause --until 2027-03-01", "pause: {from: 2027-02-24, to: 2027-03-01}"}, {"pause tomorrow", "pause: {from: 2027-02-25}"}, {"told client reached --entries ab12,cd34", "told: {who: client, about: [ab12, cd34], reached: true}"},
		{"moved Europe/Paris --emergency 112", `moved: {zone: "Europe/Paris", emergency: "112"}`}, {"limits 150/95 --signed Dr.Okafor", `limits: {systolic: 150, diastolic: 95, by: "Dr.Okafor", date: 2027-02-24}`},
		{"squat 135/38/82 125/44,5/90 volitional", "{kneeDegrees: 125, heelCm: 44.5, heartRate: 90}], ended: volitional}"}, {"inspiratory 78 82 cmh2o static", `inspiratory: {unit: "cmH2O", trials: [78, 82], method: static}`},
		{"trained handgrip-alternating done --time 07:00", `trained: {protocol: handgrip-alternating, time: "07:00", outcome: done}`}, {"void cd34 the other client", `void: {entry: cd34, why: "the other client"}`},
		{"device grip new kgf 0,5 --instead home-gauge", "device: {grip: {id: new, unit: kgf, step: 0.5}, instead: home-gauge}"}, {"device cuff left medium validated", "device: {cuff: {arm: left, size: medium, validated: true}}"},
		{"well --note no", `well: true, note: "no"}`}, {"lighter on", `lighter: {protocol: "on"}`}, {"read cd34 nothing", "read: {entry: cd34, finding: nothing}"},
	} {
		line, err := Line(typed(c.typed), k)
		if err != nil || !strings.Contains(line, c.want) || !strings.HasPrefix(line, "- {id: ab12, date: ") || strings.Contains(line, "\n") || !closed(line) {
			t.Errorf("%s: %s, %v", c.typed, line, err)
		}
	}
}

// What does not fit is said with what to write; what may mean two things is asked back, and goes on with yes.
func TestLinesThatAreRefused(t *testing.T) {
	k := home
	k.Today = testkit.Date(t, "2027-02-24")
	two := k
	two.Gauges = append(two.Gauges, record.Gauge{ID: "pounds", Unit: unit.ForceUnit("lbf")})
	for _, c := range []struct {
		typed string
		known Known
		told  string
		asks  bool
	}{
		{"il fever", k, "did you mean ill", false}, {"ill", k, "write: ill WORDS", false}, {"well again", k, "well stands alone", false}, {"well --with x", k, "--with does not belong to well", false},
		{"reading 138/84", k, "write: --time 07:30", false}, {"reading 138/84 arm --time 07:30", k, `"arm" says nothing`, false},
		{"grip right 38kg", k, "did home-gauge show these numbers as kg?", true}, {"grip right 38kg 80lb", k, "two units", false}, {"grip right 38 --unit lbf", k, "home-gauge shows kgf", false},
		{"grip right 38kg --with pounds --yes", two, "pounds shows lbf", false}, {"grip right 38", two, "--with GAUGE; known: home-gauge, pounds", false}, {"grip right 38 --with home-guage", two, "did you mean home-gauge", false},
		{"grip right 38 --with gauge", Known{Today: k.Today}, "--unit kgf, lbf or N", false},
		{"medicine bisoprolo started", k, "did you mean bisoprolol", false}, {"course handgrip-maintenance", k, "--start is required", false}, {"well --date 2025-02-24", k, "is the year right?", true},
		{"hours 07:00-08:00", k, "no days before it", false}, {"told client", k, "write: told", false}, {"device grip new kg 1", k, "does this gauge show kg?", true}, {"asked yes", k, `"yes" is no answer`, false},
	} {
		line, err := Line(typed(c.typed), c.known)
		q := Question{}
		if err == nil || !strings.Contains(err.Error(), c.told) || errors.As(err, &q) != c.asks {
			t.Errorf("%s: %s, %v", c.typed, line, err)
			continue
		}
		if c.asks {
			if line, err := Line(typed(c.typed+" --yes"), c.known); err != nil {
				t.Errorf("%s, and yes: %s, %v", c.typed, line, err)
			}
		}
	}
	if len(Kinds) != len(record.Happenings) {
		t.Errorf("%d kinds are typed, %d can be entered", len(Kinds), len(record.Happenings))
	}
}
