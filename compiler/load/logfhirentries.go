package load

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"

	"isocue.example/compiler/bound"
)

// maxEntries is the most entries that a Bundle may have: a pulse of its own beside each reading, and as many of other kinds.
const maxEntries = bound.BundleEntries

// eachEntry calls f with the line and the bytes of each entry of a Bundle. next is called where the Bundle
// is a page that another follows.
func eachEntry(src []byte, f func(int, json.RawMessage) error, next func()) error {
	src = bytes.TrimPrefix(src, []byte("\xef\xbb\xbf"))
	d := json.NewDecoder(bytes.NewReader(src))
	broken := func(err error) error {
		return fmt.Errorf("the log is not JSON from line %d on: %w", lineAt(src, d.InputOffset()), plainJSON(err))
	}
	if _, err := d.Token(); err != nil {
		return broken(err)
	}
	kind, entries := "", false
	for d.More() {
		key, err := d.Token()
		if err != nil {
			return broken(err)
		}
		switch key {
		case "resourceType":
			if err := d.Decode(&kind); err != nil {
				return broken(err)
			}
		case "entry":
			if t, err := d.Token(); err != nil || t != json.Delim('[') || entries {
				return errors.New("entry is not one list, allowed: a Bundle of FHIR R4 with one list of entries")
			}
			entries = true
			line, seen := 1, int64(0) // counted on from entry to entry: from the start each time would take long
			for n := 0; d.More(); n++ {
				if n == maxEntries {
					return tooLong("entries", maxEntries)
				}
				var raw json.RawMessage
				if err := d.Decode(&raw); err != nil {
					return broken(err)
				}
				at := d.InputOffset() - int64(len(raw))
				line += bytes.Count(src[seen:at], []byte("\n"))
				seen = at
				if err := f(line, raw); err != nil {
					return err
				}
			}
			if _, err := d.Token(); err != nil {
				return broken(err)
			}
		case "link":
			var links []struct{ Relation string }
			if err := d.Decode(&links); err != nil {
				return broken(err)
			}
			for _, l := range links {
				if l.Relation == "next" {
					next()
				}
			}
		default: // no resource belongs there, and none that stands there is lost
			var raw json.RawMessage
			if err := d.Decode(&raw); err != nil {
				return broken(err)
			}
			if bytes.Contains(raw, []byte("esourceType")) {
				if err := f(lineAt(src, d.InputOffset()-int64(len(raw))), raw); err != nil {
					return err
				}
			}
		}
	}
	if _, err := d.Token(); err != nil {
		return broken(err)
	}
	if kind != "Bundle" {
		return fmt.Errorf("the log is JSON and no Bundle%s, allowed: CSV, or a Bundle of Observations of FHIR R4", instead[kind])
	}
	if _, err := d.Token(); err != io.EOF {
		return errors.New("something follows the Bundle, allowed: one Bundle in a file")
	}
	return nil
}

// instead says what to do about other resources that a server hands out, by their type.
var instead = map[string]string{
	"Observation":      " but a single Observation, or one a line: ask the server for a search, whose answer is a Bundle",
	"OperationOutcome": " but the error of a server (OperationOutcome): ask it again, for a search of Observations",
	"Patient":          " but a Patient: ask the server for that person's Observations",
	"":                 ", nor anything else of FHIR",
}

// lineAt is the line of a place in a text, 1 and up.
func lineAt(src []byte, at int64) int {
	return 1 + bytes.Count(src[:min(max(at, 0), int64(len(src)))], []byte("\n"))
}

// plainJSON is an error of the JSON reader without what it read: that may be somebody's name.
func plainJSON(err error) error {
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	switch {
	case errors.As(err, &kind):
		return fmt.Errorf("%s is of another kind than FHIR R4 says", strings.ToLower(kind.Field))
	case errors.As(err, &syntax), errors.Is(err, io.ErrUnexpectedEOF), errors.Is(err, io.EOF):
		return errors.New("a bracket, comma or quote is missing or too many")
	}
	return errors.New("it cannot be read")
}
