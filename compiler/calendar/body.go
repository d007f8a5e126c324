package calendar

import (
	"errors"
	"fmt"
	"strings"

	"isocue.example/compiler/record"
	"isocue.example/compiler/say"
)

// body is what the sessions of one kind, status and place in their sitting share: their SUMMARY up to the number of the
// week, and their content lines from DESCRIPTION on. Both are folded; octets is where the SUMMARY goes on.
type body struct {
	summary []byte
	octets  int
	rest    []byte
}

// place is what a body depends on beside the kind.
type place struct {
	status, sheet int    // status is an index in statusNames
	call          string // whom to call there
	say.Place
}

// kindBodies are the bodies of one kind that were asked for so far; there are seldom more than four.
type kindBodies struct {
	places []place
	bodies []body
}

// bodies are those of one plan.
type bodies struct {
	byKind   map[string]*kindBodies
	lastKind string // sessions of one kind often follow each other
	last     *kindBodies
	cautions []string
	call     string // whom to call, in normal form
	words    *say.Language
	discreet bool
	others   map[record.Other][]byte
}

// reset forgets the plan before and reads the texts that all bodies of p share. A plan must have cautions, each with a
// text: the calendar is where the client reads them.
func (b *bodies) reset(p *record.Plan) error {
	clear(b.byKind)
	b.last, b.lastKind, b.cautions = nil, "", b.cautions[:0]
	clear(b.others)
	if len(p.Cautions) == 0 {
		return errors.New("the plan has no cautions, allowed: at least one, since every description must carry them")
	}
	for i, c := range p.Cautions {
		text, err := oneLine(c.Text)
		if err == nil && text == "" {
			err = errors.New("the text is empty, allowed: a sentence")
		}
		if err != nil {
			return fmt.Errorf("caution %d (%q): %w", i+1, c.ID, err)
		}
		b.cautions = append(b.cautions, text)
	}
	var err error
	if b.call, err = oneLine(p.Emergency); err != nil {
		return fmt.Errorf("the emergency number: %w", err)
	}
	return nil
}

func (b *bodies) of(p *record.Plan, s *record.Session, shared bool) (*body, error) {
	if b.last == nil || b.lastKind != s.Kind {
		k := b.byKind[s.Kind]
		if k == nil {
			k = &kindBodies{}
			b.byKind[s.Kind] = k
		}
		b.last, b.lastKind = k, s.Kind
	}
	call := b.call
	if s.Call != "" {
		var err error
		if call, err = oneLine(s.Call); err != nil {
			return nil, fmt.Errorf("the emergency number: %w", err)
		}
	}
	at := place{statusIndex(s.Status), s.Sheet, call, say.Place{Gate: s.Gate, Shared: shared, End: s.End, Supervised: s.Supervised, First: s.First}}
	for i := range b.last.places {
		if b.last.places[i] == at {
			return &b.last.bodies[i], nil
		}
	}
	kind := p.Kinds[s.Kind]
	made, err := b.make(p, &kind, s.Status, at)
	if err != nil {
		return nil, fmt.Errorf("kind %q: %w", s.Kind, err)
	}
	b.last.places, b.last.bodies = append(b.last.places, at), append(b.last.bodies, made)
	return &b.last.bodies[len(b.last.bodies)-1], nil
}

func (b *bodies) make(p *record.Plan, k *record.Kind, status record.Status, at place) (body, error) {
	title, err := oneLine(k.Title)
	if err == nil && title == "" {
		err = errors.New("the title is empty, allowed: a few words")
	}
	if err != nil {
		return body{}, err
	}
	lines, err := b.describe(p, k, status, at)
	if err != nil {
		return body{}, err
	}
	lines = append(b.sheet(at.sheet), lines...)
	var l line
	l.begin("SUMMARY:")
	l.text(b.words.Title(b.title(title), status) + b.words.Session.Week)
	out := body{summary: l.buf, octets: l.octets}
	l = line{}
	err = b.tail(&l, lines, status, "OPAQUE", string(k.Modality))
	out.rest = l.buf
	return out, err
}

// other is the content lines of an all-day entry from SUMMARY on.
func (b *bodies) other(p *record.Plan, o *record.Other) ([]byte, error) {
	key := record.Other{What: o.What, Status: o.Status, About: o.About, Sheet: o.Sheet}
	if rest, ok := b.others[key]; ok {
		return rest, nil
	}
	text, ok := b.words.Entry.Titles[o.What]
	if !ok {
		return nil, fmt.Errorf("what is %q, allowed: %v", o.What, record.OtherKinds)
	}
	var l line
	l.begin("SUMMARY:")
	l.text(b.words.Title(b.title(text), o.Status))
	l.end()
	lines := append(b.sheet(o.Sheet), b.entry(p, o, text)...)
	if err := b.tail(&l, lines, o.Status, "TRANSPARENT", ""); err != nil {
		return nil, err
	}
	b.others[key] = l.buf
	return l.buf, nil
}

// tail writes the lines that end every event, with the cautions at the end of its description. The parts of lines that
// come from the plan, such as units, are brought to normal form here.
func (b *bodies) tail(l *line, lines []string, status record.Status, transparency, modality string) error {
	if !b.discreet { // those send to the sheet, which has the cautions
		lines = append(lines, b.cautions...)
	}
	text, err := plain(strings.Join(lines, "\n"))
	if err != nil {
		return err
	}
	modality, err = oneLine(modality)
	if err != nil {
		return err
	}
	l.begin("DESCRIPTION:")
	l.text(text)
	l.end()
	if !b.discreet {
		l.begin("CATEGORIES:")
		l.text(b.words.Frame.Category)
		if modality != "" {
			l.ascii(",") // between two values it is not escaped
			l.text(modality)
		}
		l.end()
	}
	put(l, "STATUS:"+statusNames[statusIndex(status)])
	put(l, "CLASS:PRIVATE")
	put(l, "TRANSP:"+transparency)
	return nil
}

// statusNames are RFC 5545's names of record.Statuses.
var statusNames = [...]string{"CONFIRMED", "TENTATIVE", "CANCELLED"}

// statusIndex is the place of s in statusNames, -1 for an unknown status.
func statusIndex(s record.Status) int {
	switch s {
	case record.Confirmed:
		return 0
	case record.Provisional:
		return 1
	case record.Cancelled:
		return 2
	}
	return -1
}
