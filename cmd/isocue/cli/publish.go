package cli

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"isocue.example/cmd/isocue/clinic"
	"isocue.example/compiler/files"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/publish"
)

type publishFlags struct {
	to, credentials string
	dryRun, force   bool
}

// Where user and password come from where no file is named.
const (
	userVariable     = "ISOCUE_CALDAV_USER"
	passwordVariable = "ISOCUE_CALDAV_PASSWORD"
)

func (a *app) publish() *cobra.Command {
	var fl publishFlags
	c := &cobra.Command{
		Use:   "publish PLAN --to URL",
		Short: "put a plan into a calendar collection on a server, and keep it up to date",
		Long: "publish puts every entry of a plan into a CalDAV collection, a resource each, over https. Run again it sends\n" +
			"only what changed. What somebody edited or took away on the server is reported, left alone, and makes the\n" +
			"exit code 1 unless its day is over, or --force says otherwise. User and password come from " + userVariable + " and\n" +
			passwordVariable + ", or from a file of two lines, never from the command line.",
		Example: "  isocue publish packs/heron-07/plan.json --to https://calendar.example/heron-07/training/ --dry-run\n" +
			"  isocue publish packs/heron-07/plan.json --to https://calendar.example/heron-07/training/ --credentials heron-07.login",
		Args: words(1, 1, "a plan, such as packs/heron-07/plan.json"),
		RunE: func(_ *cobra.Command, args []string) error { return a.runPublish(args[0], fl) },
	}
	c.Flags().StringVar(&fl.to, "to", "", "the address of the collection, https")
	c.Flags().StringVar(&fl.credentials, "credentials", "", "a file of two lines, user and password, for its owner's eyes only")
	c.Flags().BoolVar(&fl.dryRun, "dry-run", false, "say what would be sent, and send nothing")
	c.Flags().BoolVar(&fl.force, "force", false, "write over what was edited on the server, and put back what was taken away")
	return c
}

func (a *app) runPublish(name string, fl publishFlags) error {
	if fl.to == "" {
		return errors.New("--to is missing; write: isocue publish PLAN --to URL")
	}
	login, err := readLogin(fl.credentials)
	if err != nil {
		return err
	}
	to, err := publish.Open(fl.to, login)
	if err != nil {
		return err
	}
	now, err := a.moment()
	if err != nil {
		return err
	}
	entries, today, found, err := clinic.Entries(a.engine(), name, now)
	if err != nil {
		return err
	}
	for _, f := range found {
		fmt.Fprintf(a.err, "%s: %s: %s [%s]\n    fix: %s\n", f.Pos.File, f.Verdict, f.Message, f.Rule, f.Remedy)
	}
	if finding.Rejected(found) {
		fmt.Fprintln(a.err, "nothing was sent")
		return errRefused
	}
	before, err := clinic.ReadPublished(name)
	if err != nil {
		return err
	}
	sent := before.All[to.Key()]
	if sent == nil {
		sent = publish.Sent{}
	}
	// a first interrupt ends the entry at hand and keeps what was sent; a second one is the system's
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	context.AfterFunc(ctx, stop)
	begun := before.Begun[to.Key()]
	// what is about to be sent is kept before anything is: the run may be killed
	keep := func() error { return clinic.WritePublished(name, to.Key(), sent, begun.Begin(entries, sent)) }
	done, err := to.Run(ctx, entries, sent, publish.Options{DryRun: fl.dryRun, Force: fl.force, Today: today, Begun: begun, First: keep})
	if !fl.dryRun && len(sent) > 0 {
		if err != nil {
			err = errors.Join(err, keep())
		} else {
			err = clinic.WritePublished(name, to.Key(), sent, nil)
		}
	}
	counts := publish.Counts(done)
	var parts []string
	for _, what := range publish.Outcomes {
		if n := counts[what]; n > 0 || what == publish.Created || what == publish.Updated || what == publish.Unchanged {
			parts = append(parts, fmt.Sprintf("%d %s", n, what))
		}
	}
	would := ""
	if fl.dryRun {
		would = "nothing was sent; it would be: "
	}
	fmt.Fprintf(a.out, "%s%s\n", would, strings.Join(parts, ", "))
	if err != nil {
		return fmt.Errorf("publishing broke off after %d of %d entries: %w; run it again to go on", len(done), len(entries), err)
	}
	left := 0
	var past []string
	for _, e := range entries {
		if done[e.UID] == publish.Past {
			past = append(past, e.When)
		}
		if what := done[e.UID]; what == publish.Edited || what == publish.Removed {
			left++
			fmt.Fprintf(a.out, "%s on the server and left so: %s, %s%s\n", what, e.When, e.UID, standing(e))
		}
	}
	if n := len(past); n > 0 {
		slices.Sort(past)
		more := ""
		if n > mostPast {
			past, more = past[n-mostPast:], fmt.Sprintf("%d before and ", n-mostPast)
		}
		fmt.Fprintf(a.out, "edited or taken away on the server, of days that are over, and left so: %s%s; nothing is to be done\n", more, strings.Join(past, ", "))
	}
	if left > 0 {
		fmt.Fprintln(a.out, "ask the client why; --force writes over what was edited and puts back what was taken away")
		return errRefused
	}
	return nil
}

// mostPast is how many entries of days that are over are told; they are told again by each run, and never become fewer.
const mostPast = 3

// standing warns of an entry that was left though the plan cancels it: the client still sees a session there.
func standing(e publish.Entry) string {
	if e.Cancelled {
		return "; the plan cancels it: tell the client not to train by it"
	}
	return ""
}

// mostLogin bounds a file of user and password, in bytes.
const mostLogin = 4096

// readLogin reads user and password. A file that others may read is refused: it opens somebody's calendar.
func readLogin(name string) (publish.Login, error) {
	if name == "" {
		return publish.Login{User: os.Getenv(userVariable), Password: os.Getenv(passwordVariable)}, nil
	}
	fi, err := os.Stat(name)
	switch {
	case err != nil:
		return publish.Login{}, fmt.Errorf("--credentials: cannot read: %w", files.Short(err))
	case !fi.Mode().IsRegular() || fi.Size() > mostLogin:
		return publish.Login{}, errors.New("--credentials is no small file, allowed: two lines, user and password")
	case fi.Mode().Perm()&0o077 != 0 && os.PathSeparator == '/':
		return publish.Login{}, errors.New("--credentials is a file that others may read, allowed: for its owner alone; write: chmod 600 FILE")
	}
	src, err := files.Fetch(name, mostLogin)
	if err != nil {
		return publish.Login{}, fmt.Errorf("--credentials: cannot read: %w", files.Short(err))
	}
	text := strings.TrimPrefix(string(src), "\ufeff") // an editor's mark is no part of the user
	lines := strings.Split(strings.TrimRight(strings.ReplaceAll(text, "\r", ""), "\n"), "\n")
	if len(lines) != 2 || lines[0] == "" || lines[1] == "" {
		return publish.Login{}, errors.New("--credentials has other than two lines, allowed: the user on the first, the password on the second")
	}
	return publish.Login{User: lines[0], Password: lines[1]}, nil
}
