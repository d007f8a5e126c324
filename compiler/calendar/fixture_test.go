package calendar

import (
	"fmt"
	"strings"
	"testing"

	"isocue.example/compiler/internal/testkit"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
	"isocue.example/compiler/zone"
)

func dose(hand record.Hand, set, low, high string) record.Dose {
	return record.Dose{Hand: hand, Unit: "kgf", Set: unit.MustDec(set), Low: unit.MustDec(low), High: unit.MustDec(high)}
}

// gripSteps are n squeezes of 120 s with 240 s between, hands changing.
func gripSteps(n int) (out []record.Step) {
	hand := record.Right
	for i := range n {
		if i > 0 {
			out = append(out, record.Step{Kind: record.ChangeHand, Seconds: unit.Seconds(5)},
				record.Step{Kind: record.Rest, Seconds: unit.Seconds(235)})
		}
		out = append(out, record.Step{Kind: record.Squeeze, Seconds: unit.Seconds(120), Hand: hand})
		hand = hand.Other()
	}
	return out
}

// eightWeeks is a course of 24 handgrip and 112 breathing sessions from 2027-03-01, over the clock change of 28 March.
// On grip days the morning's breathing follows the grip session and shares its reading; other breathing stands alone.
func eightWeeks(t testing.TB) *record.Plan {
	start := unit.At(testkit.Local(t, "2027-03-01T00:00").Date(), 0)
	p := &record.Plan{
		Version: 1, Client: "heron-07", Start: start.Date(), Now: "2027-02-27T10:30:00Z", Zone: "Europe/Lisbon", TZData: zone.Version(),
		Gate:      record.Gate{Systolic: unit.Int(180), Diastolic: unit.Int(110)},
		Emergency: "112", Sitting: record.Sitting{SitSeconds: 300, Readings: 2, ReadingSeconds: 60, EndSeconds: 120, StartMinutes: 5},
		Cautions: []record.Caution{
			{ID: "physician", Text: "Follow your physician and local rules."},
			{ID: "stop", Text: "Stop at pain, dizziness or breathlessness; tell your coach before you go on."},
			{ID: "medicine", Text: "Take your medicines as prescribed; this plan changes none of them, and no number in it is a reason to."},
			{ID: "limits", Text: "This is training, not treatment; keep your appointments, and show your readings to whoever prescribes for you."},
			{ID: "alone", Text: "Do not train when you are ill, or within two hours of a large meal."},
		},
		Kinds: map[string]record.Kind{
			"grip": {Protocol: "handgrip-alternating", Title: "Handgrip training", Modality: record.Handgrip, WorkSeconds: unit.Seconds(1200),
				Loads: []record.Dose{dose(record.Left, "10.5", "9", "12"), dose(record.Right, "12", "10", "14")}, Steps: gripSteps(4)},
			"breath": {Protocol: "slow-breathing", Title: "Slow breathing", Modality: record.SlowBreathing, WorkSeconds: unit.Seconds(300),
				Steps: []record.Step{{Kind: record.Breathe, Seconds: unit.Seconds(300), Count: 30, Pattern: &record.Breath{Inhale: 20, Pause: 20, Exhale: 60}}}},
		},
		Others: []record.Other{
			{UID: "m-1@isocue.example", Status: record.Confirmed, What: record.Baseline, Date: start.Date() - 7},
			{UID: "m-2@isocue.example", Sequence: 1, Status: record.Confirmed, What: record.Measure, Date: start.Date() + 28},
			{UID: "m-3@isocue.example", Status: record.Cancelled, What: record.Review, Date: start.Date() + 55},
		},
	}
	for day := range 56 {
		at, week := start+unit.Local(day)*1440+7*60, day/7+1
		status := record.Confirmed
		if week > 4 {
			status = record.Provisional
		}
		grip := day%7 == 0 || day%7 == 2 || day%7 == 4
		if grip {
			p.Sessions = append(p.Sessions, record.Session{UID: fmt.Sprintf("g-%d@isocue.example", day), Status: status,
				Protocol: "handgrip-alternating", Kind: "grip", Week: week, Start: at, Seconds: 1200 + 420, Gate: true})
			at += 30 // 27 minutes, then the next start time of the grid
		}
		for slot := range 2 {
			p.Sessions = append(p.Sessions, record.Session{UID: fmt.Sprintf("b-%d-%d@isocue.example", day, slot), Status: record.Confirmed,
				Protocol: "slow-breathing", Kind: "breath", Week: week, Start: at, Seconds: 420, End: true})
			at += 12 * 60
		}
	}
	return p
}

func encode(t testing.TB, p *record.Plan) string {
	t.Helper()
	b, err := Encode(nil, p, Options{Version: "v0.1"})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := testkit.Calendar(b); err != nil {
		t.Fatalf("our own reader refuses the calendar: %v", err)
	}
	return string(b)
}

// unfold and unescape undo what line does; they are written from the standard, not from the encoder.
func unfold(s string) string { return strings.ReplaceAll(s, "\r\n ", "") }

func unescape(s string) string {
	return strings.NewReplacer(`\\`, `\`, `\n`, "\n", `\,`, ",", `\;`, ";").Replace(s)
}

// event is the unfolded lines of the event with this UID.
func event(t testing.TB, cal, uid string) string {
	t.Helper()
	for _, e := range strings.Split(unfold(cal), "BEGIN:VEVENT\r\n")[1:] {
		if strings.Contains(e, "UID:"+uid+"\r\n") {
			return e[:strings.Index(e, "END:VEVENT")]
		}
	}
	t.Fatalf("no event %s", uid)
	return ""
}

// property is the unescaped value of an event's property.
func property(e, name string) string {
	for l := range strings.SplitSeq(e, "\r\n") {
		if v, ok := strings.CutPrefix(l, name+":"); ok {
			return unescape(v)
		}
	}
	return ""
}
