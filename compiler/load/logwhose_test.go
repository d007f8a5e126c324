package load_test

import (
	"strings"
	"testing"
	"time"

	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// A row that a log calls somebody else's is none of this client's, and says so. Source: docs/architecture.md.
func TestWhoseARowIs(t *testing.T) {
	day, _ := unit.ParseDate("2027-02-01")
	for _, x := range []struct {
		why, name, heading string
		rows               []string // whose
		used               int
	}{
		{"its own id", "", "client", []string{"plover-12", "Plover 12"}, 2},
		{"another id beside its own", "", "Client ID", []string{"plover-12", "heron-07"}, 1},
		{"another id alone", "", "client", []string{"heron-07", "heron-07"}, 0},
		{"the record's name, in any order", "Dara Quill", "Name", []string{"Quill, Dara", "DARA"}, 2},
		{"another name than the record's", "Dara Quill", "Patient", []string{"Tomas Vega"}, 0},
		{"one name, and the record has none", "", "Name", []string{"Dara Quill", "Dara Quill"}, 2},
		{"two names, and nobody can tell", "", "Name", []string{"Dara Quill", "Tomas Vega"}, 0},
		{"nothing in the cell", "", "client", []string{"", "plover-12"}, 2},
	} {
		text := "at;systolic;diastolic;" + x.heading + "\n"
		for i, of := range x.rows {
			text += "2027-01-0" + string(rune('1'+i)) + "T07:30;205;125;" + of + "\n"
		}
		span := load.LogSpan{Comparison: record.Comparison{Lowest: 30, Highest: 300}, LeastApart: 5, Client: "plover-12", Name: x.name, Zone: time.UTC, Now: unit.At(day, 0)}
		l, err := load.PressureLog("plover-12.log.csv", []byte(text), span)
		if err != nil {
			t.Fatal(err)
		}
		others := 0
		for _, p := range l.Problems {
			if strings.Contains(p.Problem, "of another client") {
				if others++; p.Largest != 205 {
					t.Errorf("%s: what the row holds is not told: %+v", x.why, p)
				}
			}
		}
		if len(l.Readings) != x.used || others != len(x.rows)-x.used {
			t.Errorf("%s: %d rows used, %d of others; want %d used", x.why, len(l.Readings), others, x.used)
		}
	}
}
