package cli

import (
	"errors"
	"fmt"
	"slices"

	"github.com/spf13/cobra"

	"isocue.example/cmd/isocue/clinic"
	"isocue.example/compiler"
	"isocue.example/compiler/say"
	"isocue.example/compiler/unit"
)

// readingFlags are how a client reads: in which language, and how much of it in the calendar.
type readingFlags struct{ clinic.Reading }

func (s *readingFlags) add(c *cobra.Command) {
	c.Flags().StringVar(&s.Lang, "lang", "", "the language of what the client reads: "+orList(say.Tags())+"; else that of the plan before, else en")
	c.Flags().BoolVar(&s.Discreet, "discreet", false, "entries that say nothing about health and send to the client's sheet; kept from plan to plan, =false shows it again")
	complete(c, "lang", say.Tags()...)
}

func (s *readingFlags) check(c *cobra.Command) error {
	s.Told = c.Flags().Changed("discreet")
	return noneOrOneOf("--lang", s.Lang, say.Tags())
}

// againFlags are the flags about a course that has begun, and about what the calendar shows.
type againFlags struct {
	previous, stop, closed string
	pauses                 []string
	reviews, gather        bool
	remind                 int
	join, hold             bool
	given                  func(flag string) bool
}

func (g *againFlags) add(c *cobra.Command) {
	c.Flags().StringVar(&g.previous, "previous", "", "the plan before: what is past stands, the rest moves only where it must")
	c.Flags().StringArrayVar(&g.pauses, "pause", nil, "no training on these days, such as 2027-02-01..2027-02-09; may be given again; none forgets those of the plan before")
	c.Flags().StringVar(&g.stop, "stop", "", "cancel everything from this day on; needs --previous and nothing else")
	c.Flags().StringVar(&g.closed, "closed", "", "days on which the clinic is closed: a list of days and spans, one a line, or an .ics")
	c.Flags().BoolVar(&g.reviews, "reviews", true, "the meetings with the coach; --reviews=false leaves them out")
	c.Flags().BoolVar(&g.gather, "gather", false, "one all-day entry a day for breathing that is trained several times a day")
	c.Flags().IntVar(&g.remind, "remind", 0, "one alarm this many minutes before each session")
	c.Flags().BoolVar(&g.join, "add", false, "train a protocol beside those of the plan before, from its --start on")
	c.Flags().BoolVar(&g.hold, "hold", false, "hold a running course for what is unsafe now: its sessions are cancelled until a later compile opens it again")
	g.given = c.Flags().Changed
}

// options are those that last from plan to plan, as far as they were given.
func (g againFlags) options() (o clinic.Options, err error) {
	if g.given("reviews") {
		o.Reviews = &g.reviews
	}
	if g.given("gather") {
		o.Gather = &g.gather
	}
	if g.given("remind") {
		o.Remind = &g.remind
	}
	if g.closed != "" {
		o.Closed, err = clinic.ClosedDays(g.closed)
	}
	return o, err
}

// check refuses flags that do not go together, before anything is read.
func (fl compileFlags) check(protocols int) error {
	g := fl.again
	switch {
	case fl.pack != "" && (fl.out != "" || fl.as != ""):
		return errors.New("--pack stands with -o or --as, allowed: one of them; a pack holds plan and calendar")
	case fl.reading.Discreet && fl.pack == "":
		return clinic.ErrDiscreet
	case g.remind < 0 || g.remind > 24*60:
		return fmt.Errorf("--remind is %d, allowed: 0 to %d minutes", g.remind, 24*60)
	case g.stop != "" && (protocols > 0 || fl.client != "" || fl.start != "" || g.closed != "" || len(g.pauses) > 0 || fl.log != "" || fl.sessions != "" || fl.reading.Lang != "" || fl.reading.Told):
		return errors.New("--stop stands with other inputs, allowed: isocue compile --previous PLAN --stop DATE, with --pack, -o or --as")
	case g.stop != "" && g.previous == "":
		return errors.New("--previous is missing; write: isocue compile --previous PLAN --stop DATE")
	case g.stop != "":
		return nil
	case (g.join || g.hold) && g.previous == "":
		return errors.New("--previous is missing: --add and --hold are about a running course")
	case g.join && (fl.start == "" || protocols == 0):
		return errors.New("--add needs the protocol to add, and its first day behind --start")
	case protocols == 0 && g.previous == "":
		return errors.New("a protocol is missing, such as handgrip-alternating or ours.cue; write: isocue compile PROTOCOL... --client FILE --start DATE")
	case fl.client == "":
		return errors.New("--client is missing; write: isocue compile PROTOCOL... --client FILE --start DATE")
	case fl.start == "" && g.previous == "":
		return errors.New("--start is missing; write: isocue compile PROTOCOL... --client FILE --start DATE")
	}
	return nil
}

// input is what a compile depends on beside protocols, client and clock: the flags, and what the plan before passes on.
func (fl compileFlags) input(before *clinic.Before) (in compiler.Input, err error) {
	g := fl.again
	o, err := g.options()
	if err != nil {
		return in, err
	}
	in = o.After(before)
	in.Hold = g.hold
	if fl.start != "" {
		day, err := unit.ParseDate(fl.start)
		if err != nil {
			return in, fmt.Errorf("--start: %w", err)
		}
		if g.join {
			in.Begin = day
		} else {
			in.Start, in.Move = day, before != nil
		}
	}
	for _, p := range g.pauses {
		if p == "none" {
			in.Pauses = nil
			continue
		}
		s, err := clinic.Span(p)
		if err != nil {
			return in, fmt.Errorf("--pause: %w", err)
		}
		if !slices.Contains(in.Pauses, s) { // as when a run is repeated
			in.Pauses = append(in.Pauses, s)
		}
	}
	return in, nil
}
