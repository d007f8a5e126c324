// Package ledger keeps the append-only record of what was accepted, rejected and waived.
//
// A ledger is a text file of JSON lines without a header. Each line carries the SHA-256 of the line before it (Prev), so that
// a line that was changed, dropped or put in between is found, and how many lines of the same run follow it (More), so that a
// run is told whole or not at all. Appending locks the file, takes away what a killed process left half told, writes all new
// lines at once and syncs before it reports; what was reported as written is never lost. The same judgement of the same bytes
// is written once.
package ledger

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"slices"
	"strings"

	"isocue.example/compiler/files"
	"isocue.example/compiler/finding"
)

// Verdicts of a line beside those of findings.
const (
	Accepted = "accepted" // nothing refused the file
	Waived   = "waived"   // a finding that a reviewer had accepted
)

// Line is one line of a ledger.
type Line struct {
	Time      string   `json:"time"` // RFC 3339, UTC
	File      string   `json:"file"`
	Digest    string   `json:"digest"` // SHA-256 of the file's bytes, hexadecimal
	Protocol  string   `json:"protocol,omitempty"`
	Revision  int      `json:"revision,omitempty"`
	Client    string   `json:"client,omitempty"` // the opaque id
	Rule      string   `json:"rule,omitempty"`
	Verdict   string   `json:"verdict"`
	Path      string   `json:"path,omitempty"`
	Found     string   `json:"found,omitempty"` // never of a client's file
	Allowed   string   `json:"allowed,omitempty"`
	Rationale string   `json:"rationale,omitempty"`
	Sources   []string `json:"sources,omitempty"`
	Waiver    string   `json:"waiver,omitempty"`
	Base      string   `json:"base"` // version of the rule base
	By        string   `json:"by"`
	More      int      `json:"more,omitempty"` // lines of the same run that follow
	Prev      string   `json:"prev"`           // SHA-256 of the line before, empty for the first
}

// same is what makes a second writing of a line idle.
func (l Line) same(m Line) bool {
	return l.Digest == m.Digest && l.Rule == m.Rule && l.Verdict == m.Verdict && l.Path == m.Path && l.Client == m.Client && l.Base == m.Base &&
		l.Waiver == m.Waiver && l.Protocol == m.Protocol
}

// Of makes the lines of one file's judgement: one for each rejection and waiver, or one that says accepted. The head gives
// time, file, digest, protocol, client, base and who.
func Of(head Line, fs []finding.Finding) (out []Line) {
	for _, f := range fs {
		if f.Verdict == finding.Caution {
			continue
		}
		l := head
		l.Rule, l.Verdict, l.Path, l.Allowed, l.Rationale, l.Sources = f.Rule, string(f.Verdict), f.Path, f.Allowed, f.Rationale, f.Sources
		if !f.Private {
			l.Found = f.Found
		}
		if f.Protocol != "" {
			l.Protocol, l.Revision = f.Protocol, f.Revision
		}
		if f.Waiver != "" {
			l.Verdict, l.Waiver = Waived, f.Waiver
		}
		out = append(out, l)
	}
	if !finding.Rejected(fs) && len(out) == 0 {
		l := head
		l.Verdict = Accepted
		out = append(out, l)
	}
	return out
}

// MaxBytes is the largest ledger that is read, or written on.
const MaxBytes = 64 << 20

// growing is the ledger as a file that is only ever added to.
func growing(name string) files.Growing {
	return files.Growing{Name: name, What: "ledger", Most: MaxBytes}
}

// Append adds the lines of one run that the ledger does not hold yet and says how many. Two writers wait for each other.
func Append(name string, lines []Line) (added int, err error) {
	err = files.Append(growing(name), func(b []byte) (add files.Addition, err error) {
		added, add, err = addition(name, b, lines)
		return add, err
	})
	if err != nil {
		added = 0
	}
	return added, err
}

// addition is what is to be written behind what stands in a ledger.
func addition(name string, b []byte, lines []Line) (added int, add files.Addition, err error) {
	have, end, err := parse(name, b)
	if err != nil {
		return 0, add, err
	}
	var fresh []Line
	for _, l := range lines {
		if !slices.ContainsFunc(have, func(h hashed) bool { return h.Line.same(l) }) && !slices.ContainsFunc(fresh, l.same) {
			fresh = append(fresh, l)
		}
	}
	prev := ""
	if n := len(have); n > 0 {
		prev = have[n-1].hash
	}
	for i, l := range fresh {
		l.Prev, l.More = prev, len(fresh)-1-i
		j, err := json.Marshal(l)
		if err != nil {
			return 0, add, err
		}
		prev = hash(j)
		add.Text = append(append(add.Text, j...), '\n')
	}
	add.End = end
	return len(fresh), add, nil
}

type hashed struct {
	Line
	hash string
}

func hash(line []byte) string {
	s := sha256.Sum256(line)
	return hex.EncodeToString(s[:])
}

// parse reads the runs that are told whole, checks the chain and says where the last of them ends.
func parse(name string, b []byte) (out []hashed, end int, err error) {
	prev, more, told := "", 0, 0
	for at := 0; ; {
		n := bytes.IndexByte(b[at:], '\n')
		if n < 0 {
			if !begun(b[at:]) {
				return nil, 0, &Broken{name, len(out) + 1, "is not a line of a ledger"}
			}
			return out[:told], end, nil
		}
		line := b[at : at+n]
		at += n + 1
		var l Line
		if err := json.Unmarshal(line, &l); err != nil || l.Time == "" || l.Digest == "" || l.Verdict == "" {
			return nil, 0, &Broken{name, len(out) + 1, "is not a line of a ledger"}
		}
		if l.Prev != prev {
			return nil, 0, &Broken{name, len(out) + 1, "does not follow the line before it: a line was changed, dropped or put in"}
		}
		if more > 0 && l.More != more-1 || l.More < 0 {
			return nil, 0, &Broken{name, len(out) + 1, "does not follow the line before it: a run was told in part"}
		}
		prev, more = hash(line), l.More
		out = append(out, hashed{l, prev})
		if more == 0 {
			told, end = len(out), at
		}
	}
}

// begun says whether a text may be the beginning of a line of ours: anything else is somebody else's, and not ours to mend.
func begun(b []byte) bool {
	const first = `{"time":"`
	return strings.HasPrefix(first, string(b[:min(len(b), len(first))]))
}

// Broken says where a ledger's chain breaks.
type Broken struct {
	File string
	Line int
	Why  string
}

func (b *Broken) Error() string { return fmt.Sprintf("%s:%d: %s", b.File, b.Line, b.Why) }

// Read lists the lines of a ledger and verifies its chain; a Broken error comes with no lines. Torn says that a killed process
// left the last run half told: it is left out.
func Read(name string) (lines []Line, torn bool, err error) {
	err = growing(name).Fits()
	if errors.Is(err, fs.ErrNotExist) {
		return nil, false, fmt.Errorf("%s: no such ledger", name)
	}
	if err != nil {
		return nil, false, err
	}
	b, err := os.ReadFile(name)
	if err != nil {
		return nil, false, err
	}
	hs, end, err := parse(name, b)
	if err != nil {
		return nil, false, err
	}
	for _, h := range hs {
		lines = append(lines, h.Line)
	}
	return lines, end < len(b), nil
}
