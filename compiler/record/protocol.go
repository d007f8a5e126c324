// Package record holds the plain facts that travel between the rooms of the compiler.
//
// A Protocol is what a lead coach wrote, a Client who it is for, a Dose the loads worked out for one client and one
// stage, a Kind the steps that sessions share, a Session one dated sitting, a Plan every session of a programme. A
// record has already passed the schema: its units and spans are sound, whether its values are safe is for the rules.
package record

import "isocue.example/compiler/unit"

// Modality is the kind of training.
type Modality string

const (
	Handgrip      Modality = "handgrip"
	WallSquat     Modality = "wall-squat"
	SlowBreathing Modality = "slow-breathing"
	Inspiratory   Modality = "inspiratory"
	Walking       Modality = "walking"
	Strength      Modality = "strength"
)

// Modalities lists all, in the order of pages and messages.
var Modalities = []Modality{Handgrip, WallSquat, SlowBreathing, Inspiratory, Walking, Strength}

// Hold says whether the modality is made of squeezes or squats, which come before paced breathing in a sitting.
func (m Modality) Hold() bool { return m == Handgrip || m == WallSquat }

// Effort says whether the modality is an effort, which a pressure over the line for effort closes: all but slow breathing. A walk and
// an exercise count as one, though nobody holds anything in them.
func (m Modality) Effort() bool { return m != SlowBreathing }

// Companion says whether the modality goes along with the others: nothing is measured for its load.
func (m Modality) Companion() bool { return m == Walking || m == Strength }

// Rank is the place of a modality in a sitting: squeezes and squats first, then exercises, then walks, paced breathing last.
func (m Modality) Rank() int {
	switch {
	case m.Hold():
		return 0
	case m == Strength:
		return 1
	case m == Walking:
		return 2
	}
	return 3
}

// Hand is a side.
type Hand string

const (
	Right Hand = "right"
	Left  Hand = "left"
	Both  Hand = "both" // only in a step: both hands squeeze at once
)

// Other is the opposite hand.
func (h Hand) Other() Hand {
	if h == Right {
		return Left
	}
	return Right
}

// Hands says which hands a handgrip protocol trains.
type Hands string

const (
	Alternate   Hands = "alternate"   // one after the other, squeeze by squeeze
	Together    Hands = "together"    // both squeeze at once
	OnlyLeft    Hands = "left"        // the left hand alone
	OnlyRight   Hands = "right"       // the right hand alone
	Dominant    Hands = "dominant"    // the hand the client writes with
	NonDominant Hands = "nonDominant" // the other one
)

// Breath is one paced breath: inhale, pause, exhale, rest; the second and fourth may be 0.
type Breath struct {
	Inhale unit.Tenths `json:"inhaleSeconds"`
	Pause  unit.Tenths `json:"pauseSeconds,omitempty"`
	Exhale unit.Tenths `json:"exhaleSeconds"`
	Rest   unit.Tenths `json:"restSeconds,omitempty"`
}

// Cycle is the length of one breath.
func (b Breath) Cycle() unit.Tenths { return b.Inhale + b.Pause + b.Exhale + b.Rest }

// Stage is one stretch of a course with its whole dose: a ramp entry laid over the protocol, or the main course.
type Stage struct {
	Index    int  // 0 is the first stretch
	Ramp     bool // false only for the main course, which comes last
	FromWeek int  // 1 is the first week of the course
	Weeks    int

	Load          unit.Dec // share of the client's own maximum, 0 to 1; 0 for slow breathing
	HoldSeconds   int
	RestSeconds   int
	Rounds        int
	Hands         Hands
	StartHand     Hand // the hand that squeezes first; "" = the dominant hand
	Breath        Breath
	Minutes       unit.Dec // length of a breathing session or of a walk
	DaysPerWeek   int
	PerDay        int // sessions a day
	Sets, Breaths int // inspiratory: counted sets and breaths a set
	Squat         SquatLoad
	Intensity     string   // walking: light, moderate or vigorous
	Exercises     []string // strength: in order; its effort stands in Squat.Effort, its sets in Sets
	Repetitions   int      // strength: repetitions in a set
}

// Protocol is one modality with its dose, its week and its course.
type Protocol struct {
	ID, Title string
	Titles    map[string]string // in other languages, by tag
	Revision  int
	Modality  Modality
	Weeks     int // the whole course, ramp included
	// RetestWeeks is after how many weeks the author wants a new measurement; 0 = none beside the rules'.
	RetestWeeks int
	Stages      []Stage
}

// StageAt is the stage of a week (1 is the first); the main course for any later week.
func (p *Protocol) StageAt(week int) *Stage {
	for i := range p.Stages {
		if s := &p.Stages[i]; week < s.FromWeek+s.Weeks {
			return s
		}
	}
	return &p.Stages[len(p.Stages)-1]
}

// WeekMinutes is the minutes of a week of walks.
func (s *Stage) WeekMinutes() unit.Dec {
	return s.Minutes.Mul(unit.Int(int64(s.DaysPerWeek * s.PerDay)))
}

// Squeezes counts the squeezes of a session by hand. Hands that squeeze together count once each a round.
func (s *Stage) Squeezes(dominant Hand) map[Hand]int {
	n := map[Hand]int{}
	for _, h := range s.Order(dominant) {
		if h == Both {
			n[Left]++
			n[Right]++
		} else {
			n[h]++
		}
	}
	return n
}

// Order is the hand of each squeeze of a session.
func (s *Stage) Order(dominant Hand) []Hand {
	first := s.StartHand
	if first == "" {
		first = dominant
	}
	out := make([]Hand, 0, s.Rounds)
	for i := range s.Rounds {
		switch s.Hands {
		case Together:
			out = append(out, Both)
		case OnlyLeft:
			out = append(out, Left)
		case OnlyRight:
			out = append(out, Right)
		case Dominant:
			out = append(out, dominant)
		case NonDominant:
			out = append(out, dominant.Other())
		default:
			if i%2 == 0 {
				out = append(out, first)
			} else {
				out = append(out, first.Other())
			}
		}
	}
	return out
}
