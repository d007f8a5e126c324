package progress

import (
	"fmt"
	"strings"
	"testing"

	"isocue.example/compiler/history"
	"isocue.example/compiler/internal/testkit"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// Where windows stand, and what they leave out. Source: the home rule of the ESH group's table: seven days, the first dropped,
// one arm, seated (J Clin Hypertens 20:1116).
func TestWindows(t *testing.T) {
	start := testkit.Date(t, "2027-02-01")
	two := append(week(start-14, 150, 90), week(start+49, 140, 85)...)
	for _, c := range []struct {
		why  string
		edit func(*Input)
		want string
	}{
		{"a plan: the days before it, and the newest days", func(in *Input) { in.Plan = plan(start, 8) }, "baseline 2027-01-18 to 2027-01-24 6 days 24 readings 150/90; follow-up 2027-03-22 to 2027-03-28 6 days 24 readings 140/85"},
		{"no plan: the first and the last days", func(*Input) {}, "baseline 2027-01-18 to 2027-01-24 6 days 24 readings 150/90; follow-up 2027-03-22 to 2027-03-28 6 days 24 readings 140/85"},
		{"all days, by the clinic's policy", func(in *Input) { in.Figures.KeepFirstDay = true }, "baseline 2027-01-18 to 2027-01-24 7 days 28 readings 151.4/90; follow-up 2027-03-22 to 2027-03-28 7 days 28 readings 141.4/85"},
		{"readings of the other arm stand aside", func(in *Input) {
			for i := 0; i < 5; i++ {
				in.Readings[4+i].Arm, in.Readings[4+i].Systolic = record.Right, 170
			}
		}, "baseline 2027-01-18 to 2027-01-24 5 days 19 readings 150/90; follow-up 2027-03-22 to 2027-03-28 6 days 24 readings 140/85"},
		{"clinic and standing readings stand in no mean", func(in *Input) {
			in.Readings[4].Clinic, in.Readings[5].Standing = true, true
		}, "baseline 2027-01-18 to 2027-01-24 6 days 22 readings 150/90; follow-up 2027-03-22 to 2027-03-28 6 days 24 readings 140/85"},
		{"a reading soon after a session stands in no mean", func(in *Input) {
			in.Plan = plan(start, 8)
			s := in.Plan.Sessions[21]
			in.Sessions = []record.SessionRow{{At: s.Start, UID: s.UID, Outcome: record.Completed}}
			in.Readings[28].At = s.Start + 29 + 15 // 29 minutes of sitting, then a quarter of an hour
			in.Readings[28].Systolic = 90
		}, "baseline 2027-01-18 to 2027-01-24 6 days 24 readings 150/90; follow-up 2027-03-22 to 2027-03-28 6 days 24 readings 140/85"},
		{"what the record has already counts once", func(in *Input) {
			for i := range 28 {
				x := in.Readings[i]
				x.FromRecord = true
				in.Readings = append(in.Readings, x)
			}
		}, "baseline 2027-01-18 to 2027-01-24 6 days 24 readings 150/90; follow-up 2027-03-22 to 2027-03-28 6 days 24 readings 140/85"},
		{"one week is one window", func(in *Input) { in.Readings = in.Readings[:28] }, "baseline 2027-01-18 to 2027-01-24 6 days 24 readings 150/90"},
		{"nothing", func(in *Input) { in.Readings = nil }, ""},
		{"two weeks each need twice as much", func(in *Input) { in.Weeks = 2 }, "baseline 2027-01-18 to 2027-01-31 6 days 24 readings 150/90; follow-up 2027-03-15 to 2027-03-28 6 days 24 readings 140/85"},
	} {
		in := input(t, "2027-03-29T08:00")
		in.Readings = append([]record.LogReading{}, two...)
		c.edit(&in)
		var got []string
		for _, w := range Compute(in).Windows {
			got = append(got, fmt.Sprintf("%s %s to %s %d days %d readings %s/%s", w.Which, w.From, w.To, w.Days, w.Readings, w.Systolic.Text(1), w.Diastolic.Text(1)))
		}
		if s := strings.Join(got, "; "); s != c.want {
			t.Errorf("%s:\n%s\nwant\n%s", c.why, s, c.want)
		}
	}
}

// Whatever differs between two windows is said, and then nothing is called a change.
func TestConditions(t *testing.T) {
	for _, c := range []struct {
		why, want string
		edit      func(*Input)
	}{
		{"the arm", "the arm changed from left to right", func(in *Input) {
			for i := 28; i < 56; i++ {
				in.Readings[i].Arm = record.Right
			}
		}},
		{"the cuff", "the cuff changed", func(in *Input) {
			for i := range in.Readings {
				in.Readings[i].Cuff = []string{"old", "new"}[i/28]
			}
		}},
		{"the hours", "the hours differ: 50 % of the baseline was read in the morning, 100 % of the follow-up", func(in *Input) {
			for i := 28; i < 56; i++ {
				in.Readings[i].At = unit.At(in.Readings[i].At.Date(), 8*60+unit.Clock(i%4))
			}
		}},
		{"a medicine between", "a medicine changed on 2027-02-10, allowed: 28 days or more before the baseline, or after the follow-up", func(in *Input) {
			in.Client.Medicines = []record.Medicine{{Changed: testkit.Date(t, "2027-02-10")}}
		}},
		{"a medicine settling, 27 days before", "a medicine changed on 2026-12-22, allowed: 28 days or more before the baseline, or after the follow-up", func(in *Input) {
			in.Client.Medicines = []record.Medicine{{Changed: testkit.Date(t, "2026-12-22")}}
		}},
		{"a medicine settled, 28 days before", "", func(in *Input) {
			in.Client.Medicines = []record.Medicine{{Changed: testkit.Date(t, "2026-12-21")}}
		}},
		{"a medicine after", "", func(in *Input) { in.Client.Medicines = []record.Medicine{{Changed: testkit.Date(t, "2027-03-29")}} }},
		{"few sessions", "45.8 % of the sessions that were due were done, needed: 50 % for any word on an effect", func(in *Input) {
			in.Plan, in.Asked = plan(testkit.Date(t, "2027-02-01"), 8), true
			for _, s := range in.Plan.Sessions[:11] {
				in.Sessions = append(in.Sessions, record.SessionRow{At: s.Start, UID: s.UID, Outcome: record.Completed})
			}
		}},
		{"half the sessions", "", func(in *Input) {
			in.Plan, in.Asked = plan(testkit.Date(t, "2027-02-01"), 8), true
			for _, s := range in.Plan.Sessions[:12] {
				in.Sessions = append(in.Sessions, record.SessionRow{At: s.Start, UID: s.UID, Outcome: record.Completed})
			}
		}},
	} {
		in := input(t, "2027-03-29T08:00")
		in.Readings = append(week(testkit.Date(t, "2027-01-18"), 150, 90), week(testkit.Date(t, "2027-03-22"), 125, 80)...)
		c.edit(&in)
		r := Compute(in)
		want := ClearChange
		if c.want != "" {
			want = NotComparable
		}
		if strings.Join(r.Because, "; ") != c.want || r.Verdict != want {
			t.Errorf("%s: %s, %q; want %s, %q", c.why, r.Verdict, r.Because, want, c.want)
		}
	}
}

// Readings within half an hour are one sitting and count by their mean; a standing reading is set beside it.
func TestSittings(t *testing.T) {
	in := input(t, "2027-02-10T09:00")
	at := func(clock string) unit.Local { return testkit.Local(t, "2027-02-09T"+clock) }
	in.Readings = []record.LogReading{
		{At: at("07:00"), Systolic: 184, Diastolic: 100, Pulse: 80}, {At: at("07:05"), Systolic: 176, Diastolic: 96}, {At: at("07:06"), Systolic: 177, Diastolic: 95, Pulse: 70},
		{At: at("07:08"), Systolic: 150, Diastolic: 84, Standing: true, Note: "dizzy"},
		{At: at("07:30"), Systolic: 140, Diastolic: 84},
		{At: at("20:00"), Systolic: 120, Diastolic: 80, Standing: true},
		{At: at("06:00"), Systolic: 200, Diastolic: 120, FromRecord: true},
	}
	in.Sessions = []record.SessionRow{{At: at("19:00"), Systolic: 166, Diastolic: 94, Outcome: record.NotStarted}}
	r := Compute(in)
	var got []string
	for _, s := range r.Sittings {
		got = append(got, fmt.Sprintf("%s %d %s/%s %s %v %v", s.At.Clock(), s.Readings, s.Systolic.Text(1), s.Diastolic.Text(1), s.Pulse.Text(0), s.Symptoms, s.LowSymptoms))
	}
	for _, s := range r.Standing {
		got = append(got, fmt.Sprintf("%s standing %s, seated %v %s, %v", s.At.Clock(), s.Systolic, s.Seated, s.SeatedSystolic.Text(1), s.LowSymptoms))
	}
	want := []string{"07:00 3 179/97 75 true true", "07:30 1 140/84 0 false false", "19:00 1 166/94 0 false false",
		"07:08 standing 150, seated true 179, true", "20:00 standing 120, seated false 0, false"}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("got\n%s", strings.Join(got, "\n"))
	}
	if r.HighDays != 1 {
		t.Errorf("%d high days, want 1: three sittings of a day are one", r.HighDays)
	}
}

// What was done counts against what was due; an incident never counts as done; a gate that stayed shut is a stop.
func TestTraining(t *testing.T) {
	in := input(t, "2027-03-01T08:00") // four weeks and one session: 13 due
	in.Plan, in.Asked = plan(testkit.Date(t, "2027-02-01"), 8), true
	in.Plan.Sessions[2].Status = record.Cancelled // 12
	row := func(i int, o record.Outcome, edit func(*record.SessionRow)) {
		s := in.Plan.Sessions[i]
		x := record.SessionRow{At: s.Start, UID: s.UID, Outcome: o, File: "s.csv", Line: len(in.Sessions) + 2}
		if edit != nil {
			edit(&x)
		}
		in.Sessions = append(in.Sessions, x)
	}
	for i := range 6 {
		row(i, record.Completed, nil)
	}
	row(6, record.Stopped, func(x *record.SessionRow) { x.Hand, x.HeldSeconds = record.Left, unit.Int(80) })
	row(7, record.Stopped, func(x *record.SessionRow) { x.Hand, x.HeldSeconds = record.Left, unit.MustDec("75.5") })
	row(7, record.Completed, nil) // the page wrote on after the hand let go
	row(8, record.NotStarted, func(x *record.SessionRow) { x.Systolic, x.Diastolic = 166, 94 })
	row(9, record.NotStarted, nil)
	row(10, record.Completed, func(x *record.SessionRow) { x.Symptoms, x.Told = "fainted", "R. Okafor" })
	in.Sessions = append(in.Sessions, record.SessionRow{At: in.Now, UID: "zz", Outcome: record.Completed})
	r := Compute(in)
	tr := r.Training
	if tr.Due != 12 || tr.Done != 5 || !tr.Known || tr.CourseShare.Percent() != "41.7 %" || tr.TwoWeekShare.Percent() != "0 %" || tr.Strange != 1 {
		t.Errorf("%+v %s %s", tr, tr.CourseShare, tr.TwoWeekShare)
	}
	if tr.Stops != 3 { // the second week before, the gate, the faint; not the one of 15 February, which is two weeks and more ago
		t.Errorf("%d stops", tr.Stops)
	}
	if len(tr.DropOuts) != 1 || tr.DropOuts[0].Hand != record.Left || tr.DropOuts[0].Sessions != 1 || tr.DropOuts[0].Shortest.String() != "75.5" {
		t.Errorf("%+v", tr.DropOuts)
	}
	if len(r.Incidents) != 1 || r.Incidents[0].What != "faint" || r.Incidents[0].Session != "Grip, week 4" || r.Incidents[0].Load != "right 12 kgf, left 10.5 kgf" || r.Incidents[0].Told != "R. Okafor" {
		t.Errorf("%+v", r.Incidents)
	}
	var weeks []string
	for _, w := range tr.Weeks {
		weeks = append(weeks, fmt.Sprintf("%d: %d due %d done %d stopped %d gate %d not", w.Week, w.Due, w.Done, w.Stopped, w.GateShut, w.Not))
	}
	want := "1: 2 due 2 done 0 stopped 0 gate 0 not\n2: 3 due 3 done 0 stopped 0 gate 0 not\n3: 3 due 0 done 2 stopped 1 gate 0 not\n4: 3 due 0 done 1 stopped 0 gate 2 not\n5: 1 due 0 done 0 stopped 0 gate 1 not"
	if strings.Join(weeks, "\n") != want {
		t.Errorf("got\n%s", strings.Join(weeks, "\n"))
	}
	in.Asked, in.Sessions = false, nil
	if Compute(in).Training != nil {
		t.Error("no session log, and yet something is known of sessions")
	}
}

// A pause that is told of when it has begun leaves its sessions in the plan. They are not owed; one that was done all the same
// counts.
func TestTrainingInAPause(t *testing.T) {
	in := input(t, "2027-03-01T08:00")
	in.Plan, in.Asked = plan(testkit.Date(t, "2027-02-01"), 8), true
	in.Plan.Pauses = []record.Span{{From: testkit.Date(t, "2027-02-08"), To: testkit.Date(t, "2027-02-14")}}
	in.Plan.Closed = []record.Span{{From: testkit.Date(t, "2027-02-17"), To: testkit.Date(t, "2027-02-17")}}
	in.Open = history.New(history.Input{Client: in.Client, Pauses: in.Plan.Pauses, Closed: in.Plan.Closed}).Open
	for i, s := range in.Plan.Sessions[:4] { // the first week, and the first session of the pause
		in.Sessions = append(in.Sessions, record.SessionRow{At: s.Start, UID: s.UID, Outcome: record.Completed, File: "s.csv", Line: i + 2})
	}
	if tr := Compute(in).Training; tr.Due != 10 || tr.Done != 4 || len(tr.Weeks) != 5 || tr.Weeks[1].Due != 1 || tr.Weeks[1].Not != 0 || tr.Weeks[2].Due != 2 {
		t.Errorf("%+v", tr)
	}
}

// A fall noted hours after a session is an incident of it; one on another day is not, and both are symptoms.
func TestIncidentAfterASession(t *testing.T) {
	in := input(t, "2027-02-10T09:00")
	in.Plan, in.Asked = plan(testkit.Date(t, "2027-02-01"), 8), true
	s := in.Plan.Sessions[0]
	in.Sessions = []record.SessionRow{{At: s.Start, UID: s.UID, Outcome: record.Completed}}
	in.Readings = []record.LogReading{{At: s.Start + 3*60, Systolic: 130, Diastolic: 80, Note: "passed out at work"}, {At: s.Start + 48*60, Systolic: 130, Diastolic: 80, Note: "passed out"}}
	r := Compute(in)
	if len(r.Events) != 2 || len(r.Incidents) != 1 || r.Training.Done != 0 {
		t.Errorf("%d events, %d incidents, %d done", len(r.Events), len(r.Incidents), r.Training.Done)
	}
}
