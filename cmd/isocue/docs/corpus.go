package docs

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"os"
	"slices"
	"strings"
)

// How far words answer the corpus: those of texts are counted by a test of compiler/check, those of logs by one of compiler. Both hold their
// file to the program.
const (
	reached = "../../../testdata/corpus/texts-reached.csv"
	heard   = "../../../testdata/corpus/notes-reached.csv"
)

// counted reads what a test counted.
func counted(name string) ([][]string, error) {
	b, err := os.ReadFile(name)
	if err != nil {
		return nil, err
	}
	rows, err := csv.NewReader(bytes.NewReader(b)).ReadAll()
	if err != nil {
		return nil, err
	}
	return rows[1:], nil
}

// answered lists how many texts of the corpus are answered as a careful person would, by half and label.
func answered(w *bytes.Buffer) error {
	rows, err := counted(reached)
	if err != nil {
		return err
	}
	w.WriteString(`
## What is found in titles and notes

Texts of [the corpus](../testdata/corpus/README.md), written without sight of the words that the program looks for. It was made with sight
of one half; the blind half alone tells how it does on what it has not met. *False* counts harmless texts that it takes for one of the kind.
A text can say what no word here tells of, so a person still reads each.

| half | kind | texts | right | missed | false |
|---|---|---|---|---|---|
`)
	for _, r := range rows {
		var texts, right int
		if _, err := fmt.Sscan(r[2]+" "+r[3], &texts, &right); err != nil {
			return err
		}
		kind, wrong := r[1], r[4]
		missed := fmt.Sprint(texts - right)
		if kind == "none" {
			kind, wrong, missed = "harmless", missed, "-" // each refused once, though it may be taken for two kinds
		}
		fmt.Fprintf(w, "| %s | %s | %d | %d | %s | %s |\n", r[0], kind, texts, right, missed, wrong)
	}
	return nil
}

// notes lists how soon somebody hears of the notes of the corpus, by half, cell and label.
func notes(w *bytes.Buffer) error {
	rows, err := counted(heard)
	if err != nil {
		return err
	}
	w.WriteString(`
## What is found in the notes of logs

Notes of [the corpus](../testdata/corpus/README.md), each once as a note beside a session, where only words that are known count, and once
as a symptom, where unknown words are told to the coach too. *Now* is the emergency number, *today* the prescriber or the coach, *week* the
coach this week. *Too late* is the graver fault: it counts what is told later than a careful person would, or not at all.

| half | where | wanted | notes | right | too late | of these not at all | too soon |
|---|---|---|---|---|---|---|---|
`)
	for _, r := range rows {
		var told [4]int // from the most urgent to not at all
		if _, err := fmt.Sscan(strings.Join(r[3:], " "), &told[0], &told[1], &told[2], &told[3]); err != nil {
			return err
		}
		want := slices.Index([]string{"now", "today", "week", "none"}, r[2])
		var early, late int
		for i, n := range told {
			switch {
			case i < want:
				early += n
			case i > want:
				late += n
			}
		}
		silent := "-"
		if want < 3 {
			silent = fmt.Sprint(told[3])
		}
		fmt.Fprintf(w, "| %s | %s | %s | %d | %d | %d | %s | %d |\n", r[0], r[1], r[2], early+late+told[want], told[want], late, silent, early)
	}
	return nil
}
