package diary

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"isocue.example/compiler/near"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// writer makes of words what stands in an entry.
type writer struct {
	Typed
	known Known
	date  unit.Date
}

// usage is the error about words that do not fit.
func (w *writer) usage() error {
	i := slices.IndexFunc(Kinds, func(k struct {
		What  record.Happening
		Words string
	}) bool {
		return string(k.What) == w.What
	})
	return fmt.Errorf("%s was given %d words; write: %s", w.What, len(w.Words), Kinds[i].Words)
}

// all are the words as one text; at least one is wanted.
func (w *writer) all() (string, error) {
	s := strings.Join(strings.Fields(strings.Join(w.Words, " ")), " ")
	if s == "" {
		return "", w.usage()
	}
	return s, nil
}

// entry is the key and what stands behind it.
func (w *writer) entry(what record.Happening) (string, error) {
	switch what {
	case record.Ill, record.Felt:
		s, err := w.all()
		return string(what) + ": " + quote(s), err
	case record.Well, record.Resumed, record.Stop:
		if len(w.Words) > 0 {
			return "", fmt.Errorf("%s stands alone, and was given %q; put other words behind --note", what, strings.Join(w.Words, " "))
		}
		return string(what) + ": true", nil
	case record.Asked:
		return w.asked()
	case record.Read:
		return w.reading()
	case record.GripIs:
		return w.grip()
	case record.MouthIs:
		return w.inspiratory()
	case record.SquatIs:
		return w.squat()
	case record.HasDevice:
		return w.device()
	case record.HasMedicine:
		return w.medicine()
	case record.Begins, record.Over:
		if n := len(w.Words); n < 1 || n > 2 {
			return "", w.usage()
		}
		side := ""
		if len(w.Words) == 2 {
			side = ", side: " + plain(w.Words[1])
		}
		return fmt.Sprintf("%s: {code: %s%s}", what, plain(w.Words[0]), side), nil
	case record.Cleared:
		return w.clearance()
	case record.HoursAre:
		return w.hours()
	case record.ContactsAre:
		return w.contacts()
	case record.Paused:
		return w.pause()
	case record.CourseIs:
		return w.course()
	case record.DidTrain:
		return w.trained()
	case record.Told:
		return w.told()
	case record.Understood:
		return w.read()
	}
	return w.short(what)
}

// short are the kinds of a word or two.
func (w *writer) short(what record.Happening) (string, error) {
	n := len(w.Words)
	switch {
	case what == record.Void && n >= 2:
		return fmt.Sprintf("void: {entry: %s, why: %s}", plain(w.Words[0]), quote(strings.Join(w.Words[1:], " "))), nil
	case n != 1:
		return "", w.usage()
	}
	one := w.Words[0]
	switch what {
	case record.WalkingIs:
		d, err := Number(one)
		return fmt.Sprintf("walking: {minutesPerWeek: %s}", d), err
	case record.Limited:
		s, d, _, err := Pressure(one)
		return fmt.Sprintf("limits: {systolic: %d, diastolic: %d, by: %s, date: %s}", s, d, quote(w.Options["signed"]), w.date), err
	case record.Moved:
		return fmt.Sprintf("moved: {zone: %s, emergency: %s}", quote(one), quote(w.Options["emergency"])), nil
	case record.Lighter:
		return fmt.Sprintf("lighter: {protocol: %s}", plain(one)), nil
	case record.Taught:
		return fmt.Sprintf("taught: {modality: %s}", plain(one)), nil
	}
	return "", w.usage()
}

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

// words that say where, on which arm and how a reading was taken.
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
