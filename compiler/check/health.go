package check

import (
	"slices"
	"strings"

	"isocue.example/compiler/history"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/unit"
)

// Gates that are neither a condition nor a class of medicine.
const (
	gatePressure = "pressure"
	gatePulse    = "pulse"
	gateAge      = "age"
)

var plainGates = []string{gatePressure, gatePulse, gateAge}

// GateLog is the gate that a log shuts, and the code of the condition that shuts it without the log.
const GateLog = "alert-in-log"

// condition is the newest entry of a code by its dates, whatever the order of the record: of two operations the later one is
// waited out, and a clearance has to be younger than it. One without a date is taken only where none has one; nil where the
// record has none.
func condition(c *record.Client, code string) *record.Condition {
	var out *record.Condition
	for i := range c.Conditions {
		x := &c.Conditions[i]
		if x.Code == code && (out == nil || max(out.Since, out.Until) <= max(x.Since, x.Until)) {
			out = x
		}
	}
	return out
}

// answered is the answer to a question. A condition in the record is a yes, whatever was ticked. A question that was part of another in
// the set that the record answers, or that stands under another, is answered by a no there.
func answered(c *record.Client, q rule.Question) string {
	no := func(id string) bool { return id != "" && c.Answers[id] == "no" && condition(c, id) == nil }
	switch a := c.Answers[q.ID]; {
	case condition(c, q.ID) != nil:
		return "yes"
	case a == "" && (no(q.Under) || no(q.Part) && c.QuestionSet < q.Set):
		return "no"
	default:
		return a
	}
}

// yes says whether the question of an id is answered with yes.
func yes(r *record.Client, id string) bool {
	return r.Answers[id] == "yes" || id != "" && condition(r, id) != nil
}

// opened is the clearance that opens a gate for a modality on a day; nil where none does. One that is older than the
// condition it is for, or than the last change of a medicine whose class touches the gate, is void: the clinician did not know. So is
// one of a role that does not fit the gate.
func (c *Checker) opened(r *record.Client, gate string, m record.Modality, day unit.Date) *record.Clearance {
	var best *record.Clearance
	for i := range r.Clearances {
		cl := &r.Clearances[i]
		if cl.Gate != gate || !c.Base.Roles.Opens(cl.Role, gate) || !slices.Contains(cl.Modalities, m) || day < cl.Date || cl.Until < day || c.void(r, cl) {
			continue
		}
		if best == nil || cl.Until > best.Until {
			best = cl
		}
	}
	return best
}

// void says whether a clearance says nothing any more: its condition is newer, or a medicine changed after it whose class touches its gate.
func (c *Checker) void(r *record.Client, cl *record.Clearance) bool {
	if x := condition(r, cl.Gate); x != nil && cl.Gate == GateLog && (x.Since == 0 || cl.Date == x.Since) {
		return true // on the day itself nobody can tell which came first
	}
	return slices.ContainsFunc(r.Conditions, func(x record.Condition) bool { return x.Code == cl.Gate && !cl.Knows(x.Since, x.At) }) ||
		slices.ContainsFunc(r.Medicines, func(m record.Medicine) bool {
			return !cl.Knows(m.Changed, m.At) && c.Base.Medicines[m.Class].Touches(cl.Gate)
		})
}

// Opened says whether a clearance opens a gate for a modality on a day.
func (c *Checker) Opened(r *record.Client, gate string, m record.Modality, day unit.Date) bool {
	return c.opened(r, gate, m, day) != nil
}

// OpenedSince says whether a clearance of a later day than an alert of a log opens training in a modality again.
func (c *Checker) OpenedSince(cl *record.Client, m record.Modality, alert, today unit.Date) bool {
	return slices.ContainsFunc(cl.Clearances, func(x record.Clearance) bool {
		return x.Gate == GateLog && c.Base.Roles.Opens(x.Role, GateLog) && slices.Contains(x.Modalities, m) && alert < x.Date && x.Date <= today && today <= x.Until && !c.void(cl, &x)
	})
}

// OneSidedLoss says whether one hand alone has lost grip by its newest tests, by the rules about measurements: which hand, and
// when that was measured.
func (c *Checker) OneSidedLoss(cl *load.Client, today unit.Date) (record.Hand, unit.Date, bool) {
	for _, h := range []record.Hand{record.Right, record.Left} {
		t := cl.Record.NewestGrip(h, today)
		if t == nil {
			continue
		}
		g := c.gripGiven(cl, h, today)
		for _, id := range []string{"grip-one-sided-loss", "grip-one-sided-loss-share"} {
			if _, silent := c.Base.Rule(id).Judge(g); !silent {
				return h, t.Date, true
			}
		}
	}
	return "", 0, false
}

// openedForEffort says whether a gate is open for every modality of the occasion that asks for more than a light step.
func (c *Checker) openedForEffort(r *record.Client, gate string, o Occasion) bool {
	return c.openedFor(r, gate, o, func(m record.Modality) bool { return !c.strain(r, m, o).Light() })
}

// openedFor says whether a gate is open for every modality of the occasion that is meant, by a clearance that still counts.
func (c *Checker) openedFor(r *record.Client, gate string, o Occasion, means func(record.Modality) bool) bool {
	for _, m := range modalities(o.Protocols) {
		x := c.opened(r, gate, m, o.from())
		counts := c.Base.Roles.Counts[gate]
		if means(m) && (x == nil || counts > 0 && int(o.from()-x.Date) > counts) {
			return false
		}
	}
	return true
}

// LastDay is the last day on which a modality may be trained under the clearances that open its gates on the start
// day, and which one ends first; 0 where nothing ends.
func (c *Checker) LastDay(cl *record.Client, m record.Modality, start unit.Date) (last unit.Date, gate string) {
	gates := map[string]bool{}
	for _, x := range cl.Clearances {
		gates[x.Gate] = true
	}
	for g := range gates {
		if !slices.Contains(plainGates, g) && condition(cl, g) == nil && !slices.ContainsFunc(cl.Medicines, func(x record.Medicine) bool { return x.Class == g }) {
			continue // a clearance for something that is not there limits nothing
		}
		if x := c.opened(cl, g, m, start); x != nil && (last == 0 || x.Until < last || x.Until == last && g < gate) {
			last, gate = x.Until, g
		}
	}
	return last, gate
}

// Barred is the hands that must not be trained on a day, by the conditions that change the hand.
func (c *Checker) Barred(cl *record.Client, day unit.Date) map[record.Hand]bool {
	return history.Barred(cl, c.Questions(false), day)
}

// pregnant says whether the pregnancy question is a yes.
func (c *Checker) pregnant(cl *record.Client) bool {
	return slices.ContainsFunc(c.Base.Questions(), func(q rule.Question) bool { return q.Pregnancy && answered(cl, q) == "yes" })
}

// cuffBarred says whether the home cuff is used on an arm that must not have one.
func (c *Checker) cuffBarred(cl *load.Client) bool {
	arm := record.Hand(cl.Node.Get("devices", "cuff", "arm").Text())
	return slices.ContainsFunc(c.Base.Questions(), func(q rule.Question) bool {
		return q.NoCuff && slices.ContainsFunc(cl.Record.Conditions, func(x record.Condition) bool { return x.Code == q.ID && x.Side == arm })
	})
}

// cuffSound says whether there is an upper-arm cuff on a list of validated ones that fits the arm where both are known.
func cuffSound(cl *load.Client) bool {
	cuff := cl.Node.Get("devices", "cuff")
	if v := cuff.Get("validated"); v == nil || !v.Bool {
		return false
	}
	arm, fits := cuff.Get("armCm"), cuff.Get("fitsCm")
	if arm == nil || fits == nil {
		return true
	}
	return !arm.Num.Less(fits.Elem[0].Num) && !fits.Elem[1].Num.Less(arm.Num)
}

// allowed names the modalities that a question leaves open, in words.
func allowed(q rule.Question) string {
	var out []string
	for _, m := range record.Modalities {
		switch {
		case !rule.Closes(q.Effect(m.Strain(false))):
			out = append(out, string(m))
		case !rule.Closes(q.Effect(m.Strain(true))):
			out = append(out, "light "+string(m))
		}
	}
	if len(out) == 0 {
		return "none"
	}
	return strings.Join(out, ", ")
}

// misfits are the gates of clearances of a role that may not open them, in an order of their own.
// Where protocols are at hand, one that opens nothing of theirs, or whose gate another opens, is passed over: nobody leans on it.
func (c *Checker) misfits(r *record.Client, o Occasion) (out []string) {
	for _, x := range r.Clearances {
		if !c.Base.Roles.Opens(x.Role, x.Gate) && c.leans(r, x, o) {
			out = append(out, x.Gate)
		}
	}
	slices.Sort(out)
	return out
}

// leans says whether a protocol of the occasion needs the gate of a clearance open for a modality that it names.
func (c *Checker) leans(r *record.Client, x record.Clearance, o Occasion) bool {
	needs := func(m record.Modality) bool {
		if !slices.Contains(x.Modalities, m) || c.opened(r, x.Gate, m, o.from()) != nil {
			return false
		}
		for _, q := range c.Base.Questions() {
			if q.ID == x.Gate {
				return rule.Closes(q.Effect(c.strain(r, m, o)))
			}
		}
		return true
	}
	return len(o.Protocols) == 0 || slices.ContainsFunc(modalities(o.Protocols), needs)
}
