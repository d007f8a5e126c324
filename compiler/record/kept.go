package record

import "isocue.example/compiler/unit"

// Kept is what a plan was held for, or what its loads rest on: a line of the diary, or what an alert found in a row of a log. The plan
// remembers it, so that it does not end because the line, the row or the file is gone: what opens it ends it, and nothing else.
type Kept struct {
	Entry string `json:"entry,omitempty"` // the line of the diary as it was written; nothing else stands beside it

	Rule  string     `json:"rule,omitempty"` // of an alert
	Why   string     `json:"why,omitempty"`
	On    unit.Date  `json:"on,omitzero"`
	At    unit.Local `json:"at,omitzero"`
	Grave bool       `json:"grave,omitempty"` // a danger sign, which no call ends
	File  string     `json:"file,omitempty"`
	Line  int        `json:"line,omitempty"`
}

// Lines are the remembered lines of the diary .
func (p *Plan) Lines() (out []string) {
	if p == nil {
		return nil
	}
	for _, k := range p.Kept {
		if k.Entry != "" {
			out = append(out, k.Entry)
		}
	}
	return out
}

// Alerts are the remembered alerts of logs.
func (p *Plan) Alerts() (out []Kept) {
	if p == nil {
		return nil
	}
	for _, k := range p.Kept {
		if k.Entry == "" && k.Rule != "" {
			out = append(out, k)
		}
	}
	return out
}
