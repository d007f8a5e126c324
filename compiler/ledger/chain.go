package ledger

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"strings"

	"isocue.example/compiler/bound"
)

func hash(line []byte) string {
	s := sha256.Sum256(line)
	return hex.EncodeToString(s[:])
}

// parse goes through the runs that are told whole, gives each of them to see, and checks the chain. It says how many lines
// there are, the digest of the last and where it ends. What it has seen counts only without an error.
func parse(name string, b []byte, see func(run []Line)) (lines int, last string, end int, err error) {
	fail := func(at int, why string) (int, string, int, error) { return 0, "", 0, &Broken{name, at, why} }
	prev, more, n := "", 0, 0
	var run []Line // of which the end is still to come
	for at := 0; ; {
		length := bytes.IndexByte(b[at:], '\n')
		if length < 0 {
			if !begun(b[at:]) {
				return fail(n+1, "is not a line of a ledger")
			}
			return lines, last, end, nil
		}
		line := b[at : at+length]
		at += length + 1
		if n++; n > bound.LedgerLines {
			return 0, "", 0, &bound.Over{What: name + " has", Has: bound.LedgerLines, AtLeast: true, Of: "lines", Most: bound.LedgerLines, Then: "keep it, and begin a new one"}
		}
		var l Line
		if err := json.Unmarshal(line, &l); err != nil || l.Time == "" || l.Digest == "" || l.Verdict == "" {
			return fail(n, "is not a line of a ledger")
		}
		if l.Prev != prev {
			return fail(n, "does not follow the line before it: a line was changed, dropped or put in")
		}
		if more > 0 && l.More != more-1 || l.More < 0 {
			return fail(n, "does not follow the line before it: a run was told in part")
		}
		prev, more = hash(line), l.More
		if run = append(run, l); more == 0 {
			see(run)
			run, lines, last, end = run[:0], n, prev, at
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
