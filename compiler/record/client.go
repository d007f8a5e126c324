package record

import (
	"time"

	"isocue.example/compiler/unit"
)

// ClientSystem is the system of a client's id in a health record (HL7 FHIR). The name is reserved and leads nowhere.
const ClientSystem = "https://isocue.example/client"

// LOINC and UCUM are the systems of codes and of units in a health record.
const (
	LOINC = "http://loinc.org"
	UCUM  = "http://unitsofmeasure.org"
)

// Client is what the compiler needs of a client record. The name is kept apart: it is printed on nothing that this
// package's users emit.
type Client struct {
	ID                            string
	Zone                          string // IANA name
	Dominant                      Hand
	Contacts                      Contacts
	Born                          int    // year, 0 where it is not known
	Sex                           string // female, male or ""
	WeightKg                      unit.Dec
	HeightCm                      unit.Dec
	Taught                        unit.Date // when the first, supervised session was held; 0 where it was not
	Grip                          []GripTest
	Gauges                        []Gauge
	Inspiratory                   []InspiratoryTest
	Trainers                      []Trainer
	Squat                         []SquatTest
	Walking                       []WalkingLevel
	Conditions                    []Condition
	Medicines                     []Medicine
	Clearances                    []Clearance
	LimitSystolic, LimitDiastolic int // the prescriber's own gate for this client, mmHg; 0 where there is none
	Hours                         []Hours
	Away                          []Span
	BloodPressure                 []Reading
	Answers                       map[string]string // question id -> "yes" | "no" | "unanswered"
	Screened                      unit.Date
	Asked                         unit.Date // the symptom questions alone were asked again, by the diary; 0 where they were not
	QuestionSet                   int
	// Of the diary alone.
	TaughtOf map[Modality]unit.Date // when a supervised session of a modality was held last
	Later    []Later                // what is otherwise from a later day on, by day
	Easings  []Easing
}

// Later is what of a record is otherwise from a day on; what is empty stays as it was before.
type Later struct {
	From            unit.Date
	Zone, Emergency string
	Hours           []Hours
}

// Easing is a step down that the coach takes, for a week.
type Easing struct {
	From     unit.Date
	Protocol string
}

// TaughtIn is when a modality was taught under supervision last, by the record or the diary; 0 where it was not.
func (c *Client) TaughtIn(m Modality) unit.Date { return max(c.Taught, c.TaughtOf[m]) }

// Lives is the zone in which the client lives on a day that has come or is to come, and the emergency number there.
func (c *Client) Lives(day unit.Date) (zone, emergency string) {
	zone, emergency = c.Zone, c.Contacts.Emergency
	for _, x := range c.Later {
		if x.From <= day && x.Zone != "" {
			zone, emergency = x.Zone, x.Emergency
		}
	}
	return zone, emergency
}

// Moves are the moves of days after one.
func (c *Client) Moves(after unit.Date) (out []Elsewhere) {
	for _, x := range c.Later {
		if x.From > after && x.Zone != "" {
			out = append(out, Elsewhere{x.From, x.Zone, x.Emergency})
		}
	}
	return out
}

// Contacts says whom to call.
type Contacts struct{ Client, Coach, Prescriber, Emergency, Clinic, MaternityUnit string }

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
type Span struct {
	From unit.Date `json:"from"`
	To   unit.Date `json:"to"`
}

// Has says whether d lies in the span.
func (s Span) Has(d unit.Date) bool { return s.From <= d && d <= s.To }

// Reading is one blood pressure reading in mmHg.
type Reading struct {
	At                  unit.Local
	Systolic, Diastolic int
	Pulse               int    // beats a minute, 0 where it was not taken
	Setting             string // home | clinic
	Arm                 Hand   // "" where it was not noted
	Settled             bool   // an alert about it was ended by a call and what came after
	Noted               bool   // the diary has it
	Index               int
}

// InspiratoryTest is the maximal inspiratory pressure of one day.
type InspiratoryTest struct {
	Date   unit.Date
	Unit   unit.PressureUnit
	Trials []unit.Dec
	Static bool
	Index  int
}

// Best is the best trial, on which the load stands.
func (t InspiratoryTest) Best() unit.Dec { return GripTest{Trials: t.Trials}.Score() }

// Trainer is an inspiratory trainer with its settings, in the order of the record.
type Trainer struct {
	ID       string
	Settings []Setting
}

// Setting is one setting of a trainer.
type Setting struct {
	Label string   `json:"label"`
	CmH2O unit.Dec `json:"cmH2O"`
}

// SquatTest is a wall-squat step test; its stages run from the straightest knee to the most bent.
type SquatTest struct {
	Date   unit.Date
	Stages []SquatStage
	Ended  string
	Index  int
}

// SquatStage is one stage of a step test. 180 degrees is a straight leg.
type SquatStage struct {
	KneeDegrees int
	HeelCm      unit.Dec
	HeartRate   int
}

// WalkingLevel is the minutes that a client walks in a usual week.
type WalkingLevel struct {
	Date    unit.Date
	Minutes int
	Index   int
}

// WalkedOn is the newest walking level noted on or before a day; nil without one. What is noted after the start of a course
// is what the course did, and begins no other.
func (c *Client) WalkedOn(day unit.Date) (out *WalkingLevel) {
	for i := range c.Walking {
		if l := &c.Walking[i]; l.Date <= day && (out == nil || out.Date <= l.Date) {
			out = l
		}
	}
	return out
}

// Condition is the detail of a yes. Since and Until are 0 where the record has none.
type Condition struct {
	Code         string
	Side         Hand
	Since, Until unit.Date
	Index        int
}

// Medicine is a medicine by class, and when it last changed.
type Medicine struct {
	Class   string
	Changed unit.Date
	Stopped bool // it is taken no more since it changed last
	Index   int
}

// Clearance is a named clinician's opening of one gate for some modalities.
type Clearance struct {
	Gate, Role  string
	Modalities  []Modality
	Date, Until unit.Date
	Index       int
}

// NewestGrip is the newest test of a hand on or before the day, or where there is none the newest of all; nil when the
// hand was never measured.
func (c *Client) NewestGrip(h Hand, day unit.Date) (out *GripTest) {
	for i := range c.Grip {
		if t := &c.Grip[i]; t.Hand == h && (out == nil || newer(t.Date, out.Date, day)) {
			out = t
		}
	}
	return out
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

// NewestInspiratory is the newest static test on or before the day; where there is none, the newest of all tests, so that a
// rule can say what is wrong with it; nil without one.
func (c *Client) NewestInspiratory(day unit.Date) (out *InspiratoryTest) {
	for i := range c.Inspiratory {
		t := &c.Inspiratory[i]
		if out != nil && out.Static && out.Date <= day && !t.Static {
			continue // a dynamic index never takes the place of a static test
		}
		if out == nil || t.Static && t.Date <= day && !out.Static || newer(t.Date, out.Date, day) {
			out = t
		}
	}
	return out
}

// NewestSquat is the newest step test on or before the day, or where there is none the newest of all; nil without one.
func (c *Client) NewestSquat(day unit.Date) (out *SquatTest) {
	for i := range c.Squat {
		if t := &c.Squat[i]; out == nil || newer(t.Date, out.Date, day) {
			out = t
		}
	}
	return out
}

// newer says whether a test of date a counts before one of date b on a day: one that has been made counts before one
// that has not, then the later one, and of two on one day a, which stands later in the list: a record is written downward.
func newer(a, b, day unit.Date) bool {
	if (a <= day) != (b <= day) {
		return a <= day
	}
	return a >= b
}
