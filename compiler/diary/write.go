package diary

import (
	"fmt"
	"slices"
	"strings"

	"isocue.example/compiler/near"
	"isocue.example/compiler/unit"
)

// writer makes of words what stands in an entry: the key and what stands behind it.
type writer struct {
	Typed
	kind  *Kind
	known Known
	date  unit.Date
	clock string // the time of day, "" without one
}

// usage is the error about words that do not fit.
func (w *writer) usage() error {
	return fmt.Errorf("%s was given %d words; write: %s", w.What, len(w.Words), w.kind.Words)
}

// one is the only word of an entry, put into a form.
func (w *writer) one(form string) (string, error) {
	if len(w.Words) != 1 {
		return "", w.usage()
	}
	return fmt.Sprintf(form, plain(w.Words[0])), nil
}

// list is words with commas between.
func list(words []string) string {
	var out []string
	for _, x := range words {
		out = append(out, plain(x))
	}
	return strings.Join(out, ", ")
}

// said is a kind that is all words.
func (w *writer) said() (string, error) {
	s := strings.Join(strings.Fields(strings.Join(w.Words, " ")), " ")
	if s == "" {
		return "", w.usage()
	}
	return w.What + ": " + quote(s), nil
}

// alone is a kind without words.
func (w *writer) alone() (string, error) {
	if len(w.Words) > 0 {
		return "", fmt.Errorf("%s stands alone, and was given %q; put other words behind --note", w.What, strings.Join(w.Words, " "))
	}
	return w.What + ": true", nil
}

// day reads the day of an option, which is required.
func (w *writer) day(option, s string) (string, error) {
	if s == "" {
		return "", fmt.Errorf("--%s is required; write: %s", option, w.kind.Words)
	}
	d, err := Day(s, w.known.Today, true)
	if err != nil {
		return "", fmt.Errorf("--%s: %w", option, err)
	}
	return d.String(), nil
}

func (w *writer) moved() (string, error) {
	if len(w.Words) != 1 {
		return "", w.usage()
	}
	return fmt.Sprintf("moved: {zone: %s, emergency: %s}", quote(w.Words[0]), quote(w.Options["emergency"])), nil
}

// hours reads days and a span, again and again: mon,wed 07:00-08:00 sat 9:00-10:00.
func (w *writer) hours() (string, error) {
	var out, days []string
	for _, word := range w.Words {
		from, to, span := strings.Cut(word, "-")
		if !span {
			for _, d := range strings.FieldsFunc(word, func(r rune) bool { return r == ',' || r == ';' }) {
				x, ok := weekday(d)
				if !ok {
					return "", fmt.Errorf("%q is no day of the week, allowed: such as mon,wed", d)
				}
				days = append(days, strings.ToLower(x.String()[:3]))
			}
			continue
		}
		a, err := Clock(from)
		if err != nil {
			return "", err
		}
		b, err := Clock(to)
		if err != nil {
			return "", err
		}
		if len(days) == 0 {
			return "", fmt.Errorf("%s has no days before it, allowed: such as mon,wed %s", word, word)
		}
		out = append(out, fmt.Sprintf("{days: [%s], from: %s, to: %s}", strings.Join(days, ", "), quote(a.String()), quote(b.String())))
		days = nil
	}
	if len(out) == 0 || len(days) > 0 {
		return "", w.usage()
	}
	return "hours: [" + strings.Join(out, ", ") + "]", nil
}

func (w *writer) contacts() (string, error) {
	if len(w.Words) < 2 || len(w.Words)%2 != 0 {
		return "", w.usage()
	}
	var out []string
	for i := 0; i < len(w.Words); i += 2 {
		out = append(out, plain(w.Words[i])+": "+quote(w.Words[i+1]))
	}
	return "contacts: {" + strings.Join(out, ", ") + "}", nil
}

func (w *writer) pause() (string, error) {
	if len(w.Words) > 1 {
		return "", w.usage()
	}
	from := w.date.String()
	if len(w.Words) == 1 {
		d, err := w.day("date", w.Words[0])
		if err != nil {
			return "", err
		}
		from = d
	}
	if w.Options["until"] == "" {
		return fmt.Sprintf("pause: {from: %s}", from), nil
	}
	to, err := w.day("until", w.Options["until"])
	return fmt.Sprintf("pause: {from: %s, to: %s}", from, to), err
}

func (w *writer) course() (string, error) {
	if len(w.Words) == 0 {
		return "", w.usage()
	}
	start, err := w.day("start", w.Options["start"])
	if err != nil {
		return "", err
	}
	out := fmt.Sprintf("course: {protocols: [%s], start: %s", list(w.Words), start)
	for _, o := range []string{"add", "replaces"} {
		if w.Options[o] != "" {
			out += ", " + o + ": true"
		}
	}
	return out + "}", nil
}

func (w *writer) trained() (string, error) {
	if n := len(w.Words); n < 1 || n > 2 {
		return "", w.usage()
	}
	if all := w.known.Trains; len(all) > 0 && !slices.Contains(all, w.Words[0]) {
		return "", fmt.Errorf("%q is nothing that this client trains%s; allowed: %s", w.Words[0], near.Hint(w.Words[0], all), strings.Join(all, ", "))
	}
	outcome, at := "completed", ""
	if len(w.Words) == 2 {
		outcome = w.Words[1]
	}
	if w.clock != "" {
		at = ", time: " + quote(w.clock)
	}
	return fmt.Sprintf("trained: {protocol: %s%s, outcome: %s}", plain(w.Words[0]), at, plain(outcome)), nil
}

func (w *writer) told() (string, error) {
	if len(w.Words) != 2 || w.Words[1] != "reached" && w.Words[1] != "not-reached" {
		return "", w.usage()
	}
	about := ""
	if ids := w.Options["entries"]; ids != "" {
		all := strings.Split(ids, ",")
		for i := range all {
			all[i] = strings.TrimSpace(all[i])
		}
		about = ", about: [" + list(all) + "]"
	}
	return fmt.Sprintf("told: {who: %s%s, reached: %v}", plain(w.Words[0]), about, w.Words[1] == "reached"), nil
}

func (w *writer) read() (string, error) {
	row := w.Options["row"]
	switch {
	case row != "" && len(w.Words) == 1:
		return fmt.Sprintf("read: {row: %s, finding: %s}", quote(row), plain(w.Words[0])), nil
	case row == "" && len(w.Words) == 2:
		return fmt.Sprintf("read: {entry: %s, finding: %s}", plain(w.Words[0]), plain(w.Words[1])), nil
	}
	return "", w.usage()
}

func (w *writer) lighter() (string, error) { return w.one("lighter: {protocol: %s}") }

func (w *writer) taught() (string, error) { return w.one("taught: {modality: %s}") }

func (w *writer) void() (string, error) {
	if len(w.Words) < 2 {
		return "", w.usage()
	}
	return fmt.Sprintf("void: {entry: %s, why: %s}", plain(w.Words[0]), quote(strings.Join(w.Words[1:], " "))), nil
}
