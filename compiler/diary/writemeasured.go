package diary

import (
	"cmp"
	"fmt"
	"strings"

	"isocue.example/compiler/near"
	"isocue.example/compiler/record"
)

// readingWords say where, on which arm and how a reading was taken.
var readingWords = map[string]string{"home": "setting", "clinic": "setting", "left": "arm", "right": "arm", "sitting": "posture", "standing": "posture", "lying": "posture"}

func (w *writer) reading() (string, error) {
	var numbers []string
	said := map[string]string{"setting": "home"}
	for _, word := range w.Words {
		switch key := readingWords[word]; {
		case key != "":
			said[key] = word
		case strings.ContainsAny(word, "0123456789/"):
			numbers = append(numbers, word)
		default:
			return "", fmt.Errorf("%q says nothing about a reading, allowed: home or clinic, left or right, sitting, standing or lying", word)
		}
	}
	if len(numbers) == 0 {
		return "", w.usage()
	}
	s, d, pulse, err := Pressure(strings.Join(numbers, ""))
	if err == nil && w.Time == "" {
		err = fmt.Errorf("the time of the reading is required, write: --time 07:30")
	}
	if err != nil {
		return "", err
	}
	out := fmt.Sprintf("reading: {systolic: %d, diastolic: %d", s, d)
	if pulse > 0 {
		out += fmt.Sprintf(", pulse: %d", pulse)
	}
	for _, k := range []string{"setting", "arm", "posture"} {
		if said[k] != "" {
			out += ", " + k + ": " + said[k]
		}
	}
	return out + "}", nil
}

// grip takes the unit from the gauge; kg is asked back, for a gauge that prints kg shows kilograms-force.
func (w *writer) grip() (string, error) {
	if len(w.Words) < 2 {
		return "", w.usage()
	}
	var trials []string
	typed := strings.ToLower(w.Options["unit"])
	for _, word := range w.Words[1:] {
		x, u, err := Force(word)
		if err != nil {
			return "", err
		}
		if u != "" && typed != "" && !strings.EqualFold(u, typed) {
			return "", fmt.Errorf("the trials have two units, %s and %s, allowed: one", typed, u)
		}
		typed = cmp.Or(strings.ToLower(u), typed)
		trials = append(trials, x.String())
	}
	gauge, err := w.gauge()
	if err != nil {
		return "", err
	}
	unit, err := w.unit(gauge, typed)
	if err != nil {
		return "", err
	}
	return fmt.Sprintf("grip: {hand: %s, unit: %s, trials: [%s], score: %s, with: %s}", plain(w.Words[0]), unit, strings.Join(trials, ", "), plain(cmp.Or(w.Options["score"], "best")), plain(gauge.ID)), nil
}

// gauge is the one that was named, or the only one there is.
func (w *writer) gauge() (record.Gauge, error) {
	var ids []string
	for _, g := range w.known.Gauges {
		if g.ID == w.Options["with"] || w.Options["with"] == "" && len(w.known.Gauges) == 1 {
			return g, nil
		}
		ids = append(ids, g.ID)
	}
	switch named := w.Options["with"]; {
	case named == "":
		return record.Gauge{}, fmt.Errorf("which gauge showed it is required, write: --with GAUGE; known: %s", cmp.Or(strings.Join(ids, ", "), "none"))
	case len(ids) > 0:
		return record.Gauge{}, fmt.Errorf("%q is no gauge of this client%s; known: %s; enter a new one with: device grip ID UNIT STEP", named, near.Hint(named, ids), strings.Join(ids, ", "))
	}
	return record.Gauge{ID: w.Options["with"]}, nil // the record cannot be read, or has none
}

// unit is what the gauge shows.
func (w *writer) unit(g record.Gauge, typed string) (string, error) {
	shows := string(g.Unit)
	switch {
	case typed == "kg" && shows != "" && shows != "kgf":
		return "", fmt.Errorf("kg was typed, and %s shows %s; write what the gauge shows, or correct the gauge", g.ID, shows)
	case typed == "kg" && !w.Sure:
		return "", Question{fmt.Sprintf("kg on a gauge is kilograms-force, kgf; did %s show these numbers as kg?", g.ID)}
	case typed == "kg":
		return "kgf", nil
	case shows != "" && typed != "" && !strings.EqualFold(typed, shows):
		return "", fmt.Errorf("%s was typed, and %s shows %s; write what the gauge shows", typed, g.ID, shows)
	case shows != "":
		return shows, nil
	case typed == "":
		return "", fmt.Errorf("which unit the gauge shows is required, write: --unit kgf, lbf or N")
	case typed == "n":
		return "N", nil
	}
	return plain(typed), nil
}

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

func (w *writer) walking() (string, error) {
	if len(w.Words) != 1 {
		return "", w.usage()
	}
	d, err := Number(w.Words[0])
	return fmt.Sprintf("walking: {minutesPerWeek: %s}", d), err
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
