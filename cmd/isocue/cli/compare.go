package cli

import (
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"isocue.example/compiler/compare"
	"isocue.example/compiler/load"
	"isocue.example/compiler/report/judged"
)

func (a *app) compare() *cobra.Command {
	var fl judgeFlags
	c := &cobra.Command{
		Use: "compare A B", Short: "say what differs between two protocols, and what that does to dose and findings",
		Long: "compare sets two protocols side by side, each a path, - or the id of a standard protocol: the fields that differ, as their\n" +
			"authors wrote them; the dose in each stretch of weeks; minutes and sessions; and which findings appear, vanish or stay.\n" +
			"Force-time is load times seconds under tension; a squeeze of both hands at once counts once, as the rules count it.\n" +
			"It exits with 0 whatever differs, and with 2 where a file cannot be read or is malformed.",
		Example: "  isocue compare handgrip-alternating ours.cue\n  isocue compare ours-1.cue ours-2.cue --format json",
		Args:    words(2, 2, "two protocols"),
		RunE:    func(_ *cobra.Command, args []string) error { return a.runCompare(args, fl) },
	}
	fl.clinic(c, "the working directory or of its nearest parent")
	c.Flags().StringVar(&fl.format, "format", "text", orList(listFormats))
	complete(c, "format", listFormats...)
	c.ValidArgsFunction = upTo(2, a.completeProtocols)
	return c
}

func (a *app) runCompare(args []string, fl judgeFlags) error {
	if err := textOrJSON(fl.format); err != nil {
		return err
	}
	j, err := a.begin(a.err, fl, args, nil)
	if err != nil {
		return err
	}
	var sides []compare.Side
	for _, arg := range args {
		f, err := j.Open(arg, "standard-input")
		if err != nil {
			return err
		}
		j.Found = append(j.Found, f.Findings...)
		s, err := j.side(f)
		if err != nil {
			return err
		}
		sides = append(sides, s)
	}
	switch err := j.refusedAlready(a.err); { // for the files themselves and the clinic's: nothing was judged by the rules yet
	case errors.Is(err, errRefused):
		return errors.New("nothing was compared: a file is malformed")
	case err != nil:
		return err
	}
	c := compare.Protocols(sides[0], sides[1], j.Under.Check.Base.Sitting)
	return judged.Comparisons.Write(a.out, fl.format, judged.Comparison{Comparison: c, Policy: j.Policy})
}

// side is the one protocol of a file, judged; an empty side where the file is malformed.
func (j *judging) side(f *load.File) (compare.Side, error) {
	switch {
	case len(f.Findings) > 0:
		return compare.Side{}, nil
	case f.Kind != load.IsProtocol:
		return compare.Side{}, fmt.Errorf("%s is %s, allowed here: a protocol", f.Name, f.Kind.Words())
	case len(f.Protocols) != 1:
		var ids []string
		for _, p := range f.Protocols {
			ids = append(ids, p.Record.ID)
		}
		return compare.Side{}, fmt.Errorf("%s holds %d protocols (%s), allowed here: one; write each to a file of its own", f.Name, len(ids), strings.Join(ids, ", "))
	}
	p := &f.Protocols[0]
	return compare.Side{File: f.Name, Node: p.Node, Protocol: p.Record, Findings: j.Under.Lint(f, j.Now)}, nil
}
