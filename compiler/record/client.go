package record

import (
	"time"

	"isocue.example/compiler/unit"
)

// Client is what the compiler needs of a client record. The name is kept apart: it is printed on nothing that this
// package's users emit.
type Client struct {
	ID            string
	Zone          string // IANA name
	Dominant      Hand
	Contacts      Contacts
	Grip          []GripTest
	Gauges        []Gauge
	Hours         []Hours
	Away          []Span
	BloodPressure []Reading
	Answers       map[string]string // question id -> "yes" | "no" | "unanswered"
	Screened      unit.Date
	QuestionSet   int
}

// Contacts says whom to call.
type Contacts struct{ Coach, Prescriber, Emergency string }

// GripTest is one hand's maximum on one day with one gauge.
type GripTest struct {
	Date   unit.Date
	Hand   Hand
	Unit   unit.ForceUnit
	Trials []unit.Dec
	Mean   bool // score: the mean of the trials instead of the best
	Gauge  string
	// Index is the place in the record's list, for messages.
	Index int
}

// Score is the maximum that the trials stand for, in the test's unit.
func (t GripTest) Score() unit.Dec {
	var best, sum unit.Dec
	for _, x := range t.Trials {
		sum = sum.Add(x)
		if best.Less(x) {
			best = x
		}
	}
	if t.Mean && len(t.Trials) > 0 {
		return sum.Quo(unit.Int(int64(len(t.Trials))))
	}
	return best
}

// Gauge is a grip gauge that the client has at home.
type Gauge struct {
	ID   string
	Unit unit.ForceUnit
	Step unit.Dec // the smallest difference it shows, in its unit
}

// Hours is a stretch of the day, on some days of the week, in which the client can train.
type Hours struct {
	Days     []time.Weekday
	From, To unit.Clock
}

// On says whether the stretch stands on this weekday.
func (h Hours) On(d time.Weekday) bool {
	for _, x := range h.Days {
		if x == d {
			return true
		}
	}
	return false
}

// Span is a stretch of days, both ends included.
type Span struct{ From, To unit.Date }

// Has says whether d lies in the span.
func (s Span) Has(d unit.Date) bool { return s.From <= d && d <= s.To }

// Reading is one blood pressure reading in mmHg.
type Reading struct {
	At                  unit.Local
	Systolic, Diastolic int
	Setting             string // home | clinic
	Index               int
}

// Dose is one hand's load in one stage, in the gauge's unit and step.
type Dose struct {
	Protocol string         `json:"-"`
	Stage    int            `json:"-"`
	Hand     Hand           `json:"hand"`
	Unit     unit.ForceUnit `json:"unit"`
	Maximum  unit.Dec       `json:"maximum"` // the measured maximum
	Wanted   unit.Dec       `json:"wanted"`  // share x maximum, exact
	Set      unit.Dec       `json:"target"`  // wanted, rounded down to the gauge's step
	Share    unit.Dec       `json:"share"`   // set / maximum
	Step     unit.Dec       `json:"step"`
	Low      unit.Dec       `json:"low"`
	High     unit.Dec       `json:"high"`
	Gauge    string         `json:"gauge"`
	Measured unit.Date      `json:"measured"`
}

// NewestGrip is the newest test of a hand on or before the day, or where there is none the newest of all; nil when the
// hand was never measured.
func (c *Client) NewestGrip(h Hand, day unit.Date) *GripTest {
	var in, any *GripTest
	for i := range c.Grip {
		t := &c.Grip[i]
		if t.Hand != h {
			continue
		}
		if any == nil || t.Date >= any.Date {
			any = t
		}
		if t.Date <= day && (in == nil || t.Date >= in.Date) {
			in = t
		}
	}
	if in != nil {
		return in
	}
	return any
}

// Gauge finds a gauge of the client's by id; nil when there is none.
func (c *Client) Gauge(id string) *Gauge {
	for i := range c.Gauges {
		if c.Gauges[i].ID == id {
			return &c.Gauges[i]
		}
	}
	return nil
}
