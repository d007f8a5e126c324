package cli

import (
	"bufio"
	"cmp"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"isocue.example/cmd/isocue/clinic"
	"isocue.example/compiler/diary"
	"isocue.example/compiler/files"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/progress"
	"isocue.example/compiler/record"
	"isocue.example/compiler/report"
	"isocue.example/compiler/report/judged"
	"isocue.example/compiler/report/plans"
)

// byVariable names who enters, where --by does not.
const byVariable = "ISOCUE_BY"

func (a *app) enter() *cobra.Command {
	var t diary.Typed
	options := map[string]*string{}
	var add, replaces, make bool
	var judge judgeFlags
	var kinds []string
	var ways strings.Builder
	for _, k := range diary.Kinds {
		kinds = append(kinds, string(k.What))
		ways.WriteString("  " + k.Words + "\n")
	}
	c := &cobra.Command{
		Use:   "enter RECORD KIND [WORDS...]",
		Short: "write into a client's diary what happened",
		Long: "enter appends one entry to the diary beside a client record, ID.diary.yaml, and says what it wrote, what that\n" +
			"changes and what to do next; with --compile it makes the new sheet at once.\n" +
			"It takes what people type: 138/84/70; 38,5; today, yesterday, Monday; a medicine by its generic name.\n" +
			"An entry is judged by its shape, by the record and by the diary. One that is refused is not written, and is printed\n" +
			"as it would have been. A record with an error in it stops nobody from saying what happened.\n\nKinds:\n" + strings.TrimSuffix(ways.String(), "\n"),
		Example: "  isocue enter clients/heron-07.yaml ill fever\n  isocue enter clients/heron-07.yaml well --date yesterday\n" +
			"  isocue enter clients/heron-07.yaml reading 138/84/70 --time 07:30\n  isocue enter clients/heron-07.yaml grip right 38.5 40 39 --with home-gauge\n" +
			"  isocue enter clients/heron-07.yaml medicine beta-blocker stopped\n  isocue enter clients/heron-07.yaml course handgrip-maintenance --start 2027-03-08",
		Args: words(2, -1, "a client record, what happened, and its words"),
		ValidArgsFunction: begun(func(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
			if len(args) == 0 {
				return nil, cobra.ShellCompDirectiveDefault
			}
			if len(args) == 1 {
				return kinds, cobra.ShellCompDirectiveNoFileComp
			}
			return nil, cobra.ShellCompDirectiveNoFileComp
		}),
		RunE: func(_ *cobra.Command, args []string) error {
			t.What, t.Words, t.Options = args[1], args[2:], map[string]string{}
			for name, value := range options {
				t.Options[name] = *value
			}
			for name, on := range map[string]bool{"add": add, "replaces": replaces} {
				if on {
					t.Options[name] = "true"
				}
			}
			return a.runEnter(args[0], t, make, judge.why)
		},
	}
	fl := c.Flags()
	fl.StringVar(&t.By, "by", "", "who enters it; else "+byVariable)
	fl.StringVar(&t.Date, "date", "", "the day it is about, today unless given: 2027-02-27, yesterday, Monday (the last one)")
	fl.StringVar(&t.Time, "time", "", "the time of day: 07:30, or now; a reading needs one")
	fl.StringVar(&t.Note, "note", "", "anything else, one line")
	fl.BoolVar(&t.Sure, "yes", false, "ask nothing: what could mean two things is what isocue would have asked whether it is")
	fl.BoolVar(&make, "compile", false, "make the new sheet at once, where the entry changes one")
	judge.reasons(c)
	fl.BoolVar(&add, "add", false, "of a course: beside the one that runs")
	fl.BoolVar(&replaces, "replaces", false, "of a course: in place of the one that runs")
	for _, o := range []struct{ name, what string }{
		{"with", "of a grip measurement: the gauge, by its id"}, {"unit", "of a grip measurement: kgf, lbf or N, where the record does not say"}, {"score", "of a grip measurement: best or mean, best unless given"},
		{"instead", "of a device: the id of the one whose place it takes"}, {"signed", "of a clearance or limits: the clinician who gave it"}, {"role", "of a clearance: the clinician's role"},
		{"until", "of a clearance or a pause: the last day"}, {"emergency", "of a move: the emergency number there"}, {"start", "of a course: the first day"},
		{"entries", "of a call: the ids of the entries it was about"}, {"row", "of words read: the row of the log, by its moment"},
	} {
		options[o.name] = fl.String(o.name, "", o.what)
	}
	complete(c, "unit", "kgf", "lbf", "N")
	complete(c, "score", "best", "mean")
	return c
}

func (a *app) runEnter(name string, t diary.Typed, make, why bool) error {
	now, err := a.moment()
	if err != nil {
		return err
	}
	if t.By = strings.TrimSpace(cmp.Or(t.By, os.Getenv(byVariable))); t.By == "" {
		return fmt.Errorf("who enters it is required, write: --by NAME, or set %s", byVariable)
	}
	front, eng := a.front(), a.engine()
	e, err := front.Enter(eng, name, t, now)
	var q diary.Question
	if errors.As(err, &q) {
		if !a.agreed(q) {
			a.say("%s", q.Asks)
			return fmt.Errorf("nothing was written; write --yes where it is so")
		}
		t.Sure = true
		e, err = front.Enter(eng, name, t, now)
	}
	switch {
	case err != nil && e != nil && e.Entry != nil: // it was sound, and could not be written
		a.say("nothing was written; the entry is: %s", e.Line)
		return err
	case err != nil:
		return err
	}
	return a.entered(name, e, make, why)
}

// entered says what became of an entry.
func (a *app) entered(name string, e *clinic.Entering, make, why bool) error {
	if len(e.Findings) > 0 {
		color, err := a.useColor(a.err)
		if err != nil {
			return err
		}
		out := judged.Judgement{Version: Version, Findings: finding.Sort(e.Findings), Looked: 1, Early: BeforeRules, Base: a.engine().Check.Base, Color: color, Why: why,
			Source: func(string) []byte { return nil }}
		if err := judged.Formats.Write(a.err, "text", out); err != nil {
			return err
		}
	}
	if finding.Rejected(e.Findings) {
		a.say("nothing was written into %s; the entry would have been: %s", filepath.ToSlash(e.Diary), e.Line)
		return errRefused
	}
	if e.Mended {
		a.say("the last line of %s had not been finished; it is kept as a comment", filepath.ToSlash(e.Diary))
	}
	if _, err := fmt.Fprintf(a.out, "%s: %s (entry %s, %s)\n", e.Client, diary.Sentence(e.Entry), e.Entry.ID, filepath.ToSlash(e.Diary)); err != nil {
		return err
	}
	if e.Ahead() {
		if err := a.tell("the client's clock shows %s, earlier than %s: the entry counts from now", e.Now.Clock(), e.Entry.Time); err != nil {
			return err
		}
	}
	return a.changes(name, e, make)
}

// changes says what an entry changes and what to do next: an entry alone changes no sheet that is in somebody's hands. make makes the
// new sheet at once.
func (a *app) changes(name string, e *clinic.Entering, make bool) error {
	pack, client := e.Pack(name), filepath.ToSlash(name)
	again := join("isocue", "compile", "--previous", pack+"/plan.json", "--client", client, "--pack", pack)
	if !files.Exists(pack, "plan.json") {
		again = join("isocue", "roster", filepath.ToSlash(filepath.Dir(filepath.Dir(pack))))
	}
	j, err := a.begin(a.err, judgeFlags{format: "text"}, nil, []string{filepath.Dir(filepath.Dir(pack))})
	if err == nil {
		err = j.refusedAlready(a.err) // for the clinic's own policy
	}
	if err != nil {
		return a.tell("the entry stands; what it changes cannot be said as long as the clinic's policy cannot be used. Then run: %s", again)
	}
	effect, err := j.Effect(e, name)
	if err != nil {
		return err
	}
	due := effect.Due
	if make && effect.Due && len(effect.Says) > 1 {
		effect.Says = effect.Says[:1] // the compile says it
	}
	for _, says := range effect.Says {
		if err := a.tell("%s", strings.ReplaceAll(says, "RECORD", client)); err != nil {
			return err
		}
	}
	switch {
	case effect.Due && make:
		row, failed := j.Remake(e, name)
		if failed == nil {
			failed = a.remade(row, client, pack)
		}
		if effect, err = j.Effect(e, name); err != nil { // as it is now
			return errors.Join(failed, err)
		}
		if failed != nil { // what must be done at once does not wait for a sheet
			return errors.Join(failed, a.next(effect))
		}
	case effect.Due:
		if err := a.tell("no sheet is made yet: add --compile, or run: %s", again); err != nil {
			return err
		}
	}
	switch what := e.Entry.What; {
	case due || !effect.Asks:
	case what == record.Well || what == record.Over || what == record.Resumed || what == record.Void:
		if err := a.tell("what was closed opens only once the symptom questions were asked: %s", join("isocue", "enter", client, "asked", "no")); err != nil {
			return err
		}
	}
	if m := effect.Needs.Matters[0]; m.Need.Rings() || m.Need == progress.HandOut && !effect.Due || make {
		return a.next(effect)
	}
	return nil
}

// next says what to do first.
func (a *app) next(effect clinic.Effect) error {
	if act := effect.Needs.Act(effect.Needs.Matters[0]); act != "" {
		return a.tell("next: %s", act)
	}
	return nil
}

// tell prints one line of what became of an entry.
func (a *app) tell(format string, args ...any) error {
	_, err := fmt.Fprintln(a.out, report.Clean(fmt.Sprintf(format, args...)))
	return err
}

// remade says what became of the pack.
func (a *app) remade(row plans.RosterRow, client, pack string) error {
	switch row.Outcome {
	case plans.RosterRefused, plans.RosterFailed:
		for _, s := range row.Refusals {
			if err := a.tell("%s", strings.ReplaceAll(s, "RECORD", client)); err != nil {
				return err
			}
		}
		if len(row.Refusals) > 0 {
			return errors.New("the entry stands, and no new sheet was made")
		}
		return fmt.Errorf("the entry stands, and no new sheet was made: %s", cmp.Or(row.Reason, strings.Join(row.Rules, ", ")))
	}
	switch {
	case row.Sheet == 0:
		return a.tell("no sheet is made, for there is no course to make one of")
	case row.Outcome == plans.RosterUnchanged, row.Outcome == plans.RosterStopped, row.Outcome == plans.RosterOver:
		return a.tell("sheet %d stands as it was", row.Sheet)
	}
	return a.tell("sheet %d is written into %s", row.Sheet, pack)
}

// agreed asks a question where somebody sits before the terminal; elsewhere nobody answers.
func (a *app) agreed(q diary.Question) bool {
	in, ok := a.in.(*os.File)
	if !ok || !terminalFile(in) {
		return false
	}
	fmt.Fprintf(a.err, "%s [y/N] ", q.Asks)
	answer, err := bufio.NewReader(io.LimitReader(in, 1<<10)).ReadString('\n')
	word := strings.ToLower(strings.TrimSpace(answer))
	return err == nil && (word == "y" || word == "yes")
}
