package diary

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"isocue.example/compiler/near"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// Typed is an entry as somebody typed it: what happened, the words behind it, and the options.
type Typed struct {
	What                 string
	Words                []string
	Date, Time, By, Note string
	Options              map[string]string // by their names, such as with and until
	ID                   string
	Sure                 bool // questions back are answered with yes
}

// Known is what words may refer to.
type Known struct {
	Today       unit.Date
	Now         unit.Clock
	Gauges      []record.Gauge
	Medicines   map[string]string // generic name -> class
	Classes     []string
	Symptoms    []string // the symptom questions
	QuestionSet int
	Trains      []string // what the client trains, by protocol and by modality; none where nobody knows
	// Opens says whether a clinician of a role may open a gate, and Openers who may.
	Opens   func(role, gate string) bool
	Openers func(gate string) []string
}

// Line is the entry as one line of a diary. What does not fit is an error in words; a Question where a person can say what was meant.
func Line(t Typed, k Known) (string, error) {
	var all []string
	var kind *Kind
	for i := range Kinds {
		if all = append(all, string(Kinds[i].What)); all[i] == t.What {
			kind = &Kinds[i]
		}
	}
	if kind == nil {
		return "", fmt.Errorf("%q is nothing that can be entered%s; allowed: %s", t.What, meant(t, k, all), strings.Join(all, ", "))
	}
	for _, x := range Kinds {
		for _, o := range x.options {
			if t.Options[o] != "" && !slices.Contains(kind.options, o) {
				return "", fmt.Errorf("--%s does not belong to %s, allowed there: --%s", o, t.What, strings.Join(slices.Concat(everywhere, kind.options), ", --"))
			}
		}
	}
	w := &writer{Typed: t, kind: kind, known: k, date: k.Today}
	if t.Date != "" {
		d, err := Day(t.Date, k.Today, kind.What.Ahead())
		if err != nil {
			return "", fmt.Errorf("--date: %w", err)
		}
		if w.date = d; LongAgo(d, k.Today) && !t.Sure {
			return "", Question{fmt.Sprintf("%s is over a year from today, %s; is the year right?", d, k.Today)}
		}
	}
	switch {
	case t.Time == "now", t.Time == "" && t.Date == "" && timed(kind.What):
		w.clock = k.Now.String()
	case t.Time != "":
		c, err := Clock(t.Time)
		if err != nil {
			return "", fmt.Errorf("--time: %w", err)
		}
		w.clock = c.String()
	}
	said, err := kind.write(w)
	if err != nil {
		return "", err
	}
	line := fmt.Sprintf("- {id: %s, date: %s, by: %s", plain(t.ID), w.date, quote(t.By))
	if w.clock != "" && kind.What != record.DidTrain { // that has its time inside
		line += ", time: " + quote(w.clock)
	}
	line += ", " + said
	if t.Note != "" {
		line += ", note: " + quote(t.Note)
	}
	return line + "}", nil
}

// meant guesses what somebody wanted to enter who left out its kind.
func meant(t Typed, k Known, kinds []string) string {
	typed := strings.Join(append([]string{t.What}, t.Words...), " ")
	_, _, _, err := Pressure(typed)
	medicine := strings.ToLower(t.What)
	kinds = slices.DeleteFunc(slices.Clone(kinds), func(kind string) bool { return kind[:1] != medicine[:min(1, len(medicine))] }) // fever is no slip for over
	switch hint := near.Hint(t.What, kinds); {
	case hint != "":
		return hint
	case err == nil:
		return fmt.Sprintf("; write: reading %s --time 07:30", typed)
	case k.Medicines[medicine] != "" || slices.Contains(k.Classes, medicine):
		return fmt.Sprintf("; write: medicine %s started, changed or stopped", t.What)
	}
	return fmt.Sprintf("; of an illness write: ill %s; of what was felt or seen: symptom %s", typed, typed)
}

// timed says whether what is entered on its day without a time of its own happened by now. What closes training is then known to be
// older than what is entered later on that day, and a telephone call to be about it.
func timed(h record.Happening) bool {
	return h == record.Told || Gravity(h) == 0
}

// plainWord is text that YAML takes for text without quotes, whoever reads it.
var plainWord = regexp.MustCompile(`^[a-z][a-z0-9]*(-[a-z0-9]+)*$`)

// plain writes a word; what some reader would take for a truth value or a number is in quotes.
func plain(s string) string {
	if plainWord.MatchString(s) && !slices.Contains([]string{"yes", "no", "on", "off", "true", "false", "null", "y", "n"}, s) {
		return s
	}
	return quote(s)
}

var escapes = strings.NewReplacer(`\`, `\\`, `"`, `\"`, "\n", `\n`, "\t", `\t`, "\r", `\r`)

// quote writes text in double quotes. Other control characters stay what they are, and are refused where the line is read.
func quote(s string) string { return `"` + escapes.Replace(s) + `"` }
