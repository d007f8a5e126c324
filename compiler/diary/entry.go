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
	Options              map[string]string // by the names of Options
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
}

// options are what may stand behind an entry of each kind, beside date, time, note and by.
var options = map[record.Happening][]string{
	record.GripIs: {"with", "unit", "score"}, record.HasDevice: {"instead"}, record.Cleared: {"signed", "role", "until"}, record.Limited: {"signed"}, record.Moved: {"emergency"},
	record.Paused: {"until"}, record.CourseIs: {"start", "add", "replaces"}, record.Told: {"entries"}, record.Understood: {"row"},
}

// Options are the names of all options.
var Options = []string{"with", "unit", "score", "instead", "signed", "role", "until", "emergency", "start", "add", "replaces", "entries", "row"}

// Line is the entry as one line of a diary. What does not fit is an error in words; a Question where a person can say what was meant.
func Line(t Typed, k Known) (string, error) {
	what := record.Happening(t.What)
	if !slices.Contains(record.Happenings, what) {
		var all []string
		for _, h := range record.Happenings {
			all = append(all, string(h))
		}
		return "", fmt.Errorf("%q is nothing that can be entered%s; allowed: %s", t.What, near.Hint(t.What, all), strings.Join(all, ", "))
	}
	for _, o := range Options {
		if t.Options[o] != "" && !slices.Contains(options[what], o) {
			return "", fmt.Errorf("--%s does not belong to %s, allowed there: %s", o, what, flags(what))
		}
	}
	w := &writer{Typed: t, known: k, date: k.Today}
	if t.Date != "" {
		d, err := Day(t.Date, k.Today, what.Ahead())
		if err != nil {
			return "", fmt.Errorf("--date: %w", err)
		}
		if w.date = d; LongAgo(d, k.Today) && !t.Sure {
			return "", Question{fmt.Sprintf("%s is over a year from today, %s; is the year right?", d, k.Today)}
		}
	}
	clock := ""
	switch {
	case t.Time == "now":
		clock = k.Now.String()
	case t.Time != "":
		c, err := Clock(t.Time)
		if err != nil {
			return "", fmt.Errorf("--time: %w", err)
		}
		clock = c.String()
	}
	said, err := w.entry(what)
	if err != nil {
		return "", err
	}
	line := fmt.Sprintf("- {id: %s, date: %s, by: %s", plain(t.ID), w.date, quote(t.By))
	if clock != "" && what != record.DidTrain { // that has its time inside
		line += ", time: " + quote(clock)
	}
	line += ", " + said
	if t.Note != "" {
		line += ", note: " + quote(t.Note)
	}
	return line + "}", nil
}

func flags(what record.Happening) string {
	out := "--date, --time, --note"
	for _, o := range options[what] {
		out += ", --" + o
	}
	return out
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

// Kinds are what can be entered and how it is typed, in the order of the schema.
var Kinds = []struct {
	What  record.Happening
	Words string // as a user types them
}{
	{record.Ill, "ill WORDS"}, {record.Well, "well"}, {record.Felt, "symptom WORDS"}, {record.Asked, "asked no [QUESTION=yes ...]"},
	{record.Read, "reading 138/84/70 --time 07:30 [home|clinic] [left|right] [sitting|standing|lying]"}, {record.GripIs, "grip left|right TRIAL... [--with GAUGE] [--unit kgf] [--score best|mean]"},
	{record.MouthIs, "inspiratory TRIAL... cmH2O|kPa|mmHg static|dynamic"}, {record.SquatIs, "squat KNEE/HEEL/RATE... volitional|last-stage|stop-sign"}, {record.WalkingIs, "walking MINUTES"},
	{record.HasDevice, "device grip ID UNIT STEP | inspiratory ID LABEL=CMH2O... | cuff ARM SIZE [validated]  [--instead ID]"},
	{record.HasMedicine, "medicine CLASS|NAME started|changed|stopped"}, {record.Begins, "condition CODE [left|right]"}, {record.Over, "over CODE [left|right]"},
	{record.Cleared, "clearance GATE MODALITY... --signed NAME --role ROLE --until DATE"}, {record.Limited, "limits 150/95 --signed NAME"}, {record.Moved, "moved ZONE --emergency NUMBER"},
	{record.HoursAre, "hours mon,wed 07:00-08:00 [...]"}, {record.ContactsAre, "contacts WHO NUMBER [...]"}, {record.Paused, "pause [FROM] [--until DATE]"}, {record.Resumed, "resume"},
	{record.Lighter, "lighter PROTOCOL"}, {record.CourseIs, "course PROTOCOL... --start DATE [--add|--replaces]"}, {record.Stop, "stop"},
	{record.DidTrain, "trained PROTOCOL [done|stopped|not-started] [--time 07:00]"}, {record.Taught, "taught MODALITY"}, {record.Told, "told client|prescriber|coach|emergency reached|not-reached [--entries ID,...]"},
	{record.Understood, "read ID FINDING | FINDING --row MOMENT"}, {record.Void, "void ID WHY"},
}
