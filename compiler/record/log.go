package record

import (
	"strconv"
	"strings"

	"isocue.example/compiler/unit"
)

// LogReading is one reading of a pressure log, mmHg and beats a minute. Systolic 0 is a row whose numbers could not be used
// and that tells of something all the same.
type LogReading struct {
	At                  unit.Local
	Systolic, Diastolic int
	Pulse               int    // 0 where it was not taken
	Arm                 Hand   // "" where it was not noted
	Cuff                string // which cuff, "" where it was not noted
	Standing            bool   // a reading on standing up never enters a mean
	Clinic              bool   // taken in the clinic: it never enters a home mean
	// Note and Symptoms are what somebody wrote; Symptoms is a column of its own, so that words in it that nobody knows count.
	Note, Symptoms string
	FromRecord     bool // the client record has it, not the log
	Noted          bool // the diary has it: it was acted on by itself, the day it was entered
	File           string
	Line, Column   int
}

// Outcome is how a session ended.
type Outcome string

const (
	Completed  Outcome = "completed"
	Stopped    Outcome = "stopped"
	NotStarted Outcome = "not-started"
)

// Outcomes lists all, for the docs.
var Outcomes = []Outcome{Completed, Stopped, NotStarted}

// SessionRow is one row of a session log: one session, or one squeeze of it that was let go early.
type SessionRow struct {
	At                  unit.Local
	UID                 string
	Outcome             Outcome
	Hand                Hand
	HeldSeconds         unit.Dec // how long a squeeze was held; 0 where the row is not about one
	Systolic, Diastolic int      // the mean of the gate's readings, 0 where none was taken
	Symptoms            string
	Note                string // what stands in its other cells in words
	Told                string // who was told of an incident
	File                string
	Line                int
}

// RowProblem is a row of a log that could not be used, or that was used in another way than it was written.
type RowProblem struct {
	File    string `json:"file"`
	Line    int    `json:"line"`
	Problem string `json:"problem"`
	Kept    bool   `json:"kept,omitempty"` // it was used all the same
	Repeat  bool   `json:"-"`              // another row says the same, so nothing is lost
	Held    `json:"-"`
	At      unit.Local `json:"-"` // its moment, 0 where that could not be read
}

// Held is what stands in a row of a log and could not be read as a reading: mmHg and beats a minute, 0 where there is none.
type Held struct {
	Largest   int  // the largest number that could be a pressure
	Diastolic int  // the largest that stands where a diastolic pressure does
	Pulse     int  // the largest that stands where a pulse does
	Unknown   bool // something stands where a number belongs, and nobody can tell which number it is
}

// Join takes over what another place of the same row holds.
func (h *Held) Join(o Held) {
	h.Largest, h.Diastolic, h.Pulse = max(h.Largest, o.Largest), max(h.Diastolic, o.Diastolic), max(h.Pulse, o.Pulse)
	h.Unknown = h.Unknown || o.Unknown
}

// Reaches says whether what a row holds could be a number at or over the gate.
func (h Held) Reaches(g Gate) bool {
	over := func(n int, line unit.Dec) bool { return n > 0 && !unit.Int(int64(n)).Less(line) }
	return h.Unknown || over(h.Largest, g.Systolic) || over(h.Diastolic, g.Diastolic) || h.Pulse > 0 && g.PulseClinic.Less(unit.Int(int64(h.Pulse)))
}

// Column is one column of a log, how it was understood, and its heading; a heading is kept only where it is one of ours.
type Column struct {
	Number  int    `json:"number"`
	Heading string `json:"heading,omitempty"`
	Means   string `json:"means,omitempty"` // "" for a column that is not read
}

// NotRead are the numbers of the columns that are not read, as a line says them; "" where each is.
func (l *Log) NotRead() string {
	var unread []string
	for _, c := range l.Columns {
		if c.Means == "" {
			unread = append(unread, strconv.Itoa(c.Number))
		}
	}
	return strings.Join(unread, ", ")
}

// Log is what was read of one log file.
type Log struct {
	File     string
	Columns  []Column
	Said     []string // what was understood that a person should know, such as a decimal comma
	Rows     int      // rows of data
	Read     int      // rows of which something was read as it was meant
	Readings []LogReading
	Sessions []SessionRow
	Problems []RowProblem
}

// Comparison is how two windows of home readings are compared; schema/base/comparison.cue says what each figure rests on. The
// least numbers of days and readings, the least fall that counts and the least share of sessions are limits of rules.
type Comparison struct {
	Weeks, MostWeeks                      int
	SystolicVariation, DiastolicVariation unit.Dec // coefficients of variation of one person's weekly means
	Quantile, Coverage                    unit.Dec
	AssumedMean, Remains                  unit.Dec // mmHg, share
	RemainsMonths                         int
	MorningEnds                           unit.Clock
	MorningShare                          unit.Dec
	RecentDays, AfterHours                int
	Lowest, Highest                       int // mmHg
	LowestPulse, HighestPulse             int // beats a minute

	LeastDays, LeastReadings int      // a week
	LeastFall                unit.Dec // mmHg
	LeastSessions            unit.Dec // share
	SettleDays               int      // from a change of medicine to a window that compares
	KeepFirstDay             bool     // the clinic's policy counts all days
}

// Symptom is one that a log may tell of.
type Symptom struct {
	ID    string
	Words []string // lower case, as they are written in English
	// English and German are entries in the notation that schema/base/symptoms.cue tells of.
	English, German []string
	Milder          []string // ids of symptoms that its words do not name beside it
	// Grave is a danger sign, Low a sign of low pressure; Incident is shown to the lead coach where it comes with a session.
	Grave, Low, Incident, Injury bool
	// Unnamed is what somebody tells in words alone; no list offers it. Matter is something to hear of that is no symptom.
	Unnamed, Matter bool
	// Today is who hears of it today, "coach" or "prescriber"; "" where it waits until this week, or is graver. Closes is what it closes
	// then; nil for everything.
	Today  string
	Closes []Modality
}

// LogWords are words of a log that are no symptoms, in the same notation: what takes back, over what it reaches, what begins a
// clause, what says that all is well or that something is not, what says nothing, what takes a denial back, and what denies alone.
// Idioms hold words that mean no symptom, Everyday is what people write of their day. Others are somebody else, or a story, up to whose
// symptoms Links lead; what is Past is over.
type LogWords struct {
	Negations, Near, Over, Or, Turns, Well, Ill, Small []string
	Returns, Until, Away, Yes, None                    []string
	Idioms, Everyday, Others, Links, Past              []string
	Unknown                                            []Modality // what words that nobody knows close, beside what they arose in
}

// TextWords are words of titles and notes, in the same notation with what schema/base/texts.cue tells of: classes of words by name, what
// a text may say that it must not, what takes back, of that what does so behind the words too, what goes on behind a comma, what lists, and what makes a question none.
type TextWords struct {
	Classes                             map[string][]string
	Says                                []TextSays
	Negations, After, Carries, Or, Whys []string
}

// TextSays is one thing that a text must not say: the fact that it is, its entries, and what takes it back anywhere in the sentence.
type TextSays struct {
	Fact            string
	Entries, Unless []string
}
