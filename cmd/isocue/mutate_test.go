//go:build full

package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"sort"
	"strings"
	"testing"
)

func decode(t *testing.T, j []byte) (doc map[string]any) {
	t.Helper()
	d := json.NewDecoder(bytes.NewReader(j))
	d.UseNumber()
	if err := d.Decode(&doc); err != nil {
		t.Fatal(err)
	}
	return doc
}

func copyJSON(t *testing.T, doc map[string]any) map[string]any {
	t.Helper()
	j, err := json.Marshal(doc)
	if err != nil {
		t.Fatal(err)
	}
	return decode(t, j)
}

// spot is one field of one record.
type spot struct {
	in   map[string]any
	name string
}

func spots(doc map[string]any) (out []spot) {
	var names []string
	for k := range doc {
		names = append(names, k)
	}
	sort.Strings(names) // maps have no order, and the seed must repeat
	for _, k := range names {
		out = append(out, spot{doc, k})
		switch v := doc[k].(type) {
		case map[string]any:
			out = append(out, spots(v)...)
		case []any:
			for _, e := range v {
				if m, ok := e.(map[string]any); ok {
					out = append(out, spots(m)...)
				}
			}
		}
	}
	return out
}

// values are what a mutation may put in a field's place: each kind of value, the edges of the schema's spans and a step past
// them, words that the schema knows elsewhere, and texts at the edge of what a line may hold.
var values = []any{
	json.Number("0"), json.Number("-1"), json.Number("1"), json.Number("2"), json.Number("3"), json.Number("0.30"), json.Number("1.5"), json.Number("7"), json.Number("8"),
	json.Number("12"), json.Number("13"), json.Number("60"), json.Number("61"), json.Number("104"), json.Number("105"), json.Number("120"), json.Number("121"), json.Number("200"),
	json.Number("201"), json.Number("3600"), json.Number("3601"), json.Number("9999"), json.Number("10000"), json.Number("0.0001"), json.Number("60.1"), json.Number("-100"), json.Number("-101"),
	"handgrip", "wall-squat", "left", "right", "alternate", "course", "maintenance", "no-such-word", "", "8", "120", "Über 80 Zeichen ist zu lang", strings.Repeat("a", 48), strings.Repeat("a", 49),
	strings.Repeat("t", 80), strings.Repeat("t", 81), strings.Repeat("ü", 80), strings.Repeat("n", 200), strings.Repeat("n", 201), "two\nlines", "tab\there", "bell\a", "mark\u200e", "a--b", "-a", "A",
	true, false, nil, map[string]any{}, []any{}, []any{json.Number("1")}, map[string]any{"fraction": json.Number("0.30")}, map[string]any{"weeks": json.Number("1")},
	[]any{map[string]any{"weeks": json.Number("2")}}, []any{map[string]any{"weeks": json.Number("2")}, map[string]any{}}, []any{map[string]any{"weeks": json.Number("1"), "holdSeconds": json.Number("60")}},
}

// fields are names that a record of a protocol may have somewhere, and some that none has.
var fields = []string{"note", "phase", "retestWeeks", "startHand", "hands", "breath", "sets", "breathsPerSet", "minutesPerSession", "restSeconds", "holdSeconds", "rounds",
	"expects", "ramp", "load", "fraction", "kneeDegrees", "effort", "pauseSeconds", "holdSecond", "Weeks", "load.fraction", "id", "x"}

// mutate changes one place of a protocol and says in a word how.
func mutate(r *rand.Rand, doc map[string]any) string {
	all := spots(doc)
	s := all[r.IntN(len(all))]
	switch r.IntN(6) {
	case 0:
		delete(s.in, s.name)
		return "missing"
	case 1:
		s.in[fields[r.IntN(len(fields))]] = s.in[s.name]
		delete(s.in, s.name)
		return "renamed"
	case 2:
		s.in[fields[r.IntN(len(fields))]] = values[r.IntN(len(values))]
		return "added"
	case 3: // of the same kind as before: the span is what is tested
		for range 50 {
			v := values[r.IntN(len(values))]
			if fmt.Sprintf("%T", v) == fmt.Sprintf("%T", s.in[s.name]) {
				s.in[s.name] = v
				break
			}
		}
		return "span"
	}
	s.in[s.name] = values[r.IntN(len(values))]
	return "value"
}
