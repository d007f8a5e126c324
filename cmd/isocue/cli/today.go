package cli

import (
	"github.com/spf13/cobra"

	"isocue.example/cmd/isocue/clinic"
	"isocue.example/compiler/report/followup"
)

func (a *app) today() *cobra.Command {
	var fl judgeFlags
	c := &cobra.Command{
		Use:   "today [FOLDER]",
		Short: "say who needs what today, one line a client, the most urgent first",
		Long: "today looks at every client of a folder: record, diary, logs and plan. Each is one line with a sentence and what to do next:\n" +
			"emergency; whom to ring today; a hold, a stop or a lowered load that the client was not told of, by the hour of the next session;\n" +
			"who cannot get a new plan while an old one runs; words to read; a test that is due; a sheet to hand out; what this week asks;\n" +
			"who was silent for two weeks; who is on hold and knows; whose course is over; and who needs nothing.\n" +
			"FOLDER is the working directory unless given. Its records stand in clients, its packs in packs; a folder without clients holds\n" +
			"the records itself. It exits with 1 where somebody must be rung today, or where a file of a client cannot be read.",
		Example: "  isocue today\n  isocue today . --why\n  isocue today clients --format json",
		Args:    words(0, 1, "the clinic's folder"),
		RunE: func(_ *cobra.Command, args []string) error {
			folder := "."
			if len(args) == 1 {
				folder = args[0]
			}
			return a.runToday(folder, fl)
		},
	}
	c.Flags().BoolVar(&fl.why, "why", false, "print every matter, with its rule, place, reason and sources")
	c.Flags().StringVar(&fl.format, "format", "text", "text or json")
	fl.clinic(c, "the folder, or of the working directory or its nearest parent")
	complete(c, "format", listFormats...)
	return c
}

func (a *app) runToday(folder string, fl judgeFlags) error {
	if err := textOrJSON(fl.format); err != nil {
		return err
	}
	form := fl.format
	fl.format = "text" // of findings about the clinic's own files, which are for people
	rooms, err := clinic.RoomsOf(folder)
	if err != nil {
		return err
	}
	j, err := a.begin(a.err, fl, nil, []string{folder})
	if err != nil {
		return err
	}
	if err := j.refusedAlready(a.err); err != nil { // for the clinic's own policy
		return err
	}
	day, err := j.Today(rooms)
	if err != nil {
		return err
	}
	day.Why = fl.why
	err = followup.Days.Write(a.out, form, day)
	if err == nil && day.Calls() {
		err = errRefused
	}
	return err
}
