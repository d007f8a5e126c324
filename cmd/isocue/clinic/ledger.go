package clinic

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/ledger"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/tree"
)

// SameRevision is the rule id of findings about a protocol that says something else than what was accepted under its revision.
const SameRevision = "same-revision"

// LedgerName is the clinic's ledger where it is a folder; as one file it ends in ledger.Ending.
const LedgerName = "ledger"

// LedgerOf is the clinic's ledger: the one that was named, else the folder ledger or the file ledger.jsonl of a folder given, of the
// working directory or of its nearest parent. "" is none.
func LedgerOf(named string, args []string) (string, error) {
	return inNearest(LedgerName, named, args, func(dir string) (string, error) {
		file, err := standsIn(dir, LedgerName+ledger.Ending)
		if err != nil {
			return "", err
		}
		folder := filepath.Join(dir, LedgerName)
		switch fi, err := os.Stat(folder); {
		case err != nil || !fi.IsDir():
			return file, nil
		case file != "":
			return "", fmt.Errorf("%s and %s stand side by side, allowed: one of them; move the file into the folder", folder, file)
		}
		return folder, nil
	})
}

// remembered is what the clinic's ledger says was accepted; nothing where there is none, or where its chain does not hold.
func (j *Judging) remembered(named string, args []string) ([]ledger.Line, error) {
	name, err := LedgerOf(named, args)
	if err != nil || name == "" {
		return nil, err
	}
	if _, err := os.Stat(name); err != nil {
		return nil, nil // --record makes it
	}
	b, err := ledger.Read(name)
	var broken *ledger.Broken
	if errors.As(err, &broken) {
		j.Say("%v; what was accepted before cannot be told", broken)
		return nil, nil
	}
	return acceptances(b.Lines), err
}

// acceptances are the lines by which a file was let through: accepted, or waived where nothing else was found in it then. Lines of one
// file and moment were written together.
func acceptances(lines []ledger.Line) (out []ledger.Line) {
	for i := 0; i < len(lines); {
		n, through := i+1, true
		for n < len(lines) && lines[n].File == lines[i].File && lines[n].Client == lines[i].Client && lines[n].Time == lines[i].Time {
			n++
		}
		for _, l := range lines[i:n] {
			through = through && (l.Verdict == ledger.Accepted || l.Verdict == ledger.Waived)
		}
		if through {
			out = append(out, lines[i:n]...)
		}
		i = n
	}
	return out
}

// changed finds protocols that say something else than what was accepted first under the same revision: plans, waivers and people go by
// the revision. What compile wrote down of one that was changed later makes no second meaning.
func (j *Judging) changed(accepted []ledger.Line) (out []finding.Finding) {
	for _, n := range slices.Sorted(maps.Keys(j.Files)) {
		f := j.Files[n]
		if f.Kind != load.IsProtocol {
			continue
		}
		for i := range f.Protocols {
			p := &f.Protocols[i]
			first := slices.IndexFunc(accepted, func(l ledger.Line) bool {
				return l.Content != "" && l.Client == "" && l.Protocol == p.Record.ID && l.Revision == p.Record.Revision
			})
			if first < 0 || accepted[first].Content == content(p.Node) {
				continue
			}
			l, at := accepted[first], p.Node.Get("revision")
			out = append(out, finding.Finding{Rule: SameRevision, Verdict: finding.Malformed, Pos: at.Pos, Path: at.Path(), Found: at.Raw, Protocol: p.Record.ID, Revision: p.Record.Revision,
				Message:   fmt.Sprintf("%s says something else than revision %d did when it was accepted on %s by %s, allowed: a new revision", p.Record.ID, l.Revision, l.Time[:min(10, len(l.Time))], l.By),
				Allowed:   "more than " + at.Raw,
				Remedy:    fmt.Sprintf("write revision: %d", newestRevision(accepted, p.Record)+1),
				Rationale: "Plans, waivers and the people who train by them go by the number: one number for two protocols hides the change."})
		}
	}
	return out
}

func newestRevision(accepted []ledger.Line, p *record.Protocol) int {
	most := p.Revision
	for _, l := range accepted {
		if l.Protocol == p.ID {
			most = max(most, l.Revision)
		}
	}
	return most
}

// content is the digest of what a protocol says: fields in any order, numbers and texts in any notation, comments left out.
func content(n *tree.Node) string {
	var b strings.Builder
	var write func(*tree.Node)
	write = func(n *tree.Node) {
		switch n.Kind {
		case tree.Record:
			b.WriteByte('{')
			for _, k := range slices.Sorted(slices.Values(n.Keys)) {
				fmt.Fprintf(&b, "%q:", k)
				write(n.Field[k])
			}
			b.WriteByte('}')
		case tree.List:
			b.WriteByte('[')
			for _, e := range n.Elem {
				write(e)
				b.WriteByte(',')
			}
			b.WriteByte(']')
		case tree.Number:
			b.WriteString(n.Num.Rat().RatString())
		case tree.Text:
			fmt.Fprintf(&b, "%q", n.Str)
		case tree.Bool:
			fmt.Fprint(&b, n.Bool)
		default:
			b.WriteString("null")
		}
	}
	write(n)
	sum := sha256.Sum256([]byte(b.String()))
	return hex.EncodeToString(sum[:])
}

// acceptedBefore finds what the ledger says was accepted, the same bytes or the same revision of a protocol, among the files that
// are refused now. A client record counts only in a folder, where its age alone refuses nothing: it ages by itself.
func (j *Judging) acceptedBefore(accepted []ledger.Line) (out []finding.Finding) {
	var names []string
	for n := range j.Files {
		names = append(names, n)
	}
	slices.Sort(names)
	for _, n := range names {
		f := j.Files[n]
		i := slices.IndexFunc(j.Found, func(x finding.Finding) bool { return x.Pos.File == n && x.Rejects() && x.Rule != SameRevision })
		if i < 0 || f.Client != nil && !slices.Contains(j.firm, n) {
			continue
		}
		for k := len(accepted) - 1; k >= 0; k-- { // the newest
			l, what := accepted[k], ""
			if l.Digest == f.Digest {
				what = "this file"
			}
			for _, p := range f.Protocols {
				if l.Client == "" && l.Protocol == p.Record.ID && l.Revision == p.Record.Revision && what == "" {
					what = fmt.Sprintf("revision %d of %s, of other content,", l.Revision, l.Protocol)
				}
			}
			if what == "" {
				continue
			}
			out = append(out, finding.Finding{Rule: AcceptedBefore, Verdict: finding.Caution, Pos: j.Found[i].Pos, Private: j.Found[i].Private,
				Message:   fmt.Sprintf("%s was accepted on %s by %s under rule base %s, and is refused now under %s", what, l.Time[:min(10, len(l.Time))], l.By, l.Base, j.Under.Check.Base.Version),
				Remedy:    "look at what changed, the rule base, the policy, a waiver or the text; `isocue lint` on the clinic's folder names the clients who train by it",
				Rationale: "What was sound by the rules of then may be in use: whoever trains by it has to be told, and nobody should find out by chance."})
			break
		}
	}
	return out
}
