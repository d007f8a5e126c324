package calendar

import (
	"strings"
	"testing"

	"isocue.example/compiler/record"
	"isocue.example/compiler/say"
	"isocue.example/compiler/unit"
)

// What a client reads at the gate, to the letter. The order is the one in which it matters: symptoms, reading, limits. Source:
// docs/architecture.md, the calendar; the numbers are those of the plan's gate, which come from the rules.
func TestGateText(t *testing.T) {
	p := &record.Plan{Sitting: record.Sitting{SitSeconds: 300, Readings: 2, HighDays: 3}, Gate: record.Gate{
		Systolic: unit.Int(181), Diastolic: unit.Int(111), EffortSystolic: unit.Int(161), EffortDiastolic: unit.Int(101),
		LowSystolic: unit.Int(99), LowClinic: unit.Int(89), PulseCoach: unit.Int(98), PulseClinic: unit.Int(119)}}
	want := []string{
		"Chest pain or pressure, weakness or numbness on one side, sudden trouble speaking or seeing, confusion, sudden severe headache, fainting, sudden trouble breathing or coughing blood: call 112 at any reading.",
		"Sit quietly for 5 minutes, then take 2 readings.",
		"If a number is at one of the limits below: rest 5 minutes, take two more readings; their mean counts.",
		"Upper number 181 or more, or lower number 111 or more: no training today, and call your clinic the same day. With symptoms, such as light-headedness: call 112 now.",
		"Upper number 161 or more, or lower number 101 or more: no training today except slow breathing, which does not treat the reading. After three such days: tell your prescriber this week.",
		"Upper number under 99, light-headed, resting pulse over 98 or newly uneven: no training; call your coach today. Light-headed, upper number under 89, or pulse over 119: call your clinic today.",
	}
	if got := say.English().GateLines(p, "112"); strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("%q, want %q", got, want)
	}
	p.Gate.EffortSystolic = unit.Dec{} // the prescriber's own limit lies lower
	if got := say.English().GateLines(p, "112")[4]; !strings.HasPrefix(got, "Lower number 101 or more: no training today except slow breathing") {
		t.Errorf("%q", got)
	}
	p.Gate.LowClinic = unit.Dec{} // a plan of before it was drawn
	if got := say.English().GateLines(p, "112")[5]; !strings.HasSuffix(got, "Light-headed, or pulse over 119: call your clinic today.") {
		t.Errorf("%q", got)
	}
	p.Gate.EffortDiastolic = unit.Dec{}
	if got := say.English().GateLines(p, "112"); len(got) != 5 {
		t.Errorf("a line that is not drawn is told: %q", got)
	}
}

// An entry that did not change keeps its stamps; a changed one has the plan's. Source: RFC 5545, 3.8.7.2 to 3.8.7.4.
func TestStampsAndAlarm(t *testing.T) {
	p := eightWeeks(t)
	p.Sessions[0].Modified, p.Sessions[0].Sheet, p.Sessions[1].Sheet = "2027-02-20T08:00:00Z", 1, 2
	b, err := Encode(nil, p, Options{Version: "v0.1", Remind: 15})
	if err != nil {
		t.Fatal(err)
	}
	first, second := event(t, string(b), p.Sessions[0].UID), event(t, string(b), p.Sessions[1].UID)
	if property(first, "DTSTAMP") != "20270220T080000Z" || property(first, "LAST-MODIFIED") != "20270220T080000Z" || property(second, "DTSTAMP") != "20270227T103000Z" {
		t.Errorf("stamps: %q, %q", property(first, "DTSTAMP"), property(second, "DTSTAMP"))
	}
	if !strings.HasPrefix(property(first, "DESCRIPTION"), "Sheet 1.\n") || !strings.HasPrefix(property(second, "DESCRIPTION"), "Sheet 2.\n") {
		t.Errorf("%.40q, %.40q", property(first, "DESCRIPTION"), property(second, "DESCRIPTION"))
	}
	// RFC 5545, 3.6.6: ACTION, DESCRIPTION and TRIGGER must stand in a display alarm
	if want := "BEGIN:VALARM\r\nACTION:DISPLAY\r\nDESCRIPTION:Training. Read the entry before you begin.\r\nTRIGGER:-PT15M\r\nEND:VALARM\r\n"; strings.Count(first, want) != 1 {
		t.Errorf("alarm: %q", first)
	}
	p.Sessions[0].Modified = "yesterday"
	if _, err := Encode(nil, p, Options{}); err == nil || !strings.Contains(err.Error(), `modified at "yesterday"`) {
		t.Errorf("%v", err)
	}
}
