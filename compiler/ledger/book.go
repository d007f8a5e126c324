package ledger

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"isocue.example/compiler/bound"
	"isocue.example/compiler/files"
)

// Ending is that of each file of a ledger that is a folder.
const Ending = ".jsonl"

// Book is a ledger as it was read: its lines in the order of time.
type Book struct {
	Lines  []Line
	Chains []Chain
}

// Chain is one file of a ledger. Last is the digest of its last line: kept somewhere else, it shows whether lines were dropped from
// the end. Torn says that a killed process left the last run half told: it is left out.
type Chain struct {
	File  string `json:"file"`
	Lines int    `json:"lines"`
	Last  string `json:"last"`
	Torn  bool   `json:"torn"`
}

// Torn says whether a killed process left a run half told.
func (b Book) Torn() bool { return slices.ContainsFunc(b.Chains, func(c Chain) bool { return c.Torn }) }

// IsFolder says whether a ledger is a folder, or is to be one: it has no ending, and no file has its name.
func IsFolder(name string) bool {
	fi, err := os.Stat(name)
	return filepath.Ext(name) == "" && (err != nil || fi.IsDir())
}

// chainOf is the file of one who judges: the letters and digits of the name.
func chainOf(by string) string {
	words := strings.FieldsFunc(strings.ToLower(by), func(r rune) bool {
		return !(r >= 'a' && r <= 'z' || r >= '0' && r <= '9' || r > 127)
	})
	return cmp.Or(strings.Join(words, "-"), "nobody") + Ending
}

// chains are the files of a ledger, by name.
func chains(name string) (out []string, err error) {
	if !IsFolder(name) {
		return []string{name}, nil
	}
	entries, err := os.ReadDir(name)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("%s: no such ledger", name)
	}
	if err != nil {
		return nil, fmt.Errorf("read ledger: %w", files.Cause(err))
	}
	for _, e := range entries {
		switch {
		case filepath.Ext(e.Name()) == Ending:
			out = append(out, filepath.Join(name, e.Name()))
		case e.Name()[0] != '.':
			return nil, fmt.Errorf("%s holds %s, allowed: a folder with nothing but ledgers in it", name, e.Name())
		}
	}
	return out, nil
}

// each goes through one file of a ledger, run by run, and checks its chain.
func each(name string, see func(run []Line)) (c Chain, err error) {
	err = growing(name).Fits()
	if errors.Is(err, fs.ErrNotExist) {
		return c, fmt.Errorf("%s: no such ledger", name)
	}
	if err != nil {
		return c, err
	}
	b, err := files.Fetch(name, MaxBytes)
	if err != nil {
		return c, err
	}
	n, last, end, err := parse(name, b, see)
	return Chain{name, n, last, end < len(b)}, err
}

// Read lists the lines of a ledger and verifies its chains; a Broken error comes with no lines.
func Read(name string) (out Book, err error) {
	names, err := chains(name)
	if err != nil {
		return Book{}, err
	}
	same := map[string]string{} // most lines share most of their texts, and thousands of lines are kept
	share := func(text *string) {
		if known, ok := same[*text]; ok {
			*text = known
		} else {
			same[*text] = *text
		}
	}
	for _, n := range names {
		c, err := each(n, func(run []Line) {
			for _, l := range run {
				for _, text := range []*string{&l.File, &l.Digest, &l.Protocol, &l.Content, &l.Client, &l.Rule, &l.Verdict, &l.Path, &l.Allowed, &l.Rationale, &l.Waiver,
					&l.Signer, &l.Signed, &l.Until, &l.Base, &l.Rules, &l.Policy, &l.By} {
					share(text)
				}
				for i := range l.Sources {
					share(&l.Sources[i])
				}
				out.Lines = append(out.Lines, l)
			}
		})
		if err != nil {
			return Book{}, err
		}
		if out.Chains = append(out.Chains, c); len(out.Lines) > bound.LedgerLines {
			return Book{}, &bound.Over{What: name + " has", Has: len(out.Lines), Of: "lines", Most: bound.LedgerLines, Then: "keep it, and begin a new one"}
		}
	}
	if len(names) > 1 {
		slices.SortStableFunc(out.Lines, func(a, b Line) int { return cmp.Compare(a.Time, b.Time) })
	}
	return out, nil
}

// Holds says whether a line of that digest stands in the ledger: one that was kept somewhere else when it was the last. No line has
// the digest "".
func (b Book) Holds(digest string) bool {
	return digest != "" && (slices.ContainsFunc(b.Lines, func(l Line) bool { return l.Prev == digest }) ||
		slices.ContainsFunc(b.Chains, func(c Chain) bool { return c.Last == digest }))
}

// Signed are the acceptances among lines, each once, as it was written last.
func Signed(lines []Line) []Line {
	out := []Line{}
	at := map[string]int{}
	for _, l := range lines {
		if l.Verdict != Waived {
			continue
		}
		k := fmt.Sprintf("%q", []string{l.Protocol, fmt.Sprint(l.Revision), l.Rule, l.Path, l.Found, l.Signer, l.Signed, l.Until, l.Waiver})
		if i, ok := at[k]; ok {
			out[i] = l
			continue
		}
		at[k] = len(out)
		out = append(out, l)
	}
	return out
}
