package fhir

import (
	"cmp"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"isocue.example/compiler/record"
	"isocue.example/compiler/say"
	"isocue.example/compiler/unit"
)

type carePlan struct {
	ResourceType string       `json:"resourceType"`
	ID           string       `json:"id"`
	Language     string       `json:"language,omitempty"`
	Status       string       `json:"status"`
	Intent       string       `json:"intent"`
	Title        string       `json:"title"`
	Subject      reference    `json:"subject"`
	Period       *period      `json:"period,omitempty"`
	Created      string       `json:"created"`
	Supporting   []reference  `json:"supportingInfo,omitempty"`
	Activity     []activity   `json:"activity,omitempty"`
	Note         []annotation `json:"note"`
}

type activity struct {
	Reference reference `json:"reference"`
}

func (c *carePlan) id() string { return c.ID }

type serviceRequest struct {
	ResourceType string      `json:"resourceType"`
	ID           string      `json:"id"`
	Language     string      `json:"language,omitempty"` // of what the client reads, where it is not English
	Status       string      `json:"status"`
	Intent       string      `json:"intent"`
	Category     []concept   `json:"category"`
	Code         concept     `json:"code"`
	Subject      reference   `json:"subject"`
	Occurrence   *timing     `json:"occurrenceTiming,omitempty"` // nil where nothing is asked for any more
	Supporting   []reference `json:"supportingInfo,omitempty"`
	Instruction  string      `json:"patientInstruction"`
}

type timing struct {
	Event []string `json:"event"`
}

func (s *serviceRequest) id() string { return s.ID }

// use is a kind of session in one standing: what one ServiceRequest asks for.
type use struct {
	kind   string
	status record.Status
}

// Plan writes a plan. It is an error when it has no cautions or its zone is not known.
func Plan(w io.Writer, p *record.Plan) error {
	if _, err := newClock(p.Zone); err != nil {
		return err
	}
	note, err := notes(p.Cautions)
	if err != nil {
		return err
	}
	key := func(parts ...string) string {
		return record.Identity(append([]string{"fhir", p.Client, cmp.Or(p.Origin, p.Start).String()}, parts...)...)
	}
	b := &bundle{ResourceType: "Bundle", ID: key("bundle"), Type: "collection", Timestamp: p.Now}
	care := &carePlan{ResourceType: "CarePlan", ID: key("plan"), Language: p.Language, Status: "active", Intent: "plan", Title: "Training at home",
		Subject: client(p.Client), Created: p.Now, Note: note}
	if p.Stopped != 0 {
		care.Status = "revoked"
	}
	b.add(care)
	at := map[use][]record.Session{}
	var order []use
	var last unit.Local
	for _, s := range p.Sessions {
		if s.Status == record.Cancelled {
			continue // a session that is not asked for is no request
		}
		u := use{s.Kind, s.Status}
		if at[u] == nil {
			order = append(order, u)
		}
		at[u] = append(at[u], s)
		last = max(last, s.Start)
	}
	if last != 0 {
		care.Period = &period{p.Start.String(), last.Date().String()}
	}
	measured := measurements(p, key)
	for _, name := range slices.Sorted(maps.Keys(measured)) {
		b.add(measured[name])
		care.Supporting = append(care.Supporting, to(measured[name]))
	}
	for _, u := range order {
		r, err := request(p, u, at[u], key, measured)
		if err != nil {
			return err
		}
		b.add(r)
		care.Activity = append(care.Activity, activity{to(r)})
	}
	for _, u := range past(p, at) {
		r, err := request(p, u, nil, key, measured)
		if err != nil {
			return err
		}
		b.add(r)
	}
	return b.write(w)
}

// past are the uses that an earlier sheet may have asked for and this one does not: a reader that keeps what it was sent would show
// them on, as to be trained or as on hold. That is so of kinds that the plan has no more as well, such as one with the load of an
// older measurement.
func past(p *record.Plan, at map[use][]record.Session) (out []use) {
	if p.Sheet < 2 {
		return nil
	}
	kinds := slices.Collect(maps.Keys(p.Kinds))
	for _, e := range p.Ended {
		kinds = append(kinds, e.Kind)
	}
	slices.Sort(kinds)
	for _, kind := range kinds {
		for _, status := range []record.Status{record.Confirmed, record.Provisional} {
			if u := (use{kind, status}); at[u] == nil {
				out = append(out, u)
			}
		}
	}
	return out
}

// request is what one kind of session asks for, and when. A provisional session waits for a measurement, so it is on hold; what no
// session asks for any more is revoked.
func request(p *record.Plan, u use, sessions []record.Session, key func(...string) string, measured map[string]*observation) (*serviceRequest, error) {
	k, ok := p.Kinds[u.kind]
	if i := slices.IndexFunc(p.Ended, func(e record.EndedKind) bool { return e.Kind == u.kind }); !ok && i >= 0 && len(sessions) == 0 {
		k, ok = record.Kind{Modality: p.Ended[i].Modality, Title: p.Ended[i].Title}, true
	}
	if !ok {
		return nil, fmt.Errorf("a session has kind %q, which the plan does not have", u.kind)
	}
	r := &serviceRequest{ResourceType: "ServiceRequest", ID: key("kind", u.kind, string(u.status)), Language: p.Language, Status: "active", Intent: "plan",
		Category: []concept{{Text: string(k.Modality)}}, Code: concept{Text: k.Title}, Subject: client(p.Client)}
	switch {
	case p.Stopped != 0 || len(sessions) == 0:
		r.Status = "revoked" // of a stopped plan as the plan is: a list of what is active must not show it
	case u.status == record.Provisional:
		r.Status = "on-hold"
	}
	status := u.status
	if len(sessions) == 0 {
		status = record.Cancelled
	} else {
		r.Occurrence = &timing{}
	}
	for _, s := range sessions {
		there, err := newClock(p.ZoneOf(s))
		if err != nil {
			return nil, err
		}
		r.Occurrence.Event = append(r.Occurrence.Event, there.dateTime(s.Start))
	}
	for _, d := range k.Loads {
		if o := measured[d.From()]; o != nil {
			r.Supporting = append(r.Supporting, to(o))
		}
	}
	l, err := say.Of(p)
	if err != nil {
		return nil, err
	}
	lines, call := l.SessionLines(p, &k, status, say.Place{Gate: true, End: true}, p.Emergency), p.Emergency
	for _, s := range sessions {
		if there := p.CallOf(s); there != call {
			lines, call = append(lines, fmt.Sprintf(l.Sheet.EmergencyFrom, l.FullDay(s.Start.Date()))+": "+there), there
		}
	}
	r.Instruction = strings.Join(lines, "\n")
	return r, nil
}

// measurements are what the loads of a plan stand on, by the names that doses give them.
func measurements(p *record.Plan, key func(...string) string) map[string]*observation {
	out := map[string]*observation{}
	for _, k := range p.Kinds {
		for _, d := range k.Loads {
			if d.Measured == 0 || out[d.From()] != nil {
				continue
			}
			if o := measurement(p.Client, k.Modality, d); o != nil {
				o.ID = key("measured", d.From())
				out[d.From()] = o
			}
		}
	}
	return out
}

// units are the UCUM codes of the units that a gauge or a trainer shows.
var units = map[string]string{"kgf": "kgf", "lbf": "[lbf_av]", "N": "N", "cmH2O": "cm[H2O]"}

// measurement is the maximum that a load stands on; nil for a step test, of which the plan has no more than a heart rate.
func measurement(id string, m record.Modality, d record.Dose) *observation {
	o := &observation{ResourceType: "Observation", Status: "final", Subject: client(id), Effective: d.Measured.String(), Note: []annotation{{Notice}}}
	switch {
	case m == record.Handgrip && d.Hand == record.Left:
		o.Code = coded("83173-5", "Grip strength of the left hand by dynamometer")
	case m == record.Handgrip:
		o.Code = coded("83174-3", "Grip strength of the right hand by dynamometer")
	case m == record.Inspiratory:
		o.Code = concept{Coding: []coding{{measuredSystem, "maximal-inspiratory-pressure", ""}}, Text: "Maximal inspiratory pressure at the mouth, static"}
	default:
		return nil
	}
	o.Value = &quantity{Value: unit.MustDec(d.Maximum.Text(2)), Unit: d.Unit, System: ucum, Code: units[d.Unit]}
	return o
}
