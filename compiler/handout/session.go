package handout

import (
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"fmt"
	"html/template"
	"slices"
	"strconv"
	"strings"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/record"
	"isocue.example/compiler/say"
	"isocue.example/compiler/unit"
)

//go:embed page/session.css
var sessionStyle string

// The script is one program in parts, each with its own matter.
//
//go:embed page/session.js page/session-cues.js page/session-gate.js page/session-run.js page/session-log.js
var scripts embed.FS

var sessionScript = func() string {
	out := "'use strict';\n(() => {\n"
	for _, part := range []string{"", "-cues", "-gate", "-run", "-log"} {
		b, err := scripts.ReadFile("page/session" + part + ".js")
		if err != nil {
			panic(finding.Bug{What: err.Error()}) // it is embedded
		}
		out += string(b)
	}
	return out + "})()\n"
}()

//go:embed page/session.html
var sessionBody string

var sessionPage = template.Must(template.New("session").Parse(pageHead + sessionBody))

// leadSeconds is the time to put the phone down and take hold before the first line. It is not part of the session.
const leadSeconds = 5

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
	Key     string         `json:"key"` // under which the device keeps the log: the same from sheet to sheet
	Tag     string         `json:"tag"`
	Decimal string         `json:"decimal"`
	Zone    string         `json:"zone"`
	Call    string         `json:"call"`
	Coach   string         `json:"coach"`
	Over    bool           `json:"over"`
	Lead    int            `json:"leadSeconds"`
	Gate    record.Gate    `json:"gate"`
	Sitting sitting        `json:"sitting"`
	Bounds  Bounds         `json:"bounds"`
	Ways    map[string]job `json:"ways"`
	Days    []dated        `json:"sessions"`
	Others  []told         `json:"others"`
	Signs   []sign         `json:"symptoms"`
	Tones   tonesOf        `json:"tones"`
	Right   string         `json:"right"`
	Left    string         `json:"left"`
	Text    say.Page       `json:"text"`
	// Labels are what walks and sets of exercises are called, by kind, name and repetitions: exercise/bridge/10.
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

// shell is what the page says before its script runs.
type shell struct {
	head
	T             say.Page
	Call, Coach   string
	Number        template.URL
	Sheet, Newest string
	Danger        []string
	SitAtEnd      string
	Readings      []reading
	Signs         []sign
	Lines         []string // of the gate
	Data          run
}

type reading struct{ N, Label string }

// Session makes the page that leads through each session: one HTML file that needs no network. What it runs are the plan's
// steps, which stand in it as they stand in plan.json. Sessions that are cancelled, and those that must not be trained before a
// new measurement, have no steps in it.
func Session(in Input) ([]byte, error) {
	if err := in.check(); err != nil {
		return nil, err
	}
	if b := in.Bounds; b.Lowest <= 0 || b.Highest <= b.Lowest || b.LowestPulse <= 0 || b.MostPulse <= b.LowestPulse {
		return nil, fmt.Errorf("what a reading can be is missing, allowed: a lowest and a highest pressure and pulse")
	}
	p, l := in.Plan, in.words()
	now, err := wall(p)
	if err != nil {
		return nil, err
	}
	t := l.Page
	s := shell{T: t, Call: strings.ReplaceAll(strings.ReplaceAll(t.CallNow, "{number}", p.Emergency), " ", "\u00a0"), Number: dial(p.Emergency),
		Sheet: strings.ReplaceAll(t.SheetOf, "{n}", strconv.Itoa(p.Sheet)), Newest: t.Newest,
		SitAtEnd: l.SitAtEnd(p), Lines: l.GateLines(p, p.Emergency)[1:], Data: in.run(now)}
	if p.Coach != "" {
		s.Coach = strings.ReplaceAll(t.CallCoach, "{number}", p.Coach)
	}
	s.head = newHead(in, t.Title+", "+fmt.Sprintf(l.Sheet.Number, p.Sheet), sessionStyle, sessionScript)
	for _, c := range p.Cautions {
		s.Danger = append(s.Danger, c.Text)
	}
	for i := range p.Sitting.Readings {
		n := strconv.Itoa(i + 1)
		s.Readings = append(s.Readings, reading{n, strings.ReplaceAll(t.Reading, "{n}", n)})
	}
	s.Signs = s.Data.Signs
	return execute(sessionPage, s)
}

func (in Input) run(now unit.Local) run {
	p, l := in.Plan, in.words()
	sum := sha256.Sum256([]byte(p.Client))
	sit := p.Sitting
	r := run{Key: "isocue-" + hex.EncodeToString(sum[:8]), Tag: l.Tag, Decimal: l.Decimal, Zone: p.Zone, Call: p.Emergency, Coach: p.Coach,
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
				if x.Kind == record.Walk || x.Kind == record.Exercise {
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
	j := job{Title: k.Title, Effort: k.Modality != record.SlowBreathing, Steps: []record.Step{}, Set: []string{}}
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

// dial is the address of a telephone number: its digits, and a plus before them. The scheme is ours and nothing else of the
// number is left, so that the address cannot be another one.
func dial(number string) template.URL {
	var b strings.Builder
	for _, r := range number {
		if r >= '0' && r <= '9' || r == '+' && b.Len() == 0 {
			b.WriteRune(r)
		}
	}
	return template.URL("tel:" + b.String())
}
