package docs

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"os"
)

// reached is how far the words of texts answer the corpus, counted by a test of compiler/check, which holds the file to the program.
const reached = "../../../testdata/corpus/texts-reached.csv"

// answered lists how many texts of the corpus are answered as a careful person would, by half and label.
func answered(w *bytes.Buffer) error {
	b, err := os.ReadFile(reached)
	if err != nil {
		return err
	}
	rows, err := csv.NewReader(bytes.NewReader(b)).ReadAll()
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
	for _, r := range rows[1:] {
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
