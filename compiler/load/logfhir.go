package load

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"isocue.example/compiler/record"
)

// A pressure log may be a Bundle of Observations, as HL7 FHIR release 4 has them: each blood pressure becomes a row of a table
// with our headings, and is read as a row of a CSV is. A Bundle says the same in many ways: as components, as two Observations of one
// moment, as members of a panel, contained in another resource, in a Bundle in the Bundle. All are read, and what may be a pressure or a
// pulse and cannot be read is told as that.

// bundleHeadings are the columns of a Bundle's table.
var bundleHeadings = []string{"at", "systolic", "diastolic", "pulse", "arm", "posture", "note", "symptoms"}

// isBundle says whether a log is JSON: no CSV of ours begins with a brace.
func isBundle(src []byte) bool {
	return bytes.HasPrefix(bytes.TrimLeft(bytes.TrimPrefix(src, []byte("\xef\xbb\xbf")), " \t\r\n"), []byte("{"))
}

// bundleSubject is whom an Observation is about.
type bundleSubject struct {
	Reference  string
	Identifier struct{ System, Value string }
}

// bundleReader reads one Bundle.
type bundleReader struct {
	span    LogSpan
	err     error // the first element of another kind than FHIR says, of the resource that is read
	once    bundleOnce
	all     []*observation
	byName  map[string]*observation
	parents map[*observation]bool // of a pressure
	unread  map[string]*unread
	labels  []string   // of what is unread, in the order in which it was found
	said    []tableRow // of resources that are no Observations, in words
	other   int
}

// unread is what stands under one code that is not known, the gravest of its values.
type unread struct {
	line  int
	at    string
	label string
	unit  string
	what  string // the resource in which it stands, "" for an Observation
	held  record.Held
	times int
}

// keep takes over a value that may be a pressure or a pulse.
func (b *bundleReader) keep(h unread) {
	before, ok := b.unread[h.label]
	if !ok {
		b.labels = append(b.labels, h.label)
		h.times = 1
		b.unread[h.label] = &h
		return
	}
	h.times = before.times + 1
	was, is := before.held.Reaches(b.span.Gate), h.held.Reaches(b.span.Gate)
	if is && (!was || h.at >= before.at) || !was && h.held.Largest+h.held.Pulse > before.held.Largest+before.held.Pulse {
		*before = h
	}
	before.times = h.times
}

// readBundle makes a table of a Bundle. Anything in it that is no reading is counted. An observation that names another client of ours, or
// another person than those before, spoils the whole file.
func readBundle(src []byte, span LogSpan) (*table, error) {
	if len(src) > MaxLog {
		return nil, tooLong("bytes", MaxLog)
	}
	t := &table{}
	t.setHeadings(bundleHeadings, 1)
	b := &bundleReader{span: span, byName: map[string]*observation{}, parents: map[*observation]bool{}, unread: map[string]*unread{}}
	more := false
	err := eachEntry(src, func(line int, raw json.RawMessage) error {
		v, err := plainValue(raw)
		if err != nil {
			if err != errTwice && err != errDeep {
				err = plainJSON(err)
			}
			return fmt.Errorf("the entry on line %d is not a resource of FHIR R4: %w", line, err)
		}
		before := len(b.all)
		if err := b.visit(v, line, "", nil); err != nil {
			return err
		}
		if !slices.ContainsFunc(b.all[before:], (*observation).read) {
			b.other++
		}
		return nil
	}, func() { more = true })
	if err != nil {
		return nil, err
	}
	if err := b.rows(t); err != nil {
		return nil, err
	}
	t.said = append(t.said, "the file is a Bundle of FHIR R4")
	if slices.ContainsFunc(b.all, func(x *observation) bool { return x.pressure() && x.subject.Identifier.System != record.ClientSystem }) {
		t.said = append(t.said, "a reading in it does not name the client by the record's id: make sure that all are this client's own")
	}
	if more {
		t.said = append(t.said, "it is one page of several: ask the server for the others too")
	}
	if b.other > 0 {
		t.said = append(t.said, fmt.Sprintf("%d entries are no blood pressure or pulse of a moment, and were not read", b.other))
	}
	return t, nil
}

// visit finds the resources in a value, however deep they stand.
func (b *bundleReader) visit(v any, line int, fullURL string, parent *observation) error {
	switch v := v.(type) {
	case []any:
		for _, x := range v {
			if err := b.visit(x, line, "", parent); err != nil {
				return err
			}
		}
	case object:
		kind, _ := v["resourceType"].(string)
		_, status := v["status"].(string)
		if strings.EqualFold(kind, "Observation") || kind == "" && v["code"] != nil && status {
			x, err := b.found(v, line, fullURL, parent)
			if err != nil {
				return err
			}
			parent = x
		} else if besideObservations[kind] {
			b.beside(kind, v, line)
		}
		if kind == "Condition" || kind == "QuestionnaireResponse" {
			b.saidBeside(kind, v, line)
		}
		inner, _ := v["fullUrl"].(string)
		for _, key := range sortedKeys(v) {
			if err := b.visit(v[key], line, inner, parent); err != nil {
				return err
			}
		}
	}
	return nil
}

// found takes one Observation.
func (b *bundleReader) found(o object, line int, fullURL string, parent *observation) (*observation, error) {
	x := b.observe(o, line, fullURL, parent)
	if b.err != nil {
		return nil, fmt.Errorf("the entry on line %d is not a resource of FHIR R4: %w", line, b.err)
	}
	if id := x.subject.Identifier; id.System == record.ClientSystem && b.span.Client != "" && id.Value != b.span.Client {
		return nil, fmt.Errorf("the entry on line %d is about another client than the record, allowed: the same", line)
	}
	id, _ := o["id"].(string)
	if parent != nil { // a contained one is named within its parent, and is about the same person
		x.key = "#" + strings.TrimPrefix(id, "#")
		if x.subject == (bundleSubject{}) {
			x.subject = parent.subject
		}
	}
	if x.read() {
		if err := b.once.about(x.subject, line); err != nil {
			return nil, err
		}
		if err := b.once.version(x); err != nil {
			return nil, err
		}
	}
	for _, name := range []string{refName(fullURL), "Observation/" + id} {
		if parent == nil && name != "" && name != "Observation/" {
			b.byName[name] = x
		}
	}
	if parent != nil && id != "" {
		b.byName[fmt.Sprintf("%p%s", parent, x.key)] = x
	}
	b.all = append(b.all, x)
	return x, nil
}

// member is the Observation that a panel names.
func (b *bundleReader) member(of *observation, name string) *observation {
	if strings.HasPrefix(name, "#") {
		return b.byName[fmt.Sprintf("%p%s", of, name)]
	}
	return b.byName[name]
}

// counts says whether an Observation of this status counts.
func counts(status string) bool {
	return status == "final" || status == "amended" || status == "corrected"
}
