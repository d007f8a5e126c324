package clinic

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"isocue.example/compiler"
	"isocue.example/compiler/bound"
	"isocue.example/compiler/calendar"
	"isocue.example/compiler/fhir"
	"isocue.example/compiler/files"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/handout"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/report"
	"isocue.example/compiler/report/plans"
	"isocue.example/compiler/say"
)

// Reading is how a client reads: in which language, and how much of it in the calendar.
type Reading struct {
	Lang     string // "" is that of the plan before, else English
	Discreet bool
	Told     bool // Discreet was given, so that false shows again what the plan before hid
}

// language is what was asked for, else that of the plan before, else English.
func (s Reading) language(prev *record.Plan) (*say.Language, error) {
	if s.Lang != "" {
		l, _ := say.In(s.Lang)
		return l, nil
	}
	if prev != nil {
		return say.Of(prev)
	}
	return say.English(), nil
}

// in gives input and engine the client's language, and says whether the calendar is discreet.
func (s Reading) in(eng *compiler.Compiler, in compiler.Input) (*compiler.Compiler, compiler.Input, error) {
	l, err := s.language(in.Previous)
	if err != nil {
		return eng, in, err
	}
	in.Protocols = compiler.TitlesIn(l, in.Protocols)
	in.Discreet = s.Discreet
	if in.Previous != nil && !s.Told {
		in.Discreet = in.Previous.Discreet
	}
	mine, err := eng.In(l)
	return mine, in, err
}

// ErrDiscreet refuses discreet entries without the sheet.
var ErrDiscreet = errors.New("--discreet goes only together with the client's sheet, which carries the gate that its entries leave out, allowed: --pack DIR, which writes both (in a roster without --handout=false); --discreet=false")

// forms are the forms of a plan that need nothing but the plan.
var forms = append(plans.Forms, report.Form[*record.Plan]{Name: "fhir", Write: fhir.Plan})

// Forms are the names of the forms of a plan.
var Forms = append([]string{"ics"}, forms.Names()...)

// Render makes the bytes of one form.
func Render(p *record.Plan, form string) ([]byte, error) {
	if form == "ics" {
		return calendarOf(p)
	}
	var b bytes.Buffer
	if err := forms.Write(&b, form, p); err != nil {
		return nil, err
	}
	return b.Bytes(), fits("the "+form, b.Bytes())
}

// fits holds a file that was made of a plan to the bound of all such files.
func fits(what string, b []byte) error {
	if len(b) <= bound.Output {
		return nil
	}
	return &bound.Over{What: what + " would have", Has: len(b), Of: "bytes", Most: bound.Output, Then: "make a plan of fewer sessions"}
}

// calendarOf writes the calendar of a plan in the plan's own language and with its own options.
func calendarOf(p *record.Plan) ([]byte, error) {
	opt, err := optionsOf(p)
	if err != nil {
		return nil, err
	}
	return calendar.Encode(nil, p, opt)
}

// optionsOf are how a plan's calendar is written, by whomever.
func optionsOf(p *record.Plan) (calendar.Options, error) {
	l, err := say.Of(p)
	return calendar.Options{Version: Version, Language: l, Discreet: p.Discreet, Remind: p.Remind}, err
}

// packNames are the files that every client's pack has. The plan is the last: as long as it is the old one, a run that was killed
// before it is done again. bareNames are those of a pack without what the client takes home.
var (
	packNames = []string{"calendar.ics", "handout.html", "session.html", "plan.json"}
	bareNames = []string{"calendar.ics", "plan.json"}
)

// Pack is the folder of files that one client is given, and how they are made.
type Pack struct {
	dir    string
	names  []string // in the order in which they are put into their places
	sounds bool     // some megabytes, the same for every client of a protocol
	ics    func(*record.Plan) ([]byte, error)
	plan   func(*record.Plan) ([]byte, error)
}

// NewPack is a pack with all that a client takes home.
func NewPack(dir string) Pack {
	return Pack{dir, packNames, true,
		func(p *record.Plan) ([]byte, error) { return Render(p, "ics") },
		func(p *record.Plan) ([]byte, error) { return Render(p, "plan") }}
}

// Files makes the files of the pack, sounds first. client is nil where only the plan is at hand.
func (k Pack) Files(eng *compiler.Compiler, p *record.Plan, client *load.Client) (out []files.File, err error) {
	in, err := eng.Handout(p, client, Version)
	if err != nil {
		return nil, err
	}
	in.Page, in.Sounds = true, k.sounds
	if k.sounds {
		sounds, err := handout.Sounds(in)
		if err != nil {
			return nil, err
		}
		for _, f := range sounds {
			out = append(out, files.File{Name: filepath.Join(k.dir, f.Name), Data: f.Data})
		}
	}
	for _, name := range k.names {
		var b []byte
		if name == "plan.json" && p.Inputs != "" {
			p.Files = nil
			for _, f := range out {
				p.Files = append(p.Files, written(f.Name, f.Data))
			}
		}
		switch name {
		case "calendar.ics":
			b, err = k.ics(p)
		case "handout.html":
			b, err = handout.Sheet(in)
		case "session.html":
			b, err = handout.Session(in)
		default:
			b, err = k.plan(p)
		}
		if err == nil {
			err = fits(name, b)
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		out = append(out, files.File{Name: filepath.Join(k.dir, name), Data: b})
	}
	return out, nil
}

// written is what is kept of a file that stands in a pack.
func written(name string, data []byte) record.Written {
	sum := sha256.Sum256(data)
	return record.Written{Name: filepath.Base(name), Bytes: int64(len(data)), SHA256: hex.EncodeToString(sum[:])}
}

// manner is how the files of a pack are written: its folder is made where it is missing.
func (k Pack) manner(force bool) files.Manner {
	return files.Manner{Force: force, Make: "the pack's folder"}
}

// Write writes the files of the pack, each whole or not at all. before is the plan that they follow, nil for none: a plan that
// this compile did not follow is not written over, unless force says so.
func (k Pack) Write(fs []files.File, before *Before, force bool) error {
	m, plan := k.manner(force), fs[len(fs)-1]
	switch {
	case before != nil:
		m.May = func() error { return before.stillFollows(plan, force) }
	case !force:
		m.May = func() error { return sameAsBefore(plan) }
	}
	return files.Write(fs, m)
}

// callable refuses a record that has no emergency number: whoever trains alone must find it on the sheet.
func callable(cl *load.Client) []finding.Finding {
	if cl == nil || strings.TrimSpace(cl.Record.Contacts.Emergency) != "" {
		return nil
	}
	return []finding.Finding{{Rule: load.Shape, Verdict: finding.Malformed, Pos: cl.Node.Pos, Path: "contacts.emergency", Private: true,
		Message:   "contacts.emergency is missing, needed for a pack: the number of the emergency service where the client lives",
		Remedy:    "write it in quotes, such as contacts: {emergency: \"112\"}",
		Rationale: "The client trains alone; the sheet in the pack says first whom to call when something is wrong."}}
}
