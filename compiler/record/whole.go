package record

import (
	"cmp"
	"encoding/json"
	"slices"

	"isocue.example/compiler/unit"
)

// Written is a file of a pack: its name in the pack's folder, its length in bytes, and SHA-256 in hexadecimal.
type Written struct {
	Name   string `json:"name"`
	Bytes  int64  `json:"bytes"`
	SHA256 string `json:"sha256"`
}

// Plan is every session of a programme. It is data; calendar, table and lists are views of it.
type Plan struct {
	Version int       `json:"version"`
	Client  string    `json:"client"`
	Start   unit.Date `json:"start"`
	Now     string    `json:"now"` // RFC 3339, UTC
	// Sheet counts the plans of a course, 1 for the first; a re-compile that changes something raises it.
	Sheet int `json:"sheet"`
	// Inputs is a digest of what the plan was compiled from, the clock left out; a roster leaves alone what has not changed.
	Inputs string `json:"inputs,omitempty"`
	// Told is how many cautions a roster told of this client when it compiled the plan.
	Told int `json:"told,omitempty"`
	// Files are the others of its pack as they were written; a roster makes anew what is not as it was.
	Files []Written `json:"files,omitempty"`
	// Origin is the start that identities stand on, where the course was moved since.
	Origin unit.Date `json:"origin,omitzero"`
	// Courses are the protocols of the plan, each with its own start and the start that its identities stand on.
	Courses []Course `json:"courses,omitempty"`
	// Holds are protocols that are closed for now; the course stays open.
	Holds []Hold `json:"holds,omitempty"`
	// Gather is one all-day entry a day for breathing that is trained several times a day; Remind the minutes before a session at
	// which an alarm sounds, 0 for none.
	Gather bool `json:"gather,omitempty"`
	Remind int  `json:"remind,omitempty"`
	// Pauses are stretches without training, Closed days on which the clinic is closed; both last from plan to plan.
	Pauses    []Span          `json:"pauses,omitempty"`
	Closed    []Span          `json:"closed,omitempty"`
	Stopped   unit.Date       `json:"stopped,omitzero"` // the programme ended before this day
	NoReviews bool            `json:"noReviews,omitempty"`
	Zone      string          `json:"zone"`
	TZData    string          `json:"tzdata"`
	Rules     string          `json:"rules"` // rule base version
	Waivers   []string        `json:"waivers"`
	Measured  []string        `json:"measurements"` // as "grip:right:2027-01-02"
	Gate      Gate            `json:"gate"`
	Cautions  []Caution       `json:"cautions"`
	Kinds     map[string]Kind `json:"kinds"`
	// Ended are kinds that an earlier sheet of the course had and this one has no more, sorted by name: what was asked for by them
	// elsewhere can be called back.
	Ended     []EndedKind `json:"ended,omitempty"`
	Sessions  []Session   `json:"sessions"`
	Others    []Other     `json:"others"`
	Unplaced  []Unplaced  `json:"unplaced"`
	Pressure  *Pressure   `json:"pressure,omitempty"`
	Emergency string      `json:"emergency"` // the client's emergency number, printed in every event
	// Moves are where the client is to live from days to come on, by day.
	Moves  []Elsewhere `json:"moves,omitempty"`
	Coach  string      `json:"coach,omitempty"`
	Clinic string      `json:"clinic,omitempty"` // its number, which the sheet that tells of a stop goes on naming
	// Language is the tag of the language in which the client reads it, as "de"; empty is English.
	Language string `json:"language,omitempty"`
	// Discreet: the calendar says nothing about health and sends to the client\'s sheet.
	Discreet bool    `json:"discreet,omitempty"`
	Sitting  Sitting `json:"-"`

	// Protocols are those that the plan was compiled from, as their authors wrote them: a plan that carries them can be judged
	// again, whatever has become of their files.
	Protocols []json.RawMessage `json:"protocols,omitempty"`
}

// PlanVersion is that of the plans that are written; 1 is read and followed too.
const PlanVersion = 2

// Course is one protocol of a plan.
type Course struct {
	Protocol string    `json:"protocol"`
	Start    unit.Date `json:"start"`
	Origin   unit.Date `json:"origin"`
	Ended    unit.Date `json:"ended,omitzero"` // the day on which a plan went on without it
}

// Elsewhere is where a client lives from a day on, and the emergency number there.
type Elsewhere struct {
	From      unit.Date `json:"from"`
	Zone      string    `json:"zone"`
	Emergency string    `json:"emergency"`
}

// Hold is a protocol that is closed for now: why, and since when.
type Hold struct {
	Protocol string    `json:"protocol"`
	Since    unit.Date `json:"since"`
	Rule     string    `json:"rule"`
	Why      string    `json:"why"`
}

// ZoneOf is the zone in which a session of the plan is trained.
func (p *Plan) ZoneOf(s Session) string { return cmp.Or(s.Zone, p.Zone) }

// CallOf is the emergency number where a session of the plan is trained.
func (p *Plan) CallOf(s Session) string { return cmp.Or(s.Call, p.Emergency) }

// Course is the course of a protocol; a plan of version 1 has one start for all.
func (p *Plan) Course(protocol string) (Course, bool) {
	for _, c := range p.Courses {
		if c.Protocol == protocol {
			return c, true
		}
	}
	for _, s := range p.Sessions {
		if s.Protocol == protocol && len(p.Courses) == 0 {
			return Course{Protocol: protocol, Start: p.Start, Origin: cmp.Or(p.Origin, p.Start)}, true
		}
	}
	return Course{}, false
}

// Own are the protocols that a plan goes on with at a moment, in its order; a plan of version 1 says so by its sessions to come.
func (p *Plan) Own(now unit.Local) (out []string) {
	for _, c := range p.Courses {
		if c.Ended == 0 {
			out = append(out, c.Protocol)
		}
	}
	for _, s := range p.Sessions {
		if len(p.Courses) == 0 && s.Status != Cancelled && s.Start >= now && !slices.Contains(out, s.Protocol) {
			out = append(out, s.Protocol)
		}
	}
	return out
}

// EndedKind is a kind of which no session stands any more: its name in earlier plans, and what a person called it.
type EndedKind struct {
	Kind     string   `json:"kind"`
	Modality Modality `json:"modality"`
	Title    string   `json:"title"`
}

// Change is one thing that a re-compile did, for a person: added, moved, changed or cancelled; or reworded, with how many entries say
// the same in other words. Entry is set for an all-day entry. From and To are wall times; 0 where there is none.
type Change struct {
	What, Protocol string
	Count          int
	Entry          OtherKind
	Week           int
	From, To       unit.Local
}
