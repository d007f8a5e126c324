package load

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"regexp"
	"slices"

	"isocue.example/compiler/bound"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/internal/guard"
	"isocue.example/compiler/record"
	"isocue.example/compiler/zone"
	"isocue.example/schema"
)

// Plan is a plan that was compiled earlier, with the protocols that it carries: what the client trains by, whatever has
// become of the files since.
type Plan struct {
	Record    *record.Plan
	Protocols []*Protocol
	// Broken says what today's schema refuses in those protocols.
	Broken []finding.Finding
}

// again is what to do about a plan that is not to be used.
const again = "compile again from the protocols and the client record"

// planHead is how a plan of ours begins, in any layout of JSON.
var planHead = regexp.MustCompile(`^\s*\{\s*"version":\s*[0-9]+,\s*"client":\s*"`)

// plan reads a plan. It is our own file, so the subset for people's files does not bound it; its protocols are people's, and
// are held to what every protocol is held to.
func (r *Reader) plan(f *File) {
	f.Kind = IsPlan
	top := finding.Pos{File: f.Name, Line: 1, Column: 1}
	bad := func(msg, remedy string) {
		f.Findings = append(f.Findings, finding.Finding{Rule: Shape, Verdict: finding.Malformed, Pos: top, Message: msg, Remedy: remedy,
			Rationale: "A plan that cannot be judged again is one that nobody can call back.", Private: true})
	}
	var over *bound.Over
	p, err := ReadPlan(f.Source)
	switch {
	case errors.As(err, &over):
		bad(over.Message(), over.Then)
	case err != nil:
		bad(err.Error(), again)
	case len(p.Protocols) == 0 && slices.ContainsFunc(p.Sessions, trained):
		bad("plan does not carry the protocols that it was compiled from, allowed: protocols, so that it can be judged again", again)
	}
	if len(f.Findings) > 0 {
		return
	}
	out, carried := &Plan{Record: p}, map[string]bool{}
	for _, src := range p.Protocols {
		g := &File{Name: f.Name}
		doc, fs := guard.Parse(f.Name, src, guard.JSON, schema.Path)
		if g.Findings = fs; doc != nil {
			r.protocol(g, doc.Root)
			carried[doc.Root.Get("id").Text()] = true
		}
		for i := range g.Protocols {
			out.Protocols = append(out.Protocols, &g.Protocols[i])
		}
		out.Broken = append(out.Broken, g.Findings...)
	}
	for _, s := range p.Sessions {
		if k, ok := p.Kinds[s.Kind]; !ok || k.Protocol != s.Protocol || !carried[s.Protocol] && trained(s) {
			bad(fmt.Sprintf("session %s is of kind %q and protocol %q, which the plan does not carry", s.UID, s.Kind, s.Protocol), again)
			return
		}
	}
	if len(f.Findings) == 0 {
		f.Plan = out
	}
}

// trained says whether a session is to be judged: nobody trains by one that was called back.
func trained(s record.Session) bool { return s.Status != record.Cancelled }

// Plan reads the text of a plan, in any layout of JSON; where it cannot, f.Plan is nil and the findings say why.
func (r *Reader) Plan(name string, src []byte) *File {
	defer r.watch.Watch("reading " + name)()
	f := &File{Name: name, Source: src}
	r.plan(f)
	return f
}

// MaxPlan is the largest plan in bytes that is read.
const MaxPlan = bound.Plan

// ReadPlan reads a plan that isocue wrote, without its protocols. Fields that this version does not know are ignored, so that
// older programs read newer plans of the same version; what a later step relies on is checked. The error says what is wrong,
// without the file's name.
func ReadPlan(src []byte) (*record.Plan, error) {
	if len(src) > MaxPlan {
		return nil, &bound.Over{What: "the plan has", Has: MaxPlan, AtLeast: true, Of: "bytes", Most: MaxPlan, Then: again}
	}
	if err := scanPlan(src); err != nil {
		return nil, err
	}
	d := json.NewDecoder(bytes.NewReader(src))
	p := &record.Plan{}
	if err := d.Decode(p); err != nil {
		return nil, fmt.Errorf("not a plan that isocue wrote: %s", jsonTrouble(err))
	}
	if _, err := d.Token(); err != io.EOF {
		return nil, fmt.Errorf("not a plan that isocue wrote: something stands behind its end")
	}
	switch {
	case p.Version < 1 || p.Version > record.PlanVersion:
		return nil, fmt.Errorf("the plan has version %d, allowed: 1 to %d; a newer isocue wrote it, and reads it", p.Version, record.PlanVersion)
	case p.Client == "" || p.Zone == "" || p.Kinds == nil || p.Start == 0:
		return nil, fmt.Errorf("not a plan that isocue wrote: client, zone, start or kinds are missing")
	}
	if _, err := zone.Load(p.Zone); err != nil {
		return nil, err
	}
	seen := map[string]bool{}
	for i, s := range p.Sessions {
		_, known := p.Kinds[s.Kind]
		switch {
		case s.UID == "" || seen[s.UID]:
			return nil, fmt.Errorf("session %d of the plan has uid %q, allowed: one of its own", i+1, s.UID)
		case !known:
			return nil, fmt.Errorf("session %d of the plan is of kind %q, allowed: a kind of the plan", i+1, s.Kind)
		case s.Week < 1 || s.Week > maxWeek || s.Slot < 1 || s.Seconds < 1 || s.Sequence < 0 || !standing(s.Status):
			return nil, fmt.Errorf("session %d of the plan has week %d, slot %d, %d seconds, sequence %d and status %q, which isocue never writes", i+1, s.Week, s.Slot, s.Seconds, s.Sequence, s.Status)
		case i > 0 && s.Start < p.Sessions[i-1].Start:
			return nil, fmt.Errorf("session %d of the plan begins before the one above it, allowed: in order", i+1)
		}
		seen[s.UID] = true
	}
	for i, o := range p.Others {
		if o.UID == "" || seen[o.UID] || o.Sequence < 0 || !standing(o.Status) {
			return nil, fmt.Errorf("all-day entry %d of the plan has uid %q, sequence %d and status %q, which isocue never writes", i+1, o.UID, o.Sequence, o.Status)
		}
		seen[o.UID] = true
	}
	for i, e := range p.Ended {
		if _, known := p.Kinds[e.Kind]; known || e.Kind == "" || i > 0 && e.Kind <= p.Ended[i-1].Kind {
			return nil, fmt.Errorf("ended kind %d of the plan is %q, allowed: each once, in order, and no kind that the plan has", i+1, e.Kind)
		}
	}
	if err := checkPlan(p); err != nil {
		return nil, err
	}
	p.Sheet = max(p.Sheet, 1) // plans before there were sheets
	return p, nil
}

// maxWeek is far behind the last week of any course, pauses and all.
const maxWeek = 1000

func standing(s record.Status) bool {
	return s == record.Confirmed || s == record.Provisional || s == record.Cancelled
}

// jsonTrouble says what the decoder met, without Go's words for it.
func jsonTrouble(err error) string {
	switch e := err.(type) {
	case *json.SyntaxError:
		return fmt.Sprintf("no JSON at byte %d", e.Offset)
	case *json.UnmarshalTypeError:
		return fmt.Sprintf("%s is %s", e.Field, e.Value)
	}
	return "it ends too early or holds a value that cannot be"
}

// PlanHead is what a plan says of itself before its kinds and sessions.
type PlanHead struct {
	Version int
	Client  string
	Inputs  string           // as in record.Plan
	Files   []record.Written // as in record.Plan
}

// ReadPlanHead reads the beginning of a plan, in any layout of JSON; what stands behind its head need not be there. It is for whoever
// looks at thousands of plans: reading each of them through would take as long as making them.
func ReadPlanHead(src []byte) (h PlanHead, err error) {
	d := json.NewDecoder(bytes.NewReader(src))
	into := map[string]any{"version": &h.Version, "client": &h.Client, "inputs": &h.Inputs, "files": &h.Files}
	if t, err := d.Token(); err != nil || t != json.Delim('{') {
		return h, fmt.Errorf("not a plan that isocue wrote: it is no record")
	}
	for d.More() {
		key, err := d.Token()
		if err != nil || key == "zone" { // what this reads stands before it
			break
		}
		var other json.RawMessage
		value, wanted := into[key.(string)]
		if !wanted {
			value = &other
		}
		if err := d.Decode(value); err != nil {
			break
		}
	}
	if h.Version < 1 || h.Version > record.PlanVersion || h.Client == "" {
		return h, fmt.Errorf("not a plan that isocue wrote: version or client are missing")
	}
	return h, nil
}
