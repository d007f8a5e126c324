// Package handout makes what a client takes home: a sheet to print, a page that leads through each session, and a sound.
//
// All three are views of one plan; beside it they need the client's name, whom to call, and what may be told to expect. The
// sheet is a letter to read; the page runs the plan's steps one line after the other, offline and by itself; a sound tells
// phases of paced breathing by tones. Each is one file that fetches nothing. The sentences stand in package say, the cautions
// in the plan. A plan without cautions or without an emergency number has no hand-out.
package handout

import (
	"bytes"
	"errors"
	"fmt"
	"html/template"
	"strings"
	"time"
	"unicode/utf8"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/page"
	"isocue.example/compiler/record"
	"isocue.example/compiler/say"
	"isocue.example/compiler/unit"
	"isocue.example/compiler/zone"
)

// Input is what a hand-out is made from.
type Input struct {
	Plan     *record.Plan
	Name     string          // "" where the record has none
	Contacts record.Contacts // as in the record; of a plan without one, the clinic alone
	// Expected is what may be told to expect of a modality: the only promises that a hand-out makes.
	Expected map[record.Modality]string
	// LighterDays and MeasureDays are the days without training after which the first week is lighter, and after which a new
	// measurement comes first. Both are limits of rules.
	LighterDays, MeasureDays int
	Bounds                   Bounds           // what a reading can be, which the session page asks for
	Page, Sounds             bool             // the session page, and the sounds, are written beside the sheet, which then names them
	Symptoms                 []record.Symptom // what a log may tell of
	Version                  string           // of the program
	Language                 *say.Language    // nil is English
}

// ErrNoEmergency refuses a hand-out: whoever trains alone must find the number on it.
var ErrNoEmergency = errors.New("the emergency number is missing, allowed: contacts.emergency in the client record, such as \"112\"")

// check refuses a plan from which no safe hand-out can be made.
func (in Input) check() error {
	p := in.Plan
	switch {
	case strings.TrimSpace(p.Emergency) == "" && p.Stopped == 0: // nothing keeps a stop from being told
		return ErrNoEmergency
	case len(p.Cautions) == 0:
		return errors.New("the plan has no cautions, allowed: at least one, since every hand-out must carry them")
	case p.Gate.Systolic.Sign() <= 0 || p.Gate.Diastolic.Sign() <= 0:
		return errors.New("the plan's gate has no numbers, allowed: readings over 0 mmHg")
	case p.Sitting.SitSeconds <= 0 || p.Sitting.Readings <= 0 || p.Sitting.EndSeconds <= 0:
		return errors.New("the plan says not how long to sit and how many readings to take, allowed: 1 or more of each")
	}
	for _, c := range p.Cautions {
		if strings.TrimSpace(c.Text) == "" {
			return fmt.Errorf("caution %q has no text, allowed: a sentence", c.ID)
		}
	}
	for i := range p.Sessions {
		if _, ok := p.Kinds[p.Sessions[i].Kind]; !ok {
			return fmt.Errorf("session %d is of kind %q, allowed: one of the plan's kinds", i+1, p.Sessions[i].Kind)
		}
	}
	return nil
}

func (in Input) words() *say.Language {
	if in.Language == nil {
		return say.English()
	}
	return in.Language
}

// wall is the plan's now as the client's clock shows it.
func wall(p *record.Plan) (unit.Local, error) {
	loc, err := zone.Load(p.Zone)
	if err != nil {
		return 0, err
	}
	now, err := time.Parse(time.RFC3339, p.Now)
	if err != nil {
		return 0, fmt.Errorf("the plan's now is %q, allowed: a moment such as 2027-01-03T12:00:00Z", p.Now)
	}
	t := now.In(loc)
	return unit.At(unit.DateOf(t), unit.Clock(t.Hour()*60+t.Minute())), nil
}

// coming are the sessions that have not begun and still stand.
func coming(p *record.Plan, now unit.Local) (out []*record.Session) {
	for i := range p.Sessions {
		if s := &p.Sessions[i]; s.Start >= now && s.Status != record.Cancelled {
			out = append(out, s)
		}
	}
	return out
}

// newHead opens a page in the client's language; both pages have a dark half.
func newHead(in Input, title, style, script string) page.Head {
	h := page.NewHead(in.words().Tag, in.Version, title, style, script)
	h.Dark = true
	return h
}

// usualBytes is about what a page has.
const usualBytes = 96 << 10

// execute fills a page. What an author or a client's record holds is escaped by html/template; here it loses what would steer a
// reader: control characters, and those that turn the direction of writing.
func execute(t *template.Template, data any) ([]byte, error) {
	var b bytes.Buffer
	b.Grow(usualBytes)
	if err := t.Execute(&b, data); err != nil {
		return nil, err
	}
	return plain(b.Bytes()), nil
}

// plain is a text without what would steer a reader. Nearly every page has nothing of the kind, and is not copied.
func plain(b []byte) []byte {
	i := 0
	for i < len(b) {
		if c := b[i]; c >= ' ' && c <= '~' || c == '\n' { // nearly all of it
			i++
			continue
		}
		r, n := utf8.DecodeRune(b[i:])
		if steers(r, n) {
			break
		}
		i += n
	}
	out := b[:i:i]
	for i < len(b) {
		r, n := utf8.DecodeRune(b[i:])
		if !steers(r, n) {
			out = append(out, b[i:i+n]...)
		}
		i += n
	}
	return out
}

// steers says whether a rune that was read from n bytes is dropped; one byte that is none is, too.
func steers(r rune, n int) bool {
	return r == utf8.RuneError && n == 1 || r != '\n' && r != '\t' && finding.Obeyed(r)
}
