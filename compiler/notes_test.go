package compiler

import (
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"isocue.example/compiler/internal/testkit"
	"isocue.example/compiler/load"
	"isocue.example/compiler/progress"
)

// How soon somebody hears of a note, as the corpus of notes labels it, the most urgent first.
var soon = []string{"now", "today", "week", "none"}

// cells are where a note may stand: among the words beside a session, and where symptoms are asked for.
var cells = []string{"note", "symptoms"}

// halves of the corpus: the words were made with sight of the odd rows alone, counted from the first below the header.
var halves = []string{"seen", "blind"}

// notesOf are the notes of one half with one label, in one cell.
type notesOf struct{ half, cell, want string }

func corpus(name string) string { return filepath.Join("..", "testdata", "corpus", name) }

// answers counts the notes of the corpus by their label and by how soon the rules tell somebody of them: a log of one session that went
// well, with the note in one of its cells, is followed as any other.
func answers(t *testing.T) map[notesOf][4]int {
	c := engine(t)
	now, err := time.Parse(time.RFC3339, wednesday)
	if err != nil {
		t.Fatal(err)
	}
	cl := tomas(t, c, nil)
	span, err := c.LogSpan(cl.Record, now)
	if err != nil {
		t.Fatal(err)
	}
	plan := aCourse(t, c, "handgrip-alternating")
	out := map[notesOf][4]int{}
	for i, r := range testkit.Rows(t, corpus("notes-blind.csv")) {
		for _, cell := range cells {
			var b strings.Builder
			w := csv.NewWriter(&b)
			for _, row := range [][]string{{"at", "uid", "outcome", cell}, {"2027-02-10T07:00", plan.Sessions[0].UID, "completed", r[0]}} {
				if err := w.Write(row); err != nil {
					t.Fatal(err)
				}
			}
			w.Flush()
			in := Following{Client: cl, Plan: plan, Now: now}
			if in.Sessions, err = load.SessionLog("sessions.csv", []byte(b.String()), span); err != nil {
				t.Fatal(err)
			}
			k := notesOf{halves[i%2], cell, r[2]}
			n := out[k]
			n[urgency(c.Follow(in).Tells)]++
			out[k] = n
		}
	}
	return out
}

// urgency is how soon the most urgent of what words brought is told, as an index of soon.
func urgency(tells []progress.Tell) int {
	most := len(soon) - 1
	for _, x := range tells {
		if strings.HasPrefix(x.Rule, "log-symptom") || strings.HasPrefix(x.Rule, "log-danger-sign") || strings.HasPrefix(x.Rule, "log-matter") || x.Rule == "log-injury" {
			most = min(most, slices.Index([]string{"now", "today", "this week"}, x.HowSoon))
		}
	}
	return most
}

// tooLate and tooSoon count the notes that are told later, and earlier, than a careful person would.
func tooLate(want string, n [4]int) (late int) {
	for i := slices.Index(soon, want) + 1; i < len(n); i++ {
		late += n[i]
	}
	return late
}

func tooSoon(want string, n [4]int) (early int) {
	for i := range slices.Index(soon, want) {
		early += n[i]
	}
	return early
}

// How the words of logs do on the corpus is what stands beside it, from where docs/evidence.md has it. The counts may be written anew,
// with ISOCUE_UPDATE=1, but never where more of the blind half is told too late or too soon.
func TestNotesCorpus(t *testing.T) {
	const name = "notes-reached.csv"
	was := map[notesOf][4]int{}
	for _, r := range testkit.Rows(t, corpus(name)) {
		var n [4]int
		for i := range n {
			x, err := strconv.Atoi(r[3+i])
			if err != nil {
				t.Fatal(err)
			}
			n[i] = x
		}
		was[notesOf{r[0], r[1], r[2]}] = n
	}
	now := answers(t)
	var b strings.Builder
	b.WriteString("half,cell,want,now,today,week,none\n")
	same, stepsBack := len(was) == len(now), false
	for _, half := range halves {
		for _, cell := range cells {
			for _, want := range soon {
				k := notesOf{half, cell, want}
				n, before := now[k], was[k]
				if n == [4]int{} {
					t.Fatalf("no note of the %s half is labelled %s", half, want)
				}
				same = same && n == before
				if late, early := tooLate(want, n), tooSoon(want, n); half == "blind" && before != [4]int{} && (late > tooLate(want, before) || early > tooSoon(want, before)) {
					t.Errorf("blind, %s, %s: %d told too late and %d too soon, before %d and %d", cell, want, late, early, tooLate(want, before), tooSoon(want, before))
					stepsBack = true
				}
				fmt.Fprintf(&b, "%s,%s,%s,%d,%d,%d,%d\n", half, cell, want, n[0], n[1], n[2], n[3])
			}
		}
	}
	switch {
	case same || stepsBack:
	case os.Getenv("ISOCUE_UPDATE") == "1":
		if err := os.WriteFile(corpus(name), []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	default:
		t.Errorf("the counts moved; with ISOCUE_UPDATE=1 they are written anew:\n%s", b.String())
	}
}
