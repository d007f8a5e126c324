package diary

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"isocue.example/compiler/near"
)

// asked reads "no", which answers every symptom question, and single answers.
func (w *writer) asked() (string, error) {
	answers := map[string]string{}
	var order []string
	put := func(q, a string) {
		if answers[q] == "" {
			order = append(order, q)
		}
		answers[q] = a
	}
	for i, word := range w.Words {
		q, a, pair := strings.Cut(word, "=")
		switch {
		case !pair && word == "no" && i == 0:
			for _, s := range w.known.Symptoms {
				put(s, "no")
			}
		case pair:
			put(q, a)
		default:
			return "", fmt.Errorf("%q is no answer, allowed: no, where every symptom question was asked and answered no, then QUESTION=yes for each that was not", word)
		}
	}
	if len(order) == 0 {
		return "", w.usage()
	}
	var said []string
	for _, q := range order {
		said = append(said, plain(q)+": "+quote(answers[q]))
	}
	return fmt.Sprintf("asked: {questions: %d, answers: {%s}}", w.known.QuestionSet, strings.Join(said, ", ")), nil
}

// medicine takes a class, or the generic name of a medicine: nobody who knows no more than the name on a box is kept from saying that it
// changed. What is nearly a class or a name is a slip, and is asked about.
func (w *writer) medicine() (string, error) {
	n := len(w.Words) - 1
	if n < 1 {
		return "", w.usage()
	}
	word, change := strings.ToLower(strings.Join(w.Words[:n], " ")), plain(w.Words[n])
	if slices.Contains(w.known.Classes, word) {
		return fmt.Sprintf("medicine: {class: %s, change: %s}", plain(word), change), nil
	}
	if class := w.known.Medicines[word]; class != "" {
		return fmt.Sprintf("medicine: {class: %s, name: %s, change: %s}", plain(class), plain(word), change), nil
	}
	names := slices.Concat(w.known.Classes, slices.Sorted(maps.Keys(w.known.Medicines)))
	if near.Match(word, names) != "" {
		return "", fmt.Errorf("%q is no class of medicine and no generic name that isocue knows%s; write the name as the box says it, or its class: %s", word, near.Hint(word, names), strings.Join(w.known.Classes, ", "))
	}
	return fmt.Sprintf("medicine: {name: %s, change: %s}", quote(word), change), nil
}

func (w *writer) condition() (string, error) {
	if n := len(w.Words); n < 1 || n > 2 {
		return "", w.usage()
	}
	side := ""
	if len(w.Words) == 2 {
		side = ", side: " + plain(w.Words[1])
	}
	return fmt.Sprintf("%s: {code: %s%s}", w.What, plain(w.Words[0]), side), nil
}

func (w *writer) clearance() (string, error) {
	if len(w.Words) < 2 {
		return "", w.usage()
	}
	until, err := w.day("until", w.Options["until"])
	if err != nil {
		return "", err
	}
	words := slices.Clone(w.Words)
	if class := w.known.Medicines[strings.ToLower(words[0])]; class != "" {
		words[0] = class
	}
	if role := strings.TrimSpace(w.Options["role"]); role != "" && w.known.Opens != nil && !w.known.Opens(role, words[0]) {
		return "", fmt.Errorf("the role %s may not open %s, allowed: a clinician who may, such as %s", role, words[0], strings.Join(w.known.Openers(words[0]), ", "))
	}
	return fmt.Sprintf("clearance: {for: [%s], by: %s, role: %s, date: %s, until: %s}", list(words), quote(w.Options["signed"]), quote(w.Options["role"]), w.date, until), nil
}

func (w *writer) limits() (string, error) {
	if len(w.Words) != 1 {
		return "", w.usage()
	}
	s, d, _, err := Pressure(w.Words[0])
	return fmt.Sprintf("limits: {systolic: %d, diastolic: %d, by: %s, date: %s}", s, d, quote(w.Options["signed"]), w.date), err
}
