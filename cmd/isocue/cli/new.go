package cli

import (
	"cmp"
	"fmt"
	"os"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"isocue.example/compiler/load"
	"isocue.example/compiler/near"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/tree"
)

func (a *app) newFile() *cobra.Command {
	return &cobra.Command{
		Use: "new protocol|client PATH|-", Short: "write a commented start for a protocol or a client record",
		Long: "new writes a start to fill in. The ending of PATH picks the notation (.cue, .yaml, .json; JSON has no comments);\n" +
			"- writes to standard output, YAML for a client and CUE for a protocol. An existing file is never overwritten.",
		Example: "  isocue new client heron-07.yaml\n  isocue new protocol ours.cue", Args: words(2, 2, "protocol or client, and a path"),
		ValidArgsFunction: begun(func(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
			if len(args) > 0 { // the path
				return nil, cobra.ShellCompDirectiveDefault
			}
			return []string{"protocol", "client"}, cobra.ShellCompDirectiveNoFileComp
		}),
		RunE: func(_ *cobra.Command, args []string) error {
			var text string
			format := load.CUE
			switch args[0] {
			case "protocol":
				text = protocolStart(a.engine().Standard(startFrom).Protocols[0].Node)
			case "client":
				b, err := rule.Load()
				if err != nil {
					return err
				}
				now, err := a.moment()
				if err != nil {
					return err
				}
				text, format = clientStart(b, now), load.YAML
			default:
				return fmt.Errorf("%q cannot be started%s; allowed: protocol or client", args[0], near.Hint(args[0], []string{"protocol", "client"}))
			}
			if args[1] != "-" {
				f, ok := load.FormatOf(args[1])
				if !ok {
					return fmt.Errorf("%s has no known ending, allowed: .cue, .yaml, .yml or .json", args[1])
				}
				format = f
			}
			out, err := load.Convert([]byte(text), format)
			if err != nil {
				return err
			}
			if args[1] == "-" {
				_, err = a.out.Write(out)
				return err
			}
			if err := createNew(args[1], out); err != nil {
				return err
			}
			a.say("wrote %s; fill it in, then: isocue lint %s", args[1], args[1])
			return nil
		},
	}
}

// startFrom is the standard protocol whose dose a new protocol starts with.
const startFrom = "handgrip-alternating"

// protocolStart is a commented protocol with the dose of p.
func protocolStart(p *tree.Node) string {
	return os.Expand(protocolText, func(path string) string {
		n := p.Get(strings.Split(path, ".")...)
		return cmp.Or(n.Text(), n.Raw)
	})
}

const protocolText = `# A handgrip protocol. Every field is explained in docs/fields.md; judge it with: isocue lint
id: my-protocol
title: My protocol
# Raise the revision with every change.
revision: 1
modality: ${modality}
# The share of each hand's own maximal grip: 0.30 is thirty percent.
load: {fraction: ${load.fraction}}
# One squeeze, in seconds.
holdSeconds: ${holdSeconds}
# From the end of one squeeze to the start of the next, in seconds.
restSeconds: ${restSeconds}
# Squeezes in a session, both hands counted together.
rounds: ${rounds}
# alternate, together, left, right, dominant or nonDominant.
hands: ${hands}
daysPerWeek: ${daysPerWeek}
sessionsPerDay: ${sessionsPerDay}
# The whole course, ramp included.
weeks: ${weeks}
# After how many weeks to measure again and compile again.
retestWeeks: ${retestWeeks}
`

// clientStart is a client record with every screening question unanswered and nothing measured. Its dates are of the day
// before, so that none lies in the future in any zone.
func clientStart(b *rule.Base, now time.Time) string {
	var s strings.Builder
	s.WriteString(`# A client record. Every field is explained in docs/fields.md; judge it with: isocue lint
# The id is opaque: never a name.
id: client-1
# For checks of plausibility only:
# born: 1968
# sex: female
zone: Europe/Lisbon
dominantHand: right
# Whom to call; the emergency number stands in every calendar entry.
# contacts: {coach: "+351 555 0100", prescriber: "R. Okafor", emergency: "112"}
screening:
  # The day on which they were asked.
  date: 2027-01-02
  by: not yet asked
  questions: ` + fmt.Sprint(b.QuestionSet) + `
  # Ask every question. Write yes or no, in quotes.
  answers:
`)
	for _, q := range b.Questions {
		fmt.Fprintf(&s, "    # %s\n    %s: \"unanswered\"\n", q.Asks, q.ID)
	}
	s.WriteString(`# The detail of each yes: the question's name as code, since when, and the side where one is asked.
conditions: []
# Medicines by class, and when each last changed; write [] for none. Remove the # in either case.
# medicines: [{class: thiazide, changed: 2025-01-01}]
# A clinician's opening of one gate (a condition, a class, pressure, age) for some modalities.
clearances: []
# taught: {date: 2027-01-02, by: L. Brandt}
# consent: {date: 2027-01-02, by: L. Brandt, explained: what is trained and when to stop}
measured:
  # One entry a hand and day. The unit is what the gauge shows: kgf, lbf or N.
  # - {date: 2027-01-02, hand: right, unit: kgf, trials: [38.5, 40.0, 39.0], score: best, with: home-gauge}
  grip: []
  # - {at: "2027-01-02T07:30", systolic: 138, diastolic: 84, setting: home, arm: left}
  bloodPressure: []
  # - {date: 2027-01-02, unit: cmH2O, trials: [78, 82, 80], method: static}
  inspiratory: []
devices:
  # The gauge the client trains with: what it shows, and the smallest difference it shows.
  grip: [{id: home-gauge, unit: kgf, step: 0.5}]
  # An upper-arm cuff on a list of validated ones, and the arm it fits.
  # cuff: {arm: left, size: medium, validated: true, fitsCm: [22, 32], armCm: 28}
hours:
  # When the client can train.
  - {days: [mon, tue, wed, thu, fri, sat, sun], from: "07:00", to: "08:00"}
`)
	return strings.ReplaceAll(s.String(), "2027-01-02", now.AddDate(0, 0, -1).Format(time.DateOnly))
}
