package compiler

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/history"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/unit"
)

// EditedRule is the rule id of findings about a plan that is not as isocue wrote it.
const EditedRule = "edited-plan"

// A plan is our own file, and yet anybody may have edited it since: a load, a line of the gate, a telephone number. So nothing reads a
// plan without asking here first. Its seal tells every edit by somebody who does not know of the seal. For whoever does, and for plans
// that are older than it, the plan is held to itself: kinds to the protocols that it carries, loads to the measurement that they
// name, steps to loads, sessions to identities, weeks, sittings and spans, its gate and its cautions to the rule base.
type edited struct {
	c      *Compiler
	name   string
	p      *record.Plan
	byID   map[string]*load.Protocol
	same   bool                      // written under the rule base of now: what it wrote can be worked out again
	begun  func(record.Session) bool // before the plan was made
	coming []record.Session          // what was placed when the plan was made, or later, and was not cancelled
	used   map[string]bool           // kinds of these
	out    []finding.Finding
}

// ReadPlan reads a plan and judges whether it is as isocue wrote it. The plan is nil where it cannot be read; where a finding rejects it
// must not be followed, published or shown. Whether the rules of now still allow it is for Recall.
func (c *Compiler) ReadPlan(name string, src []byte, now time.Time) (*load.Plan, []finding.Finding) {
	f := c.Reader.Plan(name, src)
	if f.Plan == nil {
		return nil, f.Findings
	}
	return f.Plan, c.Edited(name, src, f.Plan, now)
}

// Edited judges a plan that was read from src.
func (c *Compiler) Edited(name string, src []byte, plan *load.Plan, now time.Time) []finding.Finding {
	e := edited{c: c, name: name, p: plan.Record, byID: map[string]*load.Protocol{}, used: map[string]bool{}}
	for _, x := range plan.Protocols {
		e.byID[x.Record.ID] = x
	}
	e.same = e.p.Rules == c.byItself().Check.Base.Version
	if known := func(v rule.Change) bool { return v.Version == e.p.Rules }; !e.same && !slices.ContainsFunc(c.byItself().Check.Base.Changes, known) {
		e.bad("rules", "the plan names the rule base %s, which this isocue does not know: a newer isocue wrote it, or somebody edited it", e.p.Rules)
	}
	digest, carried := record.SealOf(src)
	switch {
	case carried == "":
		e.tell(finding.Caution, "seal", "the plan has no seal: an older isocue wrote it, or somebody took the seal away",
			"compare its loads and telephone numbers with the client's record, then compile again with --previous and this plan")
	case carried != digest:
		e.bad("seal", "the plan was edited after isocue wrote it: its seal does not fit its text")
	}
	made, err := time.Parse(time.RFC3339, e.p.Now)
	if err != nil {
		e.bad("now", "the plan does not say when it was made")
		made = now
	}
	if made.After(now) {
		made = now
	}
	started := history.Started(e.p, made, func(record.Session) bool { return true })
	e.begun = func(s record.Session) bool { return started[s.UID] }
	for _, s := range e.p.Sessions {
		if s.Status != record.Cancelled && !e.begun(s) {
			e.coming, e.used[s.Kind] = append(e.coming, s), true
		}
	}
	if len(plan.Broken) == 0 { // else the rules of now cannot read its protocols, which recall tells
		e.kinds()
		e.sessions()
	}
	e.bounds()
	return finding.Sort(e.few())
}

const putBack = "put the plan back as isocue wrote it; where that cannot be, phone the client, stop the programme with `isocue compile --previous PLAN --stop DATE`, and compile a new course"

func (e *edited) bad(path, format string, args ...any) {
	e.tell(finding.Malformed, path, fmt.Sprintf(format, args...), putBack)
}

func (e *edited) tell(v finding.Verdict, path, msg, remedy string) {
	e.out = append(e.out, finding.Finding{Rule: EditedRule, Verdict: v, Pos: finding.Pos{File: e.name, Line: 1, Column: 1}, Path: path, Private: true,
		Message: msg, Allowed: "a plan as isocue wrote it", Remedy: remedy,
		Rationale: "A client sets the load that the plan says. Whoever edits a plan goes round every rule that judged it."})
}

// mostEdits is how many contradictions are told: one is enough to put a plan away.
const mostEdits = 5

func (e *edited) few() []finding.Finding {
	if more := len(e.out) - mostEdits; more > 0 {
		e.out = finding.Sort(e.out)[:mostEdits]
		e.out[0].Message += fmt.Sprintf(", and %d more places of the plan contradict each other", more)
	}
	return e.out
}

// bounds holds what the rule base alone decides to it: nobody's gate lies higher than the base has it, and no caution is missing.
func (e *edited) bounds() {
	base, g := e.c.byItself().Check.Base, e.p.Gate
	limit := func(id, name string) unit.Dec { return base.Limit(id, name).Num }
	for _, x := range []struct {
		path   string
		is     unit.Dec
		line   unit.Dec
		lowest bool // the line may be raised, not lowered
		need   bool // 0 is no line at all
	}{
		{"gate.systolic", g.Systolic, limit("pressure-systolic-severe", "below"), false, true},
		{"gate.diastolic", g.Diastolic, limit("pressure-diastolic-severe", "below"), false, true},
		{"gate.effortSystolic", g.EffortSystolic, limit("pressure-systolic-clearance", "below"), false, false},
		{"gate.effortDiastolic", g.EffortDiastolic, limit("pressure-diastolic-clearance", "below"), false, false},
		{"gate.emergencySystolic", g.EmergencySystolic, limit("pregnancy-systolic-emergency", "below"), false, g.Maternity},
		{"gate.emergencyDiastolic", g.EmergencyDiastolic, limit("pregnancy-diastolic-emergency", "below"), false, g.Maternity},
		{"gate.lowSystolic", g.LowSystolic, limit("pressure-systolic-low", "floor"), true, e.same},
		{"gate.lowClinic", g.LowClinic, limit("log-low-very", "floor"), true, e.same},
		{"gate.pulseCoach", g.PulseCoach, limit("pulse-usual", "below"), false, e.same},
		{"gate.pulseClinic", g.PulseClinic, limit("pulse-ceiling", "ceiling"), false, e.same},
	} {
		if !x.need && x.is.IsZero() {
			continue
		}
		if x.is.Sign() <= 0 || !x.lowest && x.line.Less(x.is) || x.lowest && x.is.Less(x.line) {
			e.bad(x.path, "the line of the gate %s is %s, and the rules draw it at %s", x.path, x.is, x.line)
		}
	}
	if g.Maternity && limit("pregnancy-systolic", "below").Less(g.Systolic) {
		e.bad("gate.systolic", "the line of the gate for a pregnancy is %s, and the rules draw it at %s", g.Systolic, limit("pregnancy-systolic", "below"))
	}
	want := base
	if in, ok := base.In(cmp.Or(e.p.Language, "en")); ok {
		want = in
	}
	for _, c := range want.Cautions {
		i := slices.IndexFunc(e.p.Cautions, func(x record.Caution) bool { return x.ID == c.ID })
		if e.same && (i < 0 || e.p.Cautions[i].Text != c.Text) {
			e.bad("cautions", "the caution %s is missing or says something else", c.ID)
		}
	}
}
