package handout

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"

	"isocue.example/compiler/record"
	"isocue.example/compiler/say"
	"isocue.example/compiler/unit"
)

// Bounds is what a reading can be, so that a slip of the finger is not taken for a pressure: mmHg, and beats a minute.
type Bounds struct {
	Lowest      int `json:"lowest"`
	Highest     int `json:"highest"`
	LowestPulse int `json:"lowestPulse"`
	MostPulse   int `json:"highestPulse"`
	LeastApart  int `json:"leastApart"` // between the two numbers of a reading
}

// run is the data that the page's script goes by. Times are wall times in Zone.
type run struct {
	Key     string             `json:"key"` // under which the device keeps the log: the same from sheet to sheet
	Tag     string             `json:"tag"`
	Decimal string             `json:"decimal"`
	Zone    string             `json:"zone"`
	Call    string             `json:"call"`
	Moves   []record.Elsewhere `json:"moves"` // another zone and number from days to come on
	Coach   string             `json:"coach"`
	Clinic  string             `json:"clinic"` // "" where it is not known, as the next
	Unit    string             `json:"maternityUnit"`
	Over    bool               `json:"over"`
	Lead    int                `json:"leadSeconds"`
	Gate    record.Gate        `json:"gate"`
	Sitting sitting            `json:"sitting"`
	Bounds  Bounds             `json:"bounds"`
	Ways    map[string]job     `json:"ways"`
	Days    []dated            `json:"sessions"`
	Others  []told             `json:"others"`
	Signs   []sign             `json:"symptoms"`
	Tones   tonesOf            `json:"tones"`
	Right   string             `json:"right"`
	Left    string             `json:"left"`
	Text    say.Page           `json:"text"`
	// Labels are what walks, sets of exercises and breaths at one's own pace are called, by kind, name and count:
	// exercise/bridge/10.
	Labels map[string]string `json:"labels"`
}

type sitting struct {
	Sit       int `json:"sitSeconds"`
	Readings  int `json:"readings"`
	End       int `json:"endSeconds"`
	FirstHold int `json:"firstHoldSeconds"`
	Same      int `json:"sameMinutes"`
}

// job is what sessions of one kind and one standing do. One without steps cannot be begun: Shut says why.
type job struct {
	Title  string        `json:"title"`
	Effort bool          `json:"effort"` // all but slow breathing
	Set    []string      `json:"set"`
	Work   string        `json:"work"`
	Shut   string        `json:"shut,omitempty"`
	Steps  []record.Step `json:"steps"`
}

type dated struct {
	UID        string     `json:"uid"`
	Start      unit.Local `json:"start"`
	Day        string     `json:"day"` // as people say it
	Way        string     `json:"way"`
	Gate       bool       `json:"gate,omitempty"`
	End        bool       `json:"end,omitempty"`
	First      bool       `json:"first,omitempty"`
	Supervised string     `json:"supervised,omitempty"`
}

type told struct {
	Date unit.Date `json:"date"`
	Text string    `json:"text"`
}

type sign struct {
	ID    string `json:"id"`
	Text  string `json:"text"`
	Grave bool   `json:"grave,omitempty"`
}

// tonesOf are the page's pitches, in hertz: those of the sound file.
type tonesOf struct {
	In    float64 `json:"in"`
	Pause float64 `json:"pause"`
	Out   float64 `json:"out"`
	Rest  float64 `json:"rest"`
	Work  float64 `json:"work"`
	End   float64 `json:"end"`
}

// run is what the script goes by from now on: sessions of days that are over are left out.
func (in Input) run(now unit.Local) run {
	p, l := in.Plan, in.words()
	sum := sha256.Sum256([]byte(p.Client))
	sit := p.Sitting
	r := run{Key: "isocue-" + hex.EncodeToString(sum[:8]), Tag: l.Tag, Decimal: l.Decimal, Zone: p.Zone, Call: p.Emergency, Moves: append([]record.Elsewhere{}, p.Moves...), Coach: p.Coach, Clinic: in.Contacts.Clinic, Unit: in.Contacts.MaternityUnit,
		Over: p.Stopped != 0, Lead: leadSeconds, Gate: p.Gate, Bounds: in.Bounds, Ways: map[string]job{}, Days: []dated{}, Others: []told{},
		Sitting: sitting{sit.SitSeconds, sit.Readings, sit.EndSeconds, sit.FirstHoldSeconds, sit.SameSitting},
		Tones:   tonesOf{toneIn, tonePause, toneOut, toneRest, toneSet, toneEnd}, Right: l.Words.Right, Left: l.Words.Left, Text: l.Page, Labels: map[string]string{}}
	for _, s := range in.Symptoms {
		if s.Unnamed {
			continue
		}
		text := l.Page.Symptoms[s.ID]
		if text == "" {
			text = strings.ReplaceAll(s.ID, "-", " ")
		}
		r.Signs = append(r.Signs, sign{s.ID, text, s.Grave})
	}
	// What calls for help at once stands first.
	slices.SortStableFunc(r.Signs, func(a, b sign) int {
		return map[bool]int{true: 0, false: 1}[a.Grave] - map[bool]int{true: 0, false: 1}[b.Grave]
	})
	if r.Over {
		return r
	}
	for i := range p.Sessions {
		s := &p.Sessions[i]
		if s.Start.Date() < now.Date() {
			continue
		}
		k := p.Kinds[s.Kind]
		way := s.Kind + " " + string(s.Status)
		if _, ok := r.Ways[way]; !ok {
			r.Ways[way] = newJob(l, &k, s.Status)
			for _, x := range r.Ways[way].Steps {
				if x.Kind == record.Walk || x.Kind == record.Exercise || x.Kind == record.Breathe && x.Pattern == nil {
					r.Labels[fmt.Sprintf("%s/%s/%d", x.Kind, x.Name, x.Count)] = say.Upper(l.StepRow(x))
				}
			}
		}
		d := dated{UID: s.UID, Start: s.Start, Day: l.Day(s.Start.Date()), Way: way, Gate: s.Gate, End: s.End, First: s.First}
		if s.Supervised {
			d.Supervised = l.Session.Supervised
		}
		r.Days = append(r.Days, d)
	}
	slices.SortStableFunc(r.Days, func(a, b dated) int { return int(a.Start - b.Start) })
	for _, o := range p.Others {
		if o.Status != record.Cancelled && o.Date >= now.Date() {
			r.Others = append(r.Others, told{o.Date, l.Entry.Titles[o.What]})
		}
	}
	return r
}

func newJob(l *say.Language, k *record.Kind, status record.Status) job {
	j := job{Title: k.Title, Effort: k.Modality.Effort(), Steps: []record.Step{}, Set: []string{}}
	noLoad := status == record.Provisional && j.Effort && (k.NoNumber || len(k.Loads) == 0)
	switch {
	case status == record.Cancelled:
		j.Title, j.Shut = fmt.Sprintf(l.Session.Cancelled, k.Title), l.Session.NothingToDo
	case noLoad:
		j.Shut = l.Page.NoNumbers
	default:
		j.Set = append(append(j.Set, l.Set(k, status)...), l.Breathing(k)...)
		j.Work, j.Steps = l.Work(k.Steps), k.Steps
	}
	return j
}
