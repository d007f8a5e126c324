package cli

import (
	"cmp"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"

	"isocue.example/compiler"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
	"isocue.example/compiler/zone"
)

// restarts refuses to go on with a programme that was stopped. A new one may follow it, so that its sheet counts on, once the day of
// the stop has come.
func (g againFlags) restarts(in compiler.Input) error {
	p := in.Previous
	if p == nil || p.Stopped == 0 {
		return nil
	}
	loc, err := zone.Load(p.Zone)
	if err == nil && unit.DateOf(in.Now.In(loc)) >= p.Stopped && in.Start >= p.Stopped && in.Start > max(p.Start, p.Origin) {
		return nil
	}
	return fmt.Errorf("%s was stopped on %s; a programme that has ended is not gone on with: from that day on, name a --start for a new one, which needs what any start needs", g.previous, p.Stopped)
}

// stillTrained says what a refusal leaves in the client's hands: the plan before goes on until somebody stops it. It is for people, and
// for refusals that are about harm.
func (j *judging) stillTrained(w io.Writer, in compiler.Input, fl compileFlags) {
	p := in.Previous
	if p == nil || p.Stopped != 0 || fl.format != "text" || !slices.ContainsFunc(j.found, func(f finding.Finding) bool { return f.Verdict == finding.Unsafe }) {
		return
	}
	loc, err := zone.Load(p.Zone)
	if err != nil {
		return
	}
	now := in.Now.In(loc)
	for _, s := range p.Sessions {
		if s.Status == record.Cancelled || s.Start <= unit.At(unit.DateOf(now), unit.Clock(60*now.Hour()+now.Minute())) {
			continue
		}
		words := []string{"isocue", "compile", "--previous", fl.again.previous, "--stop", unit.DateOf(now).String()}
		if fl.pack != "" {
			words = append(words, "--pack", fl.pack)
		}
		fmt.Fprintf(w, "sheet %d still stands, and the client trains by it next on %s; if that must not be, phone, then: %s\n", p.Sheet, s.Start, join(words...))
		return
	}
}

// leftOut says which protocols of the plan before were not named again, first of all that changed: a word forgotten on the command
// line ends a protocol, and among forty cancelled sessions nobody sees that.
func leftOut(w io.Writer, in compiler.Input, changes []record.Change) {
	gone := map[string]int{}
	var order []string
	for _, c := range changes {
		named := slices.ContainsFunc(in.Protocols, func(p *load.Protocol) bool { return p.Record.ID == c.Protocol })
		if c.What != "cancelled" || c.Entry != "" || c.Protocol == "" || named {
			continue
		}
		if gone[c.Protocol]++; gone[c.Protocol] == 1 {
			order = append(order, c.Protocol)
		}
	}
	for _, id := range order {
		fmt.Fprintf(w, "%s was not named again, so it ends here (sessions cancelled: %d); if that is not meant, name it beside the others and compile again\n", id, gone[id])
	}
}

// sayIdle names the policies of the folders judged that are not in force. Each is sound or is refused like every file; but a limit that
// somebody wrote down and that judges nothing is worse than none.
func (j *judging) sayIdle(a *app, flag string, named, walked []string) error {
	force, err := clinicFile("policy.cue", flag, named)
	if err != nil {
		return err
	}
	in, _ := os.Stat(force) // "" is none
	var idle []string
	for _, n := range walked {
		if f := j.files[n]; f == nil || f.Kind != load.IsPolicy {
			continue
		}
		if is, err := os.Stat(n); err != nil || in == nil || !os.SameFile(in, is) {
			idle = append(idle, n)
		}
	}
	if len(idle) > 0 {
		a.say("a policy here judges nothing: %s; in force: %s; put its lines into policy.cue, or name it with --policy", strings.Join(idle, ", "), cmp.Or(force, "none"))
	}
	return nil
}
