package progress

import (
	"fmt"
	"slices"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// Step is what comes next; the coach decides.
type Step string

const (
	Continue  Step = "continue"
	Wait      Step = "wait"
	StepBack  Step = "step back"
	Remeasure Step = "re-measure"
	Finish    Step = "finish"
)

// Steps lists all, for the docs.
var Steps = []Step{Continue, Wait, StepBack, Remeasure, Finish}

// Next is the step that what was found asks for, and why.
type Next struct {
	Step  Step
	Why   string
	Newer bool     // the record has a measurement that the plan's loads do not stand on yet
	Back  *Lighter // for a step back: the hand that lets go early, and the load one step down
}

// Lighter is a hand's load one step of the gauge down. Load is 0 where the gauge has no lower step.
type Lighter struct {
	Hand     record.Hand
	Sessions int
	Held     unit.Dec // the shortest hold, seconds
	Set      unit.Dec // as it is now
	Load     unit.Dec
	Share    unit.Dec // of the hand's maximum
	Unit     string
}

// Decide names the next step: what closes training before anything else, then what keeps a client from training as planned.
func Decide(f *Followed) {
	n := &f.Next
	n.Step, n.Why = Continue, "nothing found asks for anything else"
	if f.Plan == nil {
		n.Why = "nothing found asks for anything else; without the plan nothing is known of the course"
	}
	switch due := f.told("log-measure-due"); {
	case f.Closing() != nil:
		worst := slices.IndexFunc(f.Tells, func(t Tell) bool { return len(t.Closed) > 0 })
		n.Step, n.Why = Wait, fmt.Sprintf("training is closed since %s until a clearance of a later day: %s", f.Closing().On, f.Tells[worst].Why)
		if f.Tells[worst].Day {
			n.Why = fmt.Sprintf("training is closed today: %s", f.Tells[worst].Why)
		}
	case f.Entered != nil && len(f.Entered.Held) > 0:
		n.Step, n.Why = Wait, "training is held: "+f.Entered.Held[0].Says
	case f.told("log-stops") != nil:
		n.Step, n.Why = StepBack, f.told("log-stops").Why
		n.Back = lighter(f)
	case f.Plan != nil && f.CourseEnd != 0 && f.CourseEnd < f.At.Date():
		n.Step, n.Why = Finish, fmt.Sprintf("the last session of the course was on %s", f.CourseEnd)
		if f.Entered != nil && f.Entered.Course != nil {
			n.Why += "; " + Asks(f.Entered.Course) + ", and the plan does not have it"
		}
	case due != nil:
		n.Step, n.Why = Remeasure, due.Why
	}
}

// lighter is the load one step down for the hand that lets go early; nil where no hand is named.
func lighter(f *Followed) *Lighter {
	if f.Training == nil || len(f.Training.DropOuts) == 0 || f.Plan == nil {
		return nil
	}
	d := f.Training.DropOuts[0]
	for _, x := range f.Training.DropOuts {
		if x.Sessions > d.Sessions {
			d = x
		}
	}
	out := &Lighter{Hand: d.Hand, Sessions: d.Sessions, Held: d.Shortest}
	for _, s := range f.Plan.Sessions { // the newest load of the hand that has been trained
		if s.Start > f.At {
			break
		}
		for _, x := range f.Plan.Kinds[s.Kind].Loads {
			if x.Hand == d.Hand && x.Step.Sign() > 0 {
				out.Set, out.Unit, out.Load, out.Share = x.Set, x.Unit, x.Set.Sub(x.Step), unit.Dec{}
				if out.Load.Sign() <= 0 {
					out.Load = unit.Dec{}
				} else if x.Maximum.Sign() > 0 {
					out.Share = out.Load.Quo(x.Maximum)
				}
			}
		}
	}
	return out
}
