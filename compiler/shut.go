package compiler

import (
	"fmt"
	"slices"
	"strings"

	"isocue.example/compiler/check"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// Shut is what in a client's logs closes training in some modalities, as findings that refuse: each alert for now or today that no
// clearance of a later day opens, and no call. settled are the moments of those that a call ended.
func (c *Compiler) Shut(in Following, modalities []record.Modality) (out []Closing, settled []unit.Local) {
	in.Modalities = modalities
	f := c.Follow(in)
	for _, t := range f.Tells {
		var shut []string
		var closed []record.Modality
		for _, m := range t.Closed {
			if slices.Contains(modalities, m) {
				shut, closed = append(shut, string(m)), append(closed, m)
			}
		}
		if len(shut) == 0 {
			continue
		}
		out = append(out, Closing{Modalities: closed, Finding: finding.Finding{Rule: t.Rule, Verdict: finding.Unsafe, Pos: finding.Pos{File: t.File, Line: max(t.Line, 1), Column: 1}, Path: "log",
			Message:   fmt.Sprintf("%s; training is closed: %s", t.Why, strings.Join(shut, ", ")),
			Remedy:    fmt.Sprintf("%s; then record the clinician's clearance for %s, dated after %s", t.Do, check.GateLog, t.On),
			Rationale: t.Rationale, Sources: t.Sources, Private: true}})
	}
	return out, f.Settled
}

// WithReadings is a client whose record holds the readings of a log as well, each with its place there. The client itself stays
// as it is. Standing readings never count. settled are the moments of sittings whose alerts have ended; sitting is how long one is.
func WithReadings(cl *load.Client, l *record.Log, settled []unit.Local, sitting int) *load.Client {
	if l == nil {
		return cl
	}
	r := *cl.Record
	old := cl.Node.Get("measured", "bloodPressure")
	list := &tree.Node{Kind: tree.List, Elem: slices.Clone(old.Items())}
	if old != nil {
		list.Pos = old.Pos
	}
	r.BloodPressure = slices.Clone(r.BloodPressure)
	for _, x := range l.Readings {
		if x.Systolic == 0 || x.Standing {
			continue
		}
		setting := "home"
		if x.Clinic {
			setting = "clinic"
		}
		n := tree.At(finding.Pos{File: x.File, Line: x.Line, Column: x.Column})
		put := func(key string, v *tree.Node) {
			v.Pos = n.Pos
			n.Set(key, v)
		}
		put("at", tree.Str(x.At.String()))
		put("systolic", tree.Int(x.Systolic))
		put("diastolic", tree.Int(x.Diastolic))
		put("setting", tree.Str(setting))
		if x.Pulse > 0 {
			put("pulse", tree.Num(unit.Int(int64(x.Pulse))))
		}
		r.BloodPressure = append(r.BloodPressure, record.Reading{At: x.At, Systolic: x.Systolic, Diastolic: x.Diastolic, Pulse: x.Pulse, Setting: setting, Arm: x.Arm, Noted: x.Noted, Index: len(list.Elem),
			Settled: slices.ContainsFunc(settled, func(at unit.Local) bool { return x.At >= at && x.At < at+unit.Local(sitting) })})
		list.Elem = append(list.Elem, n)
	}
	node, measured := cl.Node.Borrow(), tree.NewRecord()
	if m := cl.Node.Get("measured"); m != nil {
		measured = m.Borrow()
	}
	measured.Link("bloodPressure", list)
	node.Link("measured", measured)
	return &load.Client{Node: node, Record: &r, Told: cl.Told}
}
