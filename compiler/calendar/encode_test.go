package calendar

import (
	"bytes"
	"strings"
	"testing"
	"time"

	ics "github.com/arran4/golang-ical"
	"isocue.example/compiler/internal/testkit"
	"isocue.example/compiler/record"
	"isocue.example/compiler/say"
	"isocue.example/compiler/unit"
	"isocue.example/compiler/zone"
)

// TestReadBack reads the eight weeks with another library: every start, length and title is the plan's, and every
// description ends with all cautions.
func TestReadBack(t *testing.T) {
	p := eightWeeks(t)
	text := encode(t, p)
	if bad := physical(text); bad != "" {
		t.Fatal(bad)
	}
	cal, err := ics.ParseCalendar(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	events := cal.Events()
	if len(events) != 136+3 || len(p.Sessions) != 136 {
		t.Fatalf("%d events of %d sessions", len(events), len(p.Sessions))
	}
	loc, _ := zone.Load(p.Zone)
	cautions := ""
	for _, c := range p.Cautions {
		cautions += "\n" + c.Text
	}
	get := func(e *ics.VEvent, name ics.ComponentProperty) string { return e.GetProperty(name).Value }
	for i, e := range events {
		if d := get(e, ics.ComponentPropertyDescription); !strings.HasSuffix(d, cautions) {
			t.Errorf("event %d: no cautions at the end of %q", i, d)
		}
		if i >= len(p.Sessions) {
			continue
		}
		s := p.Sessions[i]
		at, err := time.ParseInLocation("20060102T150405", get(e, ics.ComponentPropertyDtStart), loc)
		if err != nil || !at.Equal(zone.Instant(loc, s.Start)) || e.GetProperty(ics.ComponentPropertyDtStart).ICalParameters["TZID"][0] != p.Zone {
			t.Errorf("session %d: start %v, %v, want %v", i, at, err, s.Start)
		}
		length, err := time.ParseDuration(strings.ToLower(strings.TrimPrefix(get(e, ics.ComponentPropertyDuration), "PT")))
		if err != nil || int(length.Seconds()) != s.Seconds {
			t.Errorf("session %d: duration %v, %v, want %d s", i, length, err, s.Seconds)
		}
		if got, want := get(e, ics.ComponentPropertySummary), p.Kinds[s.Kind].Title+", week "+string(rune('0'+s.Week)); got != want {
			t.Errorf("session %d: summary %q, want %q", i, got, want)
		}
		if e.Id() != s.UID {
			t.Errorf("session %d: uid %q, want %q", i, e.Id(), s.UID)
		}
		lines := say.English().SessionLines(p, new(p.Kinds[s.Kind]), s.Status, say.Place{Gate: s.Gate, Shared: strings.HasPrefix(s.UID, "b") && i > 0 && p.Sessions[i-1].Gate, End: s.End}, p.Emergency)
		if got := get(e, ics.ComponentPropertyDescription); got != strings.Join(lines, "\n")+cautions {
			t.Errorf("session %d: description %q, want %q", i, got, lines)
		}
	}
}

// TestEventText pins what a client reads.
func TestEventText(t *testing.T) {
	const cautions = "Follow your physician and local rules.\nStop at pain, dizziness or breathlessness; tell your coach before you go on."
	const gateText = "Chest pain or pressure, weakness or numbness on one side, sudden trouble speaking or seeing, confusion, sudden severe headache, fainting, sudden trouble breathing or coughing blood: call 112 at any reading.\n" +
		"Sit quietly for 5 minutes, then take 2 readings.\n" +
		"If a number is at one of the limits below: rest 5 minutes, take two more readings; their mean counts.\n" +
		"Upper number 180 or more, or lower number 110 or more: no training today, and call your clinic the same day. With symptoms, such as light-headedness: call 112 now.\n"
	const grip = "4 squeezes of 2 minutes, right hand first, changing hands; relax 4 minutes between.\nKeep breathing; never hold your breath while squeezing.\n"
	const breath = "Breathe in 2 s, pause 2 s, breathe out 6 s: 30 breaths in 5 minutes.\nThen sit for 2 minutes before you get up.\n"
	p := eightWeeks(t)
	p.Cautions = p.Cautions[:2]
	p.Sessions[3].Status = record.Cancelled // the second day's first breathing
	text := encode(t, p)
	for _, c := range []struct{ uid, property, want, why, source string }{
		{"g-0@isocue.example", "DESCRIPTION", gateText + "Your load: right 12 kgf (10 to 14), left 10.5 kgf (9 to 12).\n" + grip + cautions, "load, gate, work, cautions", "docs/architecture.md, the calendar"},
		{"g-28@isocue.example", "DESCRIPTION", gateText + "Measure again before this session. Until then: your last load: right 12 kgf, left 10.5 kgf, do not raise it.\n" + grip + cautions, "no new number", "docs/architecture.md, refusal 4"},
		{"b-0-0@isocue.example", "DESCRIPTION", "The reading before the first session of this sitting counts for this one too.\n" + breath + cautions, "same sitting as the grip session", "docs/architecture.md, sitting"},
		{"b-0-1@isocue.example", "DESCRIPTION", breath + cautions, "alone in the evening: there was no reading", "docs/architecture.md, sitting"},
		{"b-1-0@isocue.example", "DESCRIPTION", "This session is cancelled. There is nothing to do.\n" + cautions, "no instruction to follow", "judgement"},
		{"b-1-0@isocue.example", "SUMMARY", "Cancelled: Slow breathing, week 1", "said in the title", "docs/architecture.md, the calendar"},
		{"b-1-0@isocue.example", "STATUS", "CANCELLED", "", "RFC 5545 3.8.1.11"},
		{"g-28@isocue.example", "STATUS", "TENTATIVE", "", "RFC 5545 3.8.1.11"},
		{"g-0@isocue.example", "STATUS", "CONFIRMED", "", "RFC 5545 3.8.1.11"},
		{"g-0@isocue.example", "SUMMARY", "Handgrip training, week 1", "", "docs/architecture.md, the calendar"},
		{"g-0@isocue.example", "DURATION", "PT27M", "", "RFC 5545 3.3.6"},
		{"g-0@isocue.example", "DTSTART;TZID=Europe/Lisbon", "20270301T070000", "wall time with its zone", "RFC 5545 3.3.5 form 3"},
		{"g-0@isocue.example", "DTSTAMP", "20270227T103000Z", "the plan's now", "RFC 5545 3.8.7.2"},
		{"g-0@isocue.example", "LAST-MODIFIED", "20270227T103000Z", "the plan's now", "RFC 5545 3.8.7.3"},
		{"g-0@isocue.example", "CLASS", "PRIVATE", "", "RFC 5545 3.8.1.3"},
		{"g-0@isocue.example", "TRANSP", "OPAQUE", "", "RFC 5545 3.8.2.7"},
		{"g-0@isocue.example", "CATEGORIES", "Training,handgrip", "", "RFC 5545 3.8.1.2"},
		{"m-2@isocue.example", "SEQUENCE", "1", "", "RFC 5545 3.8.7.4"},
		{"m-2@isocue.example", "SUMMARY", "Measure again before the next session", "", "docs/architecture.md, the calendar"},
		{"m-2@isocue.example", "DESCRIPTION", "Measure again before the next session.\n" + cautions, "", "docs/architecture.md, the calendar"},
		{"m-2@isocue.example", "DTSTART;VALUE=DATE", "20270329", "", "RFC 5545 3.6.1"},
		{"m-2@isocue.example", "DTEND;VALUE=DATE", "20270330", "the end is excluded", "RFC 5545 3.6.1"},
		{"m-2@isocue.example", "TRANSP", "TRANSPARENT", "", "RFC 5545 3.8.2.7"},
		{"m-3@isocue.example", "SUMMARY", "Cancelled: Review meeting with your coach", "", "docs/architecture.md, the calendar"},
	} {
		if c.source == "" {
			t.Errorf("%s %s has no source", c.uid, c.property)
		}
		if got := property(event(t, text, c.uid), c.property); got != c.want {
			t.Errorf("%s %s (%s):\n%q, want\n%q", c.uid, c.property, c.why, got, c.want)
		}
	}
	head, _, _ := strings.Cut(text, "BEGIN:VTIMEZONE")
	if want := "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//isocue//isocue v0.1 tz2026f//EN\r\nCALSCALE:GREGORIAN\r\nNAME:Training sessions\r\nX-WR-CALNAME:Training sessions\r\n"; head != want {
		t.Errorf("head %q, want %q", head, want)
	}
	for _, word := range []string{"METHOD:", "heron-07", "MVC", "VALARM"} {
		if strings.Contains(text, word) {
			t.Errorf("the calendar has %q", word)
		}
	}
}

func TestRefuses(t *testing.T) {
	first := func(p *record.Plan) *record.Session { return &p.Sessions[0] }
	kind := func(p *record.Plan, change func(*record.Kind)) { k := p.Kinds["grip"]; change(&k); p.Kinds["grip"] = k }
	for _, c := range []struct {
		change            func(p *record.Plan)
		want, why, source string
	}{
		{func(p *record.Plan) { p.Cautions = nil }, "no cautions", "no calendar without cautions", "docs/architecture.md, refusal 6"},
		{func(p *record.Plan) { p.Cautions[1].Text = "" }, `caution 2 ("stop"): the text is empty`, "an empty caution is none", "docs/architecture.md, refusal 6"},
		{func(p *record.Plan) { p.Cautions[1].Text = " \r\n\x00" }, "the text is empty", "nor is one that nobody sees", "docs/architecture.md, refusal 6"},
		{func(p *record.Plan) { p.Cautions[0].Text = "a\xffb" }, "not valid UTF-8", "to replace would change the meaning", "RFC 5545 3.1.4"},
		{func(p *record.Plan) { kind(p, func(k *record.Kind) { k.Title = "a\xff" }) }, "not valid UTF-8", "", "RFC 5545 3.1.4"},
		{func(p *record.Plan) { kind(p, func(k *record.Kind) { k.Loads[0].Unit = "\xff" }) }, "not valid UTF-8", "", "RFC 5545 3.1.4"},
		{func(p *record.Plan) { p.Emergency = "\xff" }, "the emergency number", "", "RFC 5545 3.1.4"},
		{func(p *record.Plan) { kind(p, func(k *record.Kind) { k.Loads = nil }) }, "without a load", "a client would guess one", "docs/architecture.md, the calendar"},
		{func(p *record.Plan) { kind(p, func(k *record.Kind) { k.Steps = nil }) }, "no steps", "", "docs/architecture.md, the calendar"},
		{func(p *record.Plan) { first(p).Kind = "gone" }, `session 1: kind "gone" is not in the plan`, "", "docs/architecture.md, the calendar"},
		{func(p *record.Plan) { first(p).UID = "" }, "the uid has 0 bytes", "", "RFC 5545 3.8.4.7"},
		{func(p *record.Plan) { first(p).UID = strings.Repeat("a", 203) }, "the uid has 203 bytes", "", "icalendar.md 3"},
		{func(p *record.Plan) { first(p).UID = "a/b" }, `has the byte '/'`, "", "icalendar.md 3"},
		{func(p *record.Plan) { first(p).UID = "a\r\nX:b" }, `has the byte '\r'`, "no line may be smuggled in", "RFC 5545 3.1"},
		{func(p *record.Plan) { p.Others[0].UID = first(p).UID }, "stands twice", "", "RFC 5545 3.8.4.7"},
		{func(p *record.Plan) { first(p).Sequence = -1 }, "the sequence", "", "RFC 5545 3.8.7.4"},
		{func(p *record.Plan) { first(p).Start = testkit.Local(t, "2027-03-28T01:30") }, "2027-03-28T01:30 is skipped or repeated", "programs disagree on it", "icalendar.md 0.4"},
		{func(p *record.Plan) { first(p).Start = testkit.Local(t, "2027-10-31T01:30") }, "skipped or repeated", "", "icalendar.md 0.4"},
		{func(p *record.Plan) { first(p).Start = 1 << 40 }, "is out of range", "DATE has four digits", "RFC 5545 3.3.4"},
		{func(p *record.Plan) { first(p).Status = "perhaps" }, `status "perhaps"`, "", "docs/architecture.md, the calendar"},
		{func(p *record.Plan) { first(p).Seconds = 0 }, "lasts 0 s", "", "RFC 5545 3.8.2.5"},
		{func(p *record.Plan) { first(p).Week = 0 }, "week 0", "", "record.Session"},
		{func(p *record.Plan) { p.Gate = record.Gate{} }, "the plan's gate has no numbers", "0 mmHg would forbid all training", "record.Gate"},
		{func(p *record.Plan) { p.Sitting.Readings = 0 }, "how many readings", "", "record.Sitting"},
		{func(p *record.Plan) { p.Sitting.EndSeconds = 0 }, "ends its sitting", "", "record.Sitting"},
		{func(p *record.Plan) { p.Others[0].What = "party" }, `what is "party"`, "", "docs/architecture.md, the calendar"},
		{func(p *record.Plan) { p.Zone = "Europe/Lisbonn" }, "did you mean Europe/Lisbon", "", "RFC 5545 3.2.19"},
		{func(p *record.Plan) { p.Now = "today" }, `now is "today"`, "", "RFC 5545 3.8.7.2"},
		{func(p *record.Plan) { p.Sessions, p.Others = nil, nil }, "no session", "a calendar has a component", "RFC 5545 3.6"},
	} {
		if c.source == "" {
			t.Errorf("%q has no source", c.want)
		}
		p := eightWeeks(t)
		c.change(p)
		dst := []byte("before")
		got, err := Encode(dst, p, Options{Version: "v0.1"})
		if err == nil || !strings.Contains(err.Error(), c.want) || string(got) != "before" {
			t.Errorf("%q (%s): %d bytes, error %v", c.want, c.why, len(got), err)
		}
	}
}

func TestHostileTextStaysInItsLine(t *testing.T) {
	p := eightWeeks(t)
	k := p.Kinds["grip"]
	k.Title, k.Loads[0].Unit, k.Modality = "a\r\nATTENDEE:b; c, d\\e\x00\u2028f", "kg\rX:\x07f", "hand\r\ngrip,x"
	k.Modality = record.Handgrip
	p.Kinds["grip"], p.Emergency = k, "1\n\n2"
	p.Cautions[0].Text = strings.Repeat("ação; ", 60) + "\r\nEND:VEVENT"
	text := encode(t, p)
	if bad := physical(text); bad != "" {
		t.Error(bad)
	}
	if strings.Contains(text, "\r\nATTENDEE") || strings.Contains(text, "\r\nX:") || strings.Count(text, "\r\nEND:VEVENT\r\n") != 139 {
		t.Error("a text made a line of its own")
	}
	if got := property(event(t, text, "g-0@isocue.example"), "SUMMARY"); got != `a ATTENDEE:b; c, d\e f, week 1` {
		t.Errorf("summary %q", got)
	}
}

// TestSameBytes: an encoder that wrote other plans, and failed on one, writes what a new one writes.
func TestSameBytes(t *testing.T) {
	want := encode(t, eightWeeks(t))
	e := NewEncoder(Options{Version: "v0.1"})
	other := eightWeeks(t)
	other.Zone, other.Sessions = "Africa/Casablanca", other.Sessions[:5]
	other.Cautions[0].Text = "another"
	broken := eightWeeks(t)
	broken.Sessions[100].UID = ""
	for range 3 {
		for _, p := range []*record.Plan{other, broken, eightWeeks(t)} {
			got, err := e.Append([]byte("x"), p)
			if p == broken {
				if err == nil || string(got) != "x" {
					t.Errorf("the broken plan gave %d bytes, %v", len(got), err)
				}
			} else if p != other && (err != nil || string(got) != "x"+want) {
				t.Fatalf("other bytes, error %v", err)
			}
		}
	}
}

// TestLongerPlanAllocatesNoMore: what an encoder allocates is for a plan and its kinds, nothing for an event. A few are
// let pass, for the race detector empties fmt's pool at random; 122 further events with one each would not.
func TestLongerPlanAllocatesNoMore(t *testing.T) {
	long, short := eightWeeks(t), eightWeeks(t)
	short.Sessions = append(short.Sessions[:3:3], short.Sessions[125:]...) // one of every body
	e := NewEncoder(Options{Version: "v0.1"})
	var buf []byte
	count := func(p *record.Plan) float64 {
		return testing.AllocsPerRun(20, func() { buf, _ = e.Append(buf[:0], p) })
	}
	count(long)
	if l, s := count(long), count(short); l > s+20 {
		t.Errorf("%v allocations for 136 sessions, %v for %d", l, s, len(short.Sessions))
	} else {
		t.Logf("%v allocations a plan", l)
	}
}

func TestWorkLine(t *testing.T) {
	step := func(k record.StepKind, seconds int, h record.Hand) record.Step {
		return record.Step{Kind: k, Seconds: unit.Seconds(seconds), Hand: h}
	}
	breath := record.Step{Kind: record.Breathe, Seconds: unit.Seconds(24), Count: 6}
	rest := step(record.Rest, 60, "")
	for _, c := range []struct {
		steps             []record.Step
		want, why, source string
	}{
		{gripSteps(4), "4 squeezes of 2 minutes, right hand first, changing hands; relax 4 minutes between.", "the change of hands is part of the rest", "docs/architecture.md, the calendar"},
		{gripSteps(1), "1 squeeze of 2 minutes with the right hand.", "", "docs/architecture.md, the calendar"},
		{[]record.Step{step(record.Squeeze, 30, record.Both), rest, step(record.Squeeze, 30, record.Both)}, "2 squeezes of 30 seconds with both hands at once; relax 1 minute between.", "", "record.Both"},
		{[]record.Step{step(record.Squat, 120, ""), rest, step(record.Squat, 120, "")}, "2 wall squats of 2 minutes; relax 1 minute between.", "", "docs/architecture.md, the calendar"},
		{[]record.Step{step(record.Squeeze, 90, record.Right), step(record.ChangeHand, 5, ""), rest, step(record.Squeeze, 60, record.Left)},
			"Squeeze right for 1 minute 30 seconds, relax 1 minute 5 seconds, squeeze left for 1 minute.", "uneven: step by step", "docs/architecture.md, the calendar"},
		{[]record.Step{step(record.Squeeze, 60, record.Right), rest, step(record.Squeeze, 60, record.Left), rest, step(record.Squeeze, 60, record.Left)},
			"Squeeze right for 1 minute, relax 1 minute, squeeze left for 1 minute, relax 1 minute, squeeze left for 1 minute.", "the hands do not change every time", "docs/architecture.md, the calendar"},
		{[]record.Step{step(record.Squeeze, 60, record.Left), rest}, "Squeeze left for 1 minute, relax 1 minute.", "a rest at the end is said", "docs/architecture.md, the calendar"},
		{[]record.Step{breath, rest, breath, rest, breath}, "3 sets of 6 breaths; relax 1 minute between.", "counted breaths", "docs/architecture.md, the calendar"},
		{[]record.Step{{Kind: record.Breathe, Seconds: unit.Seconds(300), Count: 25, Pattern: &record.Breath{Inhale: 45, Exhale: 65, Rest: 10}}},
			"Breathe in 4.5 s, breathe out 6.5 s, relax 1 s: 25 breaths in 5 minutes.", "no pause, and tenths", "record.Breath"},
	} {
		if c.source == "" {
			t.Errorf("%q has no source", c.want)
		}
		if got := say.English().Work(c.steps); got != c.want {
			t.Errorf("%s: %q, want %q", c.why, got, c.want)
		}
	}
}

func TestNoEmergencyNumber(t *testing.T) {
	p := eightWeeks(t)
	p.Emergency = " "
	if text := encode(t, p); !strings.Contains(unfold(text), "coughing blood: call the emergency number at any reading") {
		t.Error("nobody is named to call")
	}
	p.Sessions = nil
	if b := []byte(encode(t, p)); bytes.Contains(b, []byte("VTIMEZONE")) || bytes.Count(b, []byte("BEGIN:VEVENT")) != 3 {
		t.Error("all-day entries alone need no zone")
	}
}
