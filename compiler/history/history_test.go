package history

import (
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"slices"
	"testing"
	"time"

	"isocue.example/compiler/internal/testkit"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

var cases = flag.String("cases", "testdata/days.json", "histories and what holds on their days")

// A case is one history, and what a second reading of the same rules, written in another language, says of its days.
type a struct {
	Conditions []struct{ Code, Side, Since, Until string }
	Rows       [][]any // uid, modality, date, whether it carries a number, status
	Log        [][3]string
	Now        string
	Trained    []string
	Days       [][]any // day, modalities closed, whether tests are, hands barred
}

func day(t *testing.T, s string) unit.Date {
	t.Helper()
	if s == "" {
		return 0
	}
	return testkit.Date(t, s)
}

func effects(what string, ms ...record.Modality) map[record.Modality]string {
	out := map[record.Modality]string{}
	for _, m := range ms {
		out[m] = what
	}
	return out
}

var questions = []Question{
	{ID: "ill-now", Effects: effects("waits", record.Modalities...), WaitDays: 1, Lasts: true, Ill: true},
	{ID: "ear-or-sinus", Effects: effects("waits", record.Inspiratory), WaitDays: 7, Lasts: true},
	{ID: "hand-hurt", Effects: effects("changes", record.Handgrip)},
}

// What holds on a day, and what was trained, agree with a second reading of the same rules over random histories. Source:
// docs/architecture.md, a plan after a plan; testdata/README.md says what the file is.
func TestDays(t *testing.T) {
	src, err := os.ReadFile(*cases)
	if err != nil {
		t.Fatal(err)
	}
	var all []a
	if err := json.Unmarshal(src, &all); err != nil {
		t.Fatal(err)
	}
	seen := map[string]int{}
	for n, x := range all {
		c := &record.Client{Zone: "UTC", Screened: day(t, "2027-01-01")}
		for _, w := range x.Conditions {
			c.Conditions = append(c.Conditions, record.Condition{Code: w.Code, Side: record.Hand(w.Side), Since: day(t, w.Since), Until: day(t, w.Until)})
		}
		p := &record.Plan{Zone: "UTC", Kinds: map[string]record.Kind{}}
		for _, r := range x.Rows {
			number := r[3].(bool)
			s := record.Session{UID: r[0].(string), Protocol: "p", Kind: fmt.Sprint(number), Start: unit.At(day(t, r[2].(string)), 7*60), Status: record.Status(r[4].(string)), Seconds: 60, End: true}
			if !number && s.Status == record.Confirmed {
				s.Status = record.Provisional
			}
			p.Kinds[s.Kind] = record.Kind{Protocol: "p", Modality: record.Modality(r[1].(string)), NoNumber: !number}
			p.Sessions = append(p.Sessions, s)
		}
		var log []record.SessionRow
		for _, l := range x.Log {
			log = append(log, record.SessionRow{At: unit.At(day(t, l[0]), 7*60+10), UID: l[1], Outcome: record.Outcome(l[2])})
		}
		now, err := time.Parse(time.DateOnly, x.Now)
		if err != nil {
			t.Fatal(err)
		}
		h := New(Input{Client: c, Questions: questions, Plan: p, Log: log, Now: now})
		got := []string{}
		for _, s := range p.Sessions {
			if h.Trained(s) {
				got = append(got, s.UID)
			}
		}
		if fmt.Sprint(got) != fmt.Sprint(x.Trained) {
			t.Errorf("history %d: trained %v, want %v\n%+v", n, got, x.Trained, x)
		}
		for _, d := range x.Days {
			on := day(t, d[0].(string))
			var shut []string
			for _, m := range record.Modalities {
				if !h.Open(m, on) {
					shut = append(shut, string(m))
				}
			}
			slices.Sort(shut)
			hands := []string{}
			for hand := range Barred(c, questions, on) {
				hands = append(hands, string(hand))
			}
			slices.Sort(hands)
			if fmt.Sprint(shut) != fmt.Sprint(d[1]) || h.Testable(on) == d[2].(bool) || fmt.Sprint(hands) != fmt.Sprint(d[3]) {
				t.Errorf("history %d on %s: closed %v, tests %t, hands %v, want %v\n%+v", n, on, shut, !h.Testable(on), hands, d[1:], x.Conditions)
			}
			seen[fmt.Sprint(len(shut))]++
		}
		seen["trained"] += len(got)
	}
	if seen["6"] == 0 || seen["1"] == 0 || seen["0"] == 0 || seen["trained"] == 0 {
		t.Errorf("the cases look at too little: %v", seen)
	}
}
