package load

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"regexp"

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

// maxPlan bounds a plan in bytes: a course of two years with four protocols is well under it.
const maxPlan = 8 << 20

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
	const again = "compile again from the protocols and the client record"
	p := &record.Plan{}
	d := json.NewDecoder(bytes.NewReader(f.Source))
	err := d.Decode(p)
	if err == nil {
		if _, more := d.Token(); more != io.EOF {
			err = fmt.Errorf("something stands behind the plan")
		}
	}
	switch {
	case len(f.Source) > maxPlan:
		bad(fmt.Sprintf("plan is larger than allowed: at most %d bytes", maxPlan), again)
	case err != nil:
		bad("plan cannot be read: "+err.Error(), again)
	case p.Version != 1:
		bad(fmt.Sprintf("version of the plan is %d, allowed: 1", p.Version), again)
	case p.Client == "" || p.Start == 0 || p.Now == "" || p.Sessions == nil:
		bad("plan has no client, start, now or sessions, allowed: all of them", again)
	case len(p.Protocols) == 0:
		bad("plan does not carry the protocols that it was compiled from, allowed: protocols, so that it can be judged again", again)
	}
	if len(f.Findings) > 0 {
		return
	}
	if _, err := zone.Load(p.Zone); err != nil {
		bad(err.Error(), again)
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
		if k, ok := p.Kinds[s.Kind]; !ok || k.Protocol != s.Protocol || !carried[s.Protocol] {
			bad(fmt.Sprintf("session %s is of kind %q and protocol %q, which the plan does not carry", s.UID, s.Kind, s.Protocol), again)
			return
		}
	}
	if len(f.Findings) == 0 {
		f.Plan = out
	}
}
