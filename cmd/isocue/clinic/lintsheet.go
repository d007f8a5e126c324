package clinic

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"path/filepath"
	"strings"

	"isocue.example/compiler/files"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
)

// isClients says whether a name is that of a spreadsheet of clients, and of no log.
func isClients(name string) bool {
	low := strings.ToLower(name)
	return load.IsSpreadsheet(low) && !strings.HasSuffix(low, logEnd) && !strings.HasSuffix(low, sessionsEnd)
}

// sheet judges every row of a spreadsheet of clients as the record that it would be, and tells every fault of each.
func (j *Judging) sheet(name string, protocols []*load.Protocol) error {
	src, err := files.Fetch(name, load.MaxSpreadsheet)
	if err != nil {
		return fmt.Errorf("cannot read: %w", files.Short(err))
	}
	s, err := j.Under.Reader.Spreadsheet(filepath.Clean(name), src)
	if err != nil {
		return err
	}
	if s.Len() == 0 {
		return fmt.Errorf("%s has no row of a client, allowed: a row for each", name)
	}
	sum := sha256.Sum256(src)
	j.keep(&load.File{Name: filepath.Clean(name), Kind: load.IsClient, Source: src, Digest: hex.EncodeToString(sum[:])})
	first := map[string]string{}
	for i := range s.Len() {
		f := j.Under.Reader.Row(s, i).File
		for _, x := range j.Under.Lint(f, j.Now, protocols...) {
			x.Private = true
			j.Found = append(j.Found, x)
		}
		id := s.ID(i)
		if other, twice := first[id]; twice && id != "" {
			line := finding.Pos{File: f.Name, Line: s.Line(i), Column: 1}
			j.Found = append(j.Found, finding.Finding{Rule: load.Shape, Verdict: finding.Malformed, Pos: line, Path: "id", Private: true,
				Message: "id stands in " + other + " too, allowed: one row a client", Remedy: "give each client an id of its own", Rationale: "Two clients of one id would share a plan."})
		} else {
			first[id] = fmt.Sprintf("line %d", s.Line(i))
		}
	}
	return nil
}
