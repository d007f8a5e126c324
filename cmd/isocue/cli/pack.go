package cli

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"isocue.example/compiler"
	"isocue.example/compiler/calendar"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/handout"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/say"
)

// sheetFlags are what a client reads: in which language, and how much of it in the calendar.
type sheetFlags struct {
	lang     string
	discreet bool
	told     bool // discreet was given, so that =false shows again what the plan before hid
}

func (s *sheetFlags) add(c *cobra.Command) {
	c.Flags().StringVar(&s.lang, "lang", "", "the language of what the client reads: "+orList(say.Tags())+"; else that of the plan before, else en")
	c.Flags().BoolVar(&s.discreet, "discreet", false, "entries that say nothing about health and send to the client's sheet; kept from plan to plan, =false shows it again")
	complete(c, "lang", say.Tags()...)
}

func (s sheetFlags) check() error { return noneOrOneOf("--lang", s.lang, say.Tags()) }

// language is what was asked for, else that of the plan before, else English.
func (s sheetFlags) language(prev *record.Plan) (*say.Language, error) {
	if s.lang != "" {
		l, _ := say.In(s.lang)
		return l, nil
	}
	if prev != nil {
		return say.Of(prev)
	}
	return say.English(), nil
}

// in gives input and engine the client's language, and says whether the calendar is discreet.
func (s sheetFlags) in(eng *compiler.Compiler, in compiler.Input) (*compiler.Compiler, compiler.Input, error) {
	l, err := s.language(in.Previous)
	if err != nil {
		return eng, in, err
	}
	in.Protocols = compiler.TitlesIn(l, in.Protocols)
	in.Discreet = s.discreet
	if in.Previous != nil && !s.told {
		in.Discreet = in.Previous.Discreet
	}
	mine, err := eng.In(l)
	return mine, in, err
}

// calendarOf writes the calendar of a plan in the plan's own language.
func calendarOf(p *record.Plan, opt calendar.Options) ([]byte, error) {
	l, err := say.Of(p)
	if err != nil {
		return nil, err
	}
	opt.Language, opt.Discreet = l, p.Discreet
	return calendar.Encode(nil, p, opt)
}

// packNames are the files that every client's pack has. The plan is the last: as long as it is the old one, a run that was killed
// before it is done again.
var packNames = []string{"calendar.ics", "handout.html", "session.html", "plan.json"}

// bareNames are those of a pack without what the client takes home.
var bareNames = []string{"calendar.ics", "plan.json"}

// packed makes the files of a client's pack, in the order of names, and before them the sounds where they are asked for: some
// megabytes, the same for every client of a protocol. client is nil where only the plan is at hand.
func packed(eng *compiler.Compiler, p *record.Plan, client *load.Client, dir string, names []string, sounds bool, ics, plan func(*record.Plan) ([]byte, error)) (out []pending, err error) {
	in, err := eng.Handout(p, client, Version)
	if err != nil {
		return nil, err
	}
	in.Page, in.Sounds = true, sounds
	if sounds {
		files, err := handout.Sounds(in)
		if err != nil {
			return nil, err
		}
		for _, f := range files {
			out = append(out, pending{name: filepath.Join(dir, f.Name), data: f.Data})
		}
	}
	for _, name := range names {
		var b []byte
		if name == "plan.json" && p.Inputs != "" {
			p.Files = written(out)
		}
		switch name {
		case "calendar.ics":
			b, err = ics(p)
		case "handout.html":
			b, err = handout.Sheet(in)
		case "session.html":
			b, err = handout.Session(in)
		default:
			b, err = plan(p)
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		out = append(out, pending{name: filepath.Join(dir, name), data: b})
	}
	return out, nil
}

func stands(dir, name string) bool {
	_, err := os.Stat(filepath.Join(dir, name))
	return err == nil
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

// errDiscreet refuses discreet entries without the sheet.
var errDiscreet = errors.New("--discreet goes only together with the client's sheet, which carries the gate that its entries leave out, allowed: --pack DIR, which writes both (in a roster without --handout=false); --discreet=false")
