package load

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"

	"isocue.example/compiler/bound"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
	"isocue.example/compiler/zone"
)

// Bounds on how a plan is written, before memory is spent on it; package bound has those on how much it holds.
const (
	planDepth  = 16
	planFields = 1000 // of one record
)

// scanPlan looks at every value of a plan's text: how many there are and how deep, that no name of a record stands twice, in
// whatever letters (one reader takes the first, another the last), and that its texts are plain. What is no JSON is left to the
// decoder to tell.
func scanPlan(src []byte) error {
	d := json.NewDecoder(bytes.NewReader(src))
	d.UseNumber()
	type level struct {
		record, key bool // a record, of which a name comes next
		names       []string
	}
	var levels []level
	for n := 0; ; n++ {
		t, err := d.Token()
		if err != nil { // at the end, or no JSON
			return nil
		}
		if n > 2*bound.PlanValues {
			return &bound.Over{What: "the plan has", Has: bound.PlanValues, AtLeast: true, Of: "values", Most: bound.PlanValues, Then: again}
		}
		var in *level
		if len(levels) > 0 {
			in = &levels[len(levels)-1]
		}
		text, isText := t.(string)
		if len(text) > bound.PlanText {
			return &bound.Over{What: fmt.Sprintf("the text that ends at byte %d of the plan has", d.InputOffset()), Has: len(text), Of: "bytes", Most: bound.PlanText, Then: again}
		}
		if isText && !finding.OneLine(text) {
			return fmt.Errorf("not a plan that isocue wrote: the text at byte %d holds a control character", d.InputOffset())
		}
		switch {
		case t == json.Delim('}') || t == json.Delim(']'):
			levels = levels[:len(levels)-1]
			continue
		case in != nil && in.record && in.key:
			if slices.ContainsFunc(in.names, func(s string) bool { return strings.EqualFold(s, text) }) {
				return fmt.Errorf("not a plan that isocue wrote: %q stands twice in one record, at byte %d", text, d.InputOffset())
			}
			if in.names = append(in.names, text); len(in.names) > planFields {
				return fmt.Errorf("not a plan that isocue wrote: a record has more than %d fields, at byte %d", planFields, d.InputOffset())
			}
			in.key = false
			continue
		case in != nil:
			in.key = true
		}
		if t == json.Delim('{') || t == json.Delim('[') {
			if len(levels) == planDepth {
				return fmt.Errorf("not a plan that isocue wrote: nested deeper than %d levels at byte %d", planDepth, d.InputOffset())
			}
			levels = append(levels, level{record: t == json.Delim('{'), key: true})
		}
	}
}

// Bounds on what a plan says, wide enough for whatever isocue writes.
const (
	planYears   = 20 // between any two of its days
	planWeeks   = planYears * 53
	planSeconds = 24 * 60 * 60 // of one session
)

// checkPlan refuses what no plan of ours says and what later steps count on: days far apart, sessions without end, a zone that is
// not there.
func checkPlan(p *record.Plan) error {
	if _, err := zone.Load(p.Zone); err != nil {
		return fmt.Errorf("not a plan that isocue wrote: %w", err)
	}
	if n := len(p.Sessions) + len(p.Others); n > bound.Entries {
		return &bound.Over{What: "the plan has", Has: n, Of: "entries", Most: bound.Entries, Then: again}
	}
	for _, name := range slices.Sorted(maps.Keys(p.Kinds)) {
		k := p.Kinds[name]
		for _, x := range []bound.Over{{Has: len(k.Loads), Of: "loads", Most: bound.KindLoads}, {Has: len(k.Steps), Of: "steps", Most: bound.KindSteps}} {
			if x.What, x.Then = fmt.Sprintf("kind %.80s of the plan has", name), again; x.Has > x.Most {
				return &x
			}
		}
	}
	first := cmp.Or(p.Origin, p.Start)
	near := func(what string, d unit.Date) error {
		if gap := d - first; max(gap, -gap) > planYears*366 {
			return fmt.Errorf("not a plan that isocue wrote: %s is %s, allowed: within %d years of %s", what, d, planYears, first)
		}
		return nil
	}
	if err := near("the start", p.Start); err != nil {
		return err
	}
	for i, s := range p.Sessions {
		if err := near(fmt.Sprintf("session %d", i+1), s.Start.Date()); err != nil {
			return err
		}
		if s.Seconds > planSeconds || s.Week > planWeeks {
			return fmt.Errorf("session %d of the plan has %d seconds and stands in week %d, which isocue never writes", i+1, s.Seconds, s.Week)
		}
	}
	for i, o := range p.Others {
		if err := near(fmt.Sprintf("all-day entry %d", i+1), o.Date); err != nil {
			return err
		}
	}
	for _, s := range slices.Concat(p.Pauses, p.Closed) {
		if s.To < s.From {
			return fmt.Errorf("not a plan that isocue wrote: a stretch without training ends before it begins")
		}
	}
	return nil
}
