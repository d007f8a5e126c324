package cli

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"isocue.example/cmd/isocue/clinic"
	"isocue.example/compiler"
	"isocue.example/compiler/fhir"
	"isocue.example/compiler/files"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/report/followup"
)

type progressFlags struct {
	judgeFlags
	client, log, sessions, plan, letter, report string
	as                                          string
	weeks                                       int
	force                                       bool
}

func (a *app) progress() *cobra.Command {
	var fl progressFlags
	c := &cobra.Command{
		Use:   "progress --client FILE [--log FILE]",
		Short: "say what changed, what needs attention and who must know",
		Long: "progress follows one client's diary, pressure log and session log: windows of home readings, change and verdict,\n" +
			"what was trained, and whom to tell how soon. An alert for now or today closes training and exits with 1,\n" +
			"until the record has a clinician's clearance of a later day. It says what changed and never why.\n" +
			"A pressure log is CSV with the columns at, systolic, diastolic, and if you have them pulse, arm, posture, cuff,\n" +
			"symptoms, note; common other names, semicolons and decimal commas are understood and told.\n" +
			"The diary beside the record counts: its readings, sessions, words and medicines. Logs called ID.log.csv and\n" +
			"ID.sessions.csv beside it are taken where none is named. isocue today looks at all clients of a folder.",
		Example: "  isocue progress --client heron-07.yaml --log heron-07.log.csv\n" +
			"  isocue progress --client heron-07.yaml --log heron-07.log.csv --sessions heron-07.sessions.csv --plan packs/heron-07/plan.json --report heron-07.html --letter letter.html",
		Args: words(0, 0, "none"),
		RunE: func(*cobra.Command, []string) error { return a.runProgress(fl) },
	}
	c.Flags().StringVar(&fl.client, "client", "", "the client record, a path or -")
	c.Flags().StringVar(&fl.log, "log", "", "the pressure log, CSV or a FHIR Bundle of Observations; else ID.log.csv beside the record")
	c.Flags().StringVar(&fl.sessions, "sessions", "", "the session log, CSV: what the session page exports; else ID.sessions.csv beside the record")
	c.Flags().StringVar(&fl.plan, "plan", "", "the client's plan: what was due, and which modalities an alert closes")
	c.Flags().IntVar(&fl.weeks, "weeks", 0, "weeks of readings in each window, 1 to 4; 0 is the usual one")
	c.Flags().StringVar(&fl.letter, "letter", "", "write the letter to the prescriber to this file, .html or .txt")
	c.Flags().StringVar(&fl.report, "report", "", "write the report to this file, .html, .txt or .json")
	c.Flags().StringVar(&fl.format, "format", "text", "text or json")
	c.Flags().StringVar(&fl.as, "as", "", "fhir: the readings and means as a FHIR Bundle; what must be told then goes to standard error")
	fl.clinic(c, "the working directory or of its nearest parent")
	fl.reasons(c)
	c.Flags().BoolVar(&fl.force, "force", false, "overwrite a file that isocue did not write")
	complete(c, "format", listFormats...)
	complete(c, "as", ProgressForms...)
	return c
}

// ProgressForms are the forms of a follow-up for other programs.
var ProgressForms = []string{"fhir"}

// check refuses flags that do not go together, before anything is read.
func (fl progressFlags) check() error {
	if err := textOrJSON(fl.format); err != nil {
		return err
	}
	if err := noneOrOneOf("--as", fl.as, ProgressForms); err != nil {
		return err
	}
	switch {
	case fl.as != "" && fl.format != "text":
		return errors.New("--as cannot be combined with --format, allowed: --client FILE --log FILE --as fhir")
	case fl.client == "":
		return errors.New("--client is missing; write: isocue progress --client FILE --log FILE; isocue today FOLDER looks at all clients")
	}
	if err := ending("--letter", fl.letter, ".html", ".txt"); err != nil {
		return err
	}
	return ending("--report", fl.report, ".html", ".txt", ".json")
}

// ending refuses a file name whose ending does not tell the form.
func ending(flag, name string, allowed ...string) error {
	for _, e := range allowed {
		if name == "" || strings.HasSuffix(name, e) {
			return nil
		}
	}
	return fmt.Errorf("%s is %s, allowed: an ending that tells the form: %s", flag, name, orList(allowed))
}

// formOf is the form that the ending of a file's name tells.
func formOf(file string) string {
	if ext := filepath.Ext(file); ext != ".txt" {
		return strings.TrimPrefix(ext, ".")
	}
	return "text"
}

// checkWeeks refuses a window longer than the data's most.
func checkWeeks(eng *compiler.Compiler, n int) error {
	if most := eng.Check.Base.Comparison.MostWeeks; n < 0 || n > most {
		return fmt.Errorf("--weeks is %d, allowed: 1 to %d", n, most)
	}
	return nil
}

func (a *app) runProgress(fl progressFlags) error {
	if err := fl.check(); err != nil {
		return err
	}
	judge := fl.judgeFlags
	judge.format = "text" // of findings about the record, which are for people
	j, err := a.begin(a.err, judge, []string{fl.client, fl.log, fl.sessions}, nil)
	if err != nil {
		return err
	}
	if err := checkWeeks(j.Under, fl.weeks); err != nil {
		return err
	}
	q := clinic.Follow{Client: fl.client, Log: fl.log, Sessions: fl.sessions, Plan: fl.plan, Weeks: fl.weeks}
	followed, client, err := j.Follow(&q)
	fl.log, fl.sessions = q.Log, q.Sessions
	if err != nil {
		return err
	}
	if followed == nil {
		return j.refusedAlready(a.err)
	}
	ways := waysOn(*followed, fl, j.Under.StandardIDs())
	told := followup.Report{Followed: *followed, Ways: ways, Version: Version}
	if err := a.writeProgress(told, client.Node.Get("name").Text(), fl); err != nil {
		return err
	}
	if fl.as == "fhir" {
		err = errors.Join(followup.Reports.Write(a.err, "text", told), fhir.Follow(a.out, *followed))
	} else {
		err = followup.Reports.Write(a.out, fl.format, told)
	}
	if err == nil && (followed.Closing() != nil || finding.Rejected(j.Found)) {
		err = errRefused
	}
	return err
}

// writeProgress writes letter and report where they are asked for.
func (a *app) writeProgress(r followup.Report, name string, fl progressFlags) error {
	var ready []files.File
	add := func(file string, write func(w io.Writer, form string) error) error {
		if file == "" {
			return nil
		}
		var b bytes.Buffer
		if err := write(&b, formOf(file)); err != nil {
			return err
		}
		ready = append(ready, files.File{Name: file, Data: b.Bytes()})
		return nil
	}
	err := errors.Join(
		add(fl.letter, func(w io.Writer, form string) error {
			return followup.Letters.Write(w, form, followup.Letter{Followed: r.Followed, Name: name, Version: Version})
		}),
		add(fl.report, func(w io.Writer, form string) error { return followup.Reports.Write(w, form, r) }))
	if err != nil {
		return err
	}
	if err := files.Write(ready, files.Manner{Force: fl.force}); err != nil {
		return err
	}
	for _, r := range ready {
		a.say("wrote %s", r.Name)
	}
	return nil
}
