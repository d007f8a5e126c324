package record

import (
	"isocue.example/compiler/unit"
)

// StepKind names a timed part of a session.
type StepKind string

const (
	Squeeze    StepKind = "squeeze"
	Squat      StepKind = "squat"
	Rest       StepKind = "rest"
	Breathe    StepKind = "breathe"
	ChangeHand StepKind = "change-hand"
	Sit        StepKind = "sit"
	ReadingDue StepKind = "reading"
	Walk       StepKind = "walk"
	Exercise   StepKind = "exercise"
)

// StepKinds lists all, for the docs.
var StepKinds = []StepKind{Squeeze, Squat, Rest, Breathe, ChangeHand, Sit, ReadingDue, Walk, Exercise}

// Step is one timed part of a session. Target, Low and High are in Unit and absent where nothing is set; a bout of
// paced breathing is one step with a pattern and a count of breaths. From names the measurement that the target
// stands on, as "grip:right:2027-01-02".
type Step struct {
	Kind    StepKind    `json:"kind"`
	Seconds unit.Tenths `json:"seconds"`
	Hand    Hand        `json:"hand,omitempty"`
	Target  *unit.Dec   `json:"target,omitempty"`
	Low     *unit.Dec   `json:"low,omitempty"`
	High    *unit.Dec   `json:"high,omitempty"`
	Unit    string      `json:"unit,omitempty"`
	Pattern *Breath     `json:"pattern,omitempty"`
	Count   int         `json:"count,omitempty"`
	From    string      `json:"from,omitempty"`
	// Intensity of a walk: light, moderate or vigorous. Name of an exercise; Count is its repetitions, Target its effort.
	Intensity string `json:"intensity,omitempty"`
	Name      string `json:"name,omitempty"`
}

// Kind is the work that sessions share: its steps sum to WorkSeconds exactly. The gate before it and the minutes
// after it are not part of it.
type Kind struct {
	Protocol    string      `json:"protocol"`
	Title       string      `json:"title"`
	Modality    Modality    `json:"modality"`
	Stage       int         `json:"stage"`
	WorkSeconds unit.Tenths `json:"workSeconds"`
	Loads       []Dose      `json:"loads,omitempty"`
	// NoNumber: once its measurement is too old, the load carries no number.
	NoNumber bool   `json:"noNumber,omitempty"`
	Steps    []Step `json:"steps"`
}

// Status is the standing of a session.
type Status string

const (
	Confirmed   Status = "confirmed"
	Provisional Status = "provisional" // past its measurement's age limit: measure first
	Cancelled   Status = "cancelled"
)

// Statuses lists all, for the docs.
var Statuses = []Status{Confirmed, Provisional, Cancelled}

// Session is one dated session. Start is wall time in its zone (Plan.ZoneOf); Seconds is what the calendar shows: the work,
// with the gate before it in the first session of a sitting and the end after it in the last.
type Session struct {
	UID      string     `json:"uid"`
	Sequence int        `json:"sequence"`
	Sheet    int        `json:"sheet"`              // number of the plan that last changed it
	Modified string     `json:"modified,omitempty"` // when it last changed, RFC 3339, UTC; empty = with its plan
	Status   Status     `json:"status"`
	Protocol string     `json:"protocol"`
	Kind     string     `json:"kind"`
	Week     int        `json:"week"` // 1 is the first
	Slot     int        `json:"slot"` // 1 is the first session of this protocol in its week
	Start    unit.Local `json:"start"`
	Zone     string     `json:"zone,omitempty"` // where it is trained, where that is not the plan's zone
	Call     string     `json:"call,omitempty"` // the emergency number there, where that is not the plan's
	Seconds  int        `json:"seconds"`
	Gate     bool       `json:"gate"` // the sitting's pressure gate stands at the head of this session
	End      bool       `json:"end"`  // the sitting's last minutes stand at the end of this session
	Moved    string     `json:"moved,omitempty"`
	// Supervised: the coach is there. First: the first session with a load, in which a first squeeze that is let go early
	// ends the session.
	Supervised bool `json:"supervised,omitempty"`
	First      bool `json:"first,omitempty"`
	// Gathered: where its day has several sessions of the protocol, one entry stands for all; Whole: that entry is this one's. Merged: it
	// had an entry of its own in an earlier plan, which is cancelled.
	Gathered bool `json:"gathered,omitempty"`
	Whole    bool `json:"whole,omitempty"`
	Merged   bool `json:"merged,omitempty"`
	// Text is a digest of what its calendar entry says, stamps and numbers left out.
	Text string `json:"text,omitempty"`
}

// Until is the minute at which a session ends, a broken one counted whole.
func (s Session) Until() unit.Local { return s.Start + unit.Local((s.Seconds+59)/60) }

// OtherKind names an all-day entry.
type OtherKind string

const (
	Baseline OtherKind = "baseline"
	Final    OtherKind = "final"
	Measure  OtherKind = "measure"
	Check    OtherKind = "check"
	Review   OtherKind = "review"
)

// OtherKinds lists all, for the docs.
var OtherKinds = []OtherKind{Baseline, Final, Measure, Check, Review}

// Other is an all-day entry. About is the protocol it belongs to.
type Other struct {
	UID      string    `json:"uid"`
	Sequence int       `json:"sequence"`
	Sheet    int       `json:"sheet"`
	Modified string    `json:"modified,omitempty"`
	Status   Status    `json:"status"`
	What     OtherKind `json:"what"`
	Date     unit.Date `json:"date"`
	About    string    `json:"about,omitempty"`
	Text     string    `json:"text,omitempty"` // as in Session
}

// Unplaced is a session that found no place, and the smallest change that would give it one.
type Unplaced struct {
	Week     int    `json:"week"`
	Protocol string `json:"protocol"`
	Reason   string `json:"reason"`
	Fix      string `json:"fix"`
}

// Gate holds the numbers that the pressure gate prints. They come from the rules; nothing else may write them.
type Gate struct {
	Systolic  unit.Dec `json:"systolic"`  // mmHg; at or over it there is no session today
	Diastolic unit.Dec `json:"diastolic"` // mmHg
	// At or over this pair there are no squeezes, squats or loaded breathing today; 0 where a clinician opened the gate for them.
	EffortSystolic  unit.Dec `json:"effortSystolic,omitzero"`
	EffortDiastolic unit.Dec `json:"effortDiastolic,omitzero"`
	// Under the first pressure there is no session, and the coach is told; under the second, the clinic, or 0 in a plan that was made
	// before it was drawn. Over the first pulse the coach is told, over the second the clinic.
	LowSystolic unit.Dec `json:"lowSystolic,omitzero"`
	LowClinic   unit.Dec `json:"lowClinic,omitzero"`
	PulseCoach  unit.Dec `json:"pulseCoach,omitzero"`
	PulseClinic unit.Dec `json:"pulseClinic,omitzero"`
	// Pregnancy gate: the first pair sends to the maternity unit today, this pair to the emergency number; 0 without one.
	EmergencySystolic  unit.Dec `json:"emergencySystolic,omitzero"`
	EmergencyDiastolic unit.Dec `json:"emergencyDiastolic,omitzero"`
	Maternity          bool     `json:"maternity,omitempty"`
}

// Sitting holds the timings around the work; schema/base/sitting.cue says what each rests on.
type Sitting struct {
	SitSeconds                               int         // rest before the readings
	Readings                                 int         // readings at the gate
	ReadingSeconds                           int         // one reading
	EndSeconds                               int         // quiet sitting after the work
	ChangeHandSeconds                        int         // taken from the rest between squeezes
	TestTrials, TestSeconds, TestRestSeconds int         // a maximal grip test at home: trials a hand, length, rest
	FirstHoldSeconds                         int         // a first squeeze let go sooner ends the session
	Breath                                   unit.Tenths // a paced breath where the protocol sets no pace
	Repetition                               unit.Tenths // one repetition of an exercise
	HighLoad                                 unit.Dec    // a loaded breath of this share or more carries no number once its measurement is too old
	LoadTolerance                            unit.Dec    // share of the maximum either side of the set load
	StartMinutes                             int         // start times stand on this grid
	SameSitting                              int         // readings closer than this many minutes belong to one sitting
	WindowDays                               int         // days of a home reading window
	ReadingWaitMinutes                       int         // between the end of a sitting and the next reading
	HighDays                                 int         // days over the line for effort after which the prescriber is told
}

// GateSeconds is the length of the gate.
func (s Sitting) GateSeconds() int { return s.SitSeconds + s.Readings*s.ReadingSeconds }

// CourseDays holds what stands in a course beside its sessions; schema/base/course.cue says what each rests on.
type CourseDays struct {
	Baseline, Final int   // days of readings before the course, and at its end
	Reviews         []int // weeks after which trainer and client meet
	Check           int   // weeks after which readings go to the prescriber
	Notice          int   // days before a clearance ends
	Quiet           int   // days without any word of a client who trains
}

// Caution is one sentence that every output a person reads must carry.
type Caution struct {
	ID   string `json:"id"`
	Text string `json:"text"`
}

// Pressure is the resting pressure at the start, in mmHg, and its class by one guideline set.
type Pressure struct {
	Systolic  unit.Dec `json:"systolic"`
	Diastolic unit.Dec `json:"diastolic"`
	Readings  int      `json:"readings"`
	Setting   string   `json:"setting,omitempty"`
	Set       string   `json:"set"`
	Class     string   `json:"class,omitempty"`
}
