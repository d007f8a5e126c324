package load

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"

	"isocue.example/compiler/record"
)

// MaxPlan is the largest plan in bytes that is read: two years of several protocols are a third of it.
const MaxPlan = 8 << 20

// Plan reads a plan that isocue wrote. Fields that this version does not know are ignored, so that older programs read newer
// plans of the same version; what a later step relies on is checked. The error says what is wrong, without the file's name.
func Plan(src []byte) (*record.Plan, error) {
	if len(src) > MaxPlan {
		return nil, fmt.Errorf("the plan is larger than allowed: at most %d bytes", MaxPlan)
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
	case p.Version != 1:
		return nil, fmt.Errorf("the plan has version %d, allowed: 1", p.Version)
	case p.Client == "" || p.Zone == "" || p.Kinds == nil || p.Start == 0:
		return nil, fmt.Errorf("not a plan that isocue wrote: client, zone, start or kinds are missing")
	}
	seen := map[string]bool{}
	for i, s := range p.Sessions {
		_, known := p.Kinds[s.Kind]
		switch {
		case s.UID == "" || seen[s.UID]:
			return nil, fmt.Errorf("session %d of the plan has uid %q, allowed: one of its own", i+1, s.UID)
		case !known:
			return nil, fmt.Errorf("session %d of the plan is of kind %q, allowed: a kind of the plan", i+1, s.Kind)
		case s.Week < 1 || s.Slot < 1 || s.Seconds < 1 || s.Sequence < 0 || !standing(s.Status):
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
	if err := checkPlan(p); err != nil {
		return nil, err
	}
	p.Sheet = max(p.Sheet, 1) // plans before there were sheets
	return p, nil
}

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
