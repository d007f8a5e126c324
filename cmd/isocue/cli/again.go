package cli

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"isocue.example/compiler"
	"isocue.example/compiler/calendar"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/report/plans"
	"isocue.example/compiler/unit"
)

// againFlags are the flags about a course that has begun, and about what the calendar shows.
type againFlags struct {
	previous, stop, closed string
	pauses                 []string
	reviews                bool
	gather                 bool
	remind                 int

	followed []byte // what the plan before holds
}

func (g *againFlags) add(c *cobra.Command) {
	c.Flags().StringVar(&g.previous, "previous", "", "the plan before: what is past stands, the rest moves only where it must")
	c.Flags().StringArrayVar(&g.pauses, "pause", nil, "no training on these days, such as 2027-02-01..2027-02-09; may be given again; none forgets those of the plan before")
	c.Flags().StringVar(&g.stop, "stop", "", "cancel everything from this day on; needs --previous and nothing else")
	c.Flags().StringVar(&g.closed, "closed", "", "days on which the clinic is closed: a list of days and spans, one a line, or an .ics")
	c.Flags().BoolVar(&g.reviews, "reviews", true, "the meetings with the coach; --reviews=false leaves them out")
	c.Flags().BoolVar(&g.gather, "gather", false, "one all-day entry a day for breathing that is trained several times a day")
	c.Flags().IntVar(&g.remind, "remind", 0, "one alarm this many minutes before each session")
}

func (g againFlags) options() calendar.Options {
	return calendar.Options{Version: Version, Remind: g.remind, Gather: g.gather}
}

// check refuses flags that do not go together, before anything is read.
func (fl compileFlags) check(protocols int) error {
	g := fl.again
	switch {
	case fl.pack != "" && (fl.out != "" || fl.as != ""):
		return errors.New("--pack stands with -o or --as, allowed: one of them; a pack holds plan and calendar")
	case fl.sheet.discreet && fl.pack == "":
		return errDiscreet
	case g.remind < 0 || g.remind > 24*60:
		return fmt.Errorf("--remind is %d, allowed: 0 to %d minutes", g.remind, 24*60)
	case g.stop != "" && (protocols > 0 || fl.client != "" || fl.start != "" || g.closed != "" || len(g.pauses) > 0 || fl.log != "" || fl.sessions != "" || fl.sheet.lang != "" || fl.sheet.told):
		return errors.New("--stop stands with other inputs, allowed: isocue compile --previous PLAN --stop DATE, with --pack, -o or --as")
	case g.stop != "" && g.previous == "":
		return errors.New("--previous is missing; write: isocue compile --previous PLAN --stop DATE")
	case g.stop != "":
		return nil
	case protocols == 0:
		return errors.New("a protocol is missing, such as handgrip-alternating or ours.cue; write: isocue compile PROTOCOL... --client FILE --start DATE")
	case fl.client == "":
		return errors.New("--client is missing; write: isocue compile PROTOCOL... --client FILE --start DATE")
	case fl.start == "" && g.previous == "":
		return errors.New("--start is missing; write: isocue compile PROTOCOL... --client FILE --start DATE")
	}
	return nil
}

// again reads what a compile depends on beside protocols, client and clock.
func (a *app) again(fl *compileFlags) (in compiler.Input, err error) {
	g := &fl.again
	if g.previous != "" {
		src, err := load.Fetch(g.previous, load.MaxPlan)
		if err != nil {
			return in, fmt.Errorf("cannot read: %w", unwrapPath(err))
		}
		g.followed = src
		if in.Previous, err = load.ReadPlan(src); err != nil {
			return in, fmt.Errorf("%s: %w", g.previous, err)
		}
		in.Start, in.Pauses, in.Closed, in.NoReviews = in.Previous.Start, in.Previous.Pauses, in.Previous.Closed, in.Previous.NoReviews
	}
	if fl.start != "" {
		if in.Start, err = unit.ParseDate(fl.start); err != nil {
			return in, fmt.Errorf("--start: %w", err)
		}
	}
	for _, p := range g.pauses {
		if p == "none" {
			in.Pauses = nil
			continue
		}
		s, err := span(p)
		if err != nil {
			return in, fmt.Errorf("--pause: %w", err)
		}
		if !slices.Contains(in.Pauses, s) { // as when a run is repeated
			in.Pauses = append(in.Pauses, s)
		}
	}
	in.NoReviews = in.NoReviews || !g.reviews
	if g.closed != "" {
		if in.Closed, err = closedDays(g.closed); err != nil {
			return in, err
		}
	}
	return in, nil
}

// span reads one day, or a first and a last one with two dots between.
func span(s string) (out record.Span, err error) {
	from, to, two := strings.Cut(s, "..")
	if out.From, err = unit.ParseDate(strings.TrimSpace(from)); err != nil {
		return out, err
	}
	if out.To = out.From; two {
		if out.To, err = unit.ParseDate(strings.TrimSpace(to)); err != nil {
			return out, err
		}
	}
	if out.To < out.From {
		return out, fmt.Errorf("%s ends before it begins, allowed: FROM..TO with the earlier day first", s)
	}
	return out, nil
}

// maxClosed bounds a list of closing days.
const maxClosed = 1 << 20

// closedDays reads a calendar's all-day events, or a list of days and spans, one a line, where # begins a remark.
func closedDays(name string) (out []record.Span, err error) {
	src, err := load.Fetch(name, maxClosed)
	if err != nil {
		return nil, fmt.Errorf("cannot read: %w", unwrapPath(err))
	}
	if len(src) > maxClosed {
		return nil, fmt.Errorf("%s is larger than allowed: at most %d bytes", name, maxClosed)
	}
	if strings.HasSuffix(strings.ToLower(name), ".ics") || bytes.HasPrefix(src, []byte("BEGIN:VCALENDAR")) {
		if out, err = calendar.ClosedDays(src); err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		return out, nil
	}
	for i, line := range strings.Split(string(src), "\n") {
		line, _, _ = strings.Cut(line, "#")
		if line = strings.TrimSpace(line); line == "" {
			continue
		}
		s, err := span(line)
		if err != nil {
			return nil, fmt.Errorf("%s:%d: %w", name, i+1, err)
		}
		out = append(out, s)
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("%s holds no closing day, allowed: a list of days and spans, one a line, or an .ics", name)
	}
	return out, nil
}

// sameAsBefore refuses to write over a plan that this compile did not follow: its entries would lose their numbers, and the
// client's calendar could show old and new ones side by side.
func sameAsBefore(plan pending) error {
	old, err := load.Fetch(plan.name, load.MaxPlan)
	if err != nil || bytes.Equal(old, plan.data) {
		return nil // none, or the same; writeAll tells what cannot be read
	}
	if _, err := load.ReadPlan(old); err != nil {
		return nil // not a plan: writeAll says whose it is
	}
	return fmt.Errorf("%s is the plan of an earlier compile and differs; write --previous %s, so that the calendar's entries keep their numbers, or --force to begin anew", plan.name, plan.name)
}

// stillFollows refuses to write over a plan that is not the one followed: that of another client, a later sheet of this one, or
// one that another run put there meanwhile, whose changes would be lost without a word.
func (g againFlags) stillFollows(plan pending, force bool) error {
	now, err := load.Fetch(plan.name, load.MaxPlan)
	if err != nil || bytes.Equal(now, g.followed) || bytes.Equal(now, plan.data) {
		return nil // none, or the one followed; writeAll tells what cannot be read
	}
	was, werr := os.Stat(g.previous)
	if is, err := os.Stat(plan.name); werr == nil && err == nil && os.SameFile(was, is) {
		return fmt.Errorf("%s was changed by another run while this one followed it; run it again", plan.name)
	}
	there, err := load.ReadPlan(now)
	if err != nil || force {
		return nil // not a plan: writeAll says whose it is
	}
	if mine, err := load.ReadPlan(g.followed); err == nil && mine.Client != there.Client {
		return fmt.Errorf("%s is the plan of client %s, and --previous is one of client %s; name the pack of the client behind --pack", plan.name, there.Client, mine.Client)
	}
	return fmt.Errorf("%s is sheet %d of the client and not the plan that --previous names; write --previous %s, so that no two sheets have one number, or --force to write over it", plan.name, there.Sheet, plan.name)
}

// runStop ends a programme. What to do first is said first.
func (a *app) runStop(in compiler.Input, form string, fl compileFlags) error {
	day, err := unit.ParseDate(fl.again.stop)
	if err != nil {
		return fmt.Errorf("--stop: %w", err)
	}
	now, err := a.moment()
	if err != nil {
		return err
	}
	plan, changes, err := a.engine().Stop(in.Previous, day, now)
	if err != nil {
		return fmt.Errorf("--stop: %w", err)
	}
	if _, err := fmt.Fprint(a.err, "phone the client today: importing a file removes nothing\n",
		"have the client delete this programme's own calendar on the phone; the new file then holds what is past and what was cancelled\n"); err != nil {
		return err
	}
	if err := a.emit(a.engine(), plan, nil, form, fl); err != nil {
		return err
	}
	return plans.Changes(a.err, plan, in.Previous.Sheet, changes)
}
