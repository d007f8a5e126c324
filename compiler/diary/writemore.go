package diary

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"isocue.example/compiler/near"
)

// numbersAnd takes the words that are numbers, and the others.
func (w *writer) numbersAnd() (numbers, others []string, err error) {
	for _, word := range w.Words {
		if word != "" && word[0] >= '0' && word[0] <= '9' {
			d, err := Number(word)
			if err != nil {
				return nil, nil, err
			}
			numbers = append(numbers, d.String())
		} else {
			others = append(others, word)
		}
	}
	return numbers, others, nil
}

func (w *writer) inspiratory() (string, error) {
	trials, others, err := w.numbersAnd()
	if err != nil {
		return "", err
	}
	if len(trials) == 0 || len(others) != 2 {
		return "", w.usage()
	}
	unit := others[0]
	for _, u := range []string{"cmH2O", "kPa", "mmHg"} {
		if strings.EqualFold(u, unit) {
			unit = u
		}
	}
	return fmt.Sprintf("inspiratory: {unit: %s, trials: [%s], method: %s}", quote(unit), strings.Join(trials, ", "), plain(others[1])), nil
}

func (w *writer) squat() (string, error) {
	var stages, others []string
	for _, word := range w.Words {
		parts := strings.Split(word, "/")
		if len(parts) != 3 {
			others = append(others, word)
			continue
		}
		for i := range parts {
			d, err := Number(parts[i])
			if err != nil {
				return "", fmt.Errorf("%q is no stage, allowed: knee in degrees, heel in cm and heart rate, such as 125/44/90", word)
			}
			parts[i] = d.String()
		}
		stages = append(stages, fmt.Sprintf("{kneeDegrees: %s, heelCm: %s, heartRate: %s}", parts[0], parts[1], parts[2]))
	}
	if len(stages) == 0 || len(others) != 1 {
		return "", w.usage()
	}
	return fmt.Sprintf("squat: {stages: [%s], ended: %s}", strings.Join(stages, ", "), plain(others[0])), nil
}

func (w *writer) device() (string, error) {
	n, instead := len(w.Words), ""
	if id := w.Options["instead"]; id != "" {
		instead = ", instead: " + plain(id)
	}
	switch {
	case n == 4 && w.Words[0] == "grip":
		step, err := Number(w.Words[3])
		if err != nil {
			return "", err
		}
		unit := w.Words[2]
		if strings.EqualFold(unit, "kg") {
			if !w.Sure {
				return "", Question{"kg on a gauge is kilograms-force, kgf; does this gauge show kg?"}
			}
			unit = "kgf"
		}
		return fmt.Sprintf("device: {grip: {id: %s, unit: %s, step: %s}%s}", plain(w.Words[1]), plain(unit), step, instead), nil
	case n >= 3 && w.Words[0] == "inspiratory":
		var settings []string
		for _, s := range w.Words[2:] {
			label, load, ok := strings.Cut(s, "=")
			d, err := Number(load)
			if !ok || err != nil {
				return "", fmt.Errorf("%q is no setting, allowed: what stands on the dial and its load in cmH2O, such as 1=9", s)
			}
			settings = append(settings, fmt.Sprintf("{label: %s, cmH2O: %s}", quote(label), d))
		}
		return fmt.Sprintf("device: {inspiratory: {id: %s, settings: [%s]}%s}", plain(w.Words[1]), strings.Join(settings, ", "), instead), nil
	case (n == 3 || n == 4 && w.Words[3] == "validated") && w.Words[0] == "cuff":
		return fmt.Sprintf("device: {cuff: {arm: %s, size: %s, validated: %v}%s}", plain(w.Words[1]), plain(w.Words[2]), n == 4, instead), nil
	}
	return "", w.usage()
}

// medicine takes a class, or a generic name that the rule base knows.
func (w *writer) medicine() (string, error) {
	if len(w.Words) != 2 {
		return "", w.usage()
	}
	word, change := strings.ToLower(w.Words[0]), plain(w.Words[1])
	if slices.Contains(w.known.Classes, word) {
		return fmt.Sprintf("medicine: {class: %s, change: %s}", plain(word), change), nil
	}
	if class := w.known.Medicines[word]; class != "" {
		return fmt.Sprintf("medicine: {class: %s, name: %s, change: %s}", plain(class), plain(word), change), nil
	}
	names := slices.Concat(w.known.Classes, slices.Sorted(maps.Keys(w.known.Medicines)))
	return "", fmt.Errorf("%q is no class of medicine and no generic name that isocue knows%s; write its class: %s", w.Words[0], near.Hint(word, names), strings.Join(w.known.Classes, ", "))
}

func (w *writer) clearance() (string, error) {
	if len(w.Words) < 2 {
		return "", w.usage()
	}
	var words []string
	for _, x := range w.Words {
		words = append(words, plain(x))
	}
	until, err := w.day("until", w.Options["until"])
	if err != nil {
		return "", err
	}
	return fmt.Sprintf("clearance: {for: [%s], by: %s, role: %s, date: %s, until: %s}", strings.Join(words, ", "), quote(w.Options["signed"]), quote(w.Options["role"]), w.date, until), nil
}

// day reads the day of an option, which is required.
func (w *writer) day(option, s string) (string, error) {
	if s == "" {
		return "", fmt.Errorf("--%s is required; write: %s", option, strings.TrimSpace(w.usage().Error()))
	}
	d, err := Day(s, w.known.Today, true)
	if err != nil {
		return "", fmt.Errorf("--%s: %w", option, err)
	}
	return d.String(), nil
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
	var ps []string
	for _, p := range w.Words {
		ps = append(ps, plain(p))
	}
	out := fmt.Sprintf("course: {protocols: [%s], start: %s", strings.Join(ps, ", "), start)
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
	outcome, at := "completed", ""
	if len(w.Words) == 2 {
		outcome = w.Words[1]
	}
	if w.Time != "" {
		c := w.known.Now
		if w.Time != "now" {
			c, _ = Clock(w.Time) // read before
		}
		at = ", time: " + quote(c.String())
	}
	return fmt.Sprintf("trained: {protocol: %s%s, outcome: %s}", plain(w.Words[0]), at, plain(outcome)), nil
}

func (w *writer) told() (string, error) {
	if len(w.Words) != 2 || w.Words[1] != "reached" && w.Words[1] != "not-reached" {
		return "", w.usage()
	}
	about := ""
	if ids := w.Options["entries"]; ids != "" {
		var all []string
		for _, id := range strings.Split(ids, ",") {
			all = append(all, plain(strings.TrimSpace(id)))
		}
		about = ", about: [" + strings.Join(all, ", ") + "]"
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
