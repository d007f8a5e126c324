package record

import "isocue.example/compiler/unit"

// Happening is the key of a diary's entry that says what happened.
type Happening string

const (
	Ill         Happening = "ill"
	Well        Happening = "well"
	Felt        Happening = "symptom"
	Asked       Happening = "asked"
	Read        Happening = "reading"
	GripIs      Happening = "grip"
	MouthIs     Happening = "inspiratory"
	SquatIs     Happening = "squat"
	WalkingIs   Happening = "walking"
	HasDevice   Happening = "device"
	HasMedicine Happening = "medicine"
	Begins      Happening = "condition"
	Over        Happening = "over"
	Cleared     Happening = "clearance"
	Limited     Happening = "limits"
	Moved       Happening = "moved"
	HoursAre    Happening = "hours"
	ContactsAre Happening = "contacts"
	Paused      Happening = "pause"
	Resumed     Happening = "resume"
	Lighter     Happening = "lighter"
	CourseIs    Happening = "course"
	Stop        Happening = "stop"
	DidTrain    Happening = "trained"
	Taught      Happening = "taught"
	Told        Happening = "told"
	Understood  Happening = "read"
	Void        Happening = "void"
	Unread      Happening = "unread" // nobody writes it: words of a line that is refused
)

// Happenings lists all, in the order of the schema.
var Happenings = []Happening{Ill, Well, Felt, Asked, Read, GripIs, MouthIs, SquatIs, WalkingIs, HasDevice, HasMedicine, Begins, Over, Cleared, Limited, Moved,
	HoursAre, ContactsAre, Paused, Resumed, Lighter, CourseIs, Stop, DidTrain, Taught, Told, Understood, Void}

// Ahead says whether such an entry may be dated after today.
func (h Happening) Ahead() bool {
	switch h {
	case Moved, HoursAre, Paused, CourseIs, Stop:
		return true
	}
	return false
}

// Entry is one entry of a diary. Of the fields behind Note the one is set that What names; Well, Resumed and Stop have none.
type Entry struct {
	ID    string // as written, else a digest of what the entry says
	Named bool   // the id was written
	// Digest is that of all the entry says, whatever the order of its fields: two lines that say the same are one entry.
	Digest string
	Gone   bool // it stands in the diary no more, and a plan remembers it
	What   Happening
	Date   unit.Date
	Time   *unit.Clock // nil where the entry has none
	By     string
	Note   string

	Words       string            // of Ill and Felt
	Answers     *Screening        // of Asked
	Reading     *LogReading       // of Read
	Grip        *GripTest         // of GripIs
	Inspiratory *InspiratoryTest  // of MouthIs
	Squat       *SquatTest        // of SquatIs
	Walking     *WalkingLevel     // of WalkingIs
	Device      *Device           // of HasDevice
	Medicine    *MedicineChange   // of HasMedicine
	Condition   *Condition        // of Begins and Over: code and side
	Clearance   *Clearance        // of Cleared
	Limits      *Limits           // of Limited
	Move        *Move             // of Moved
	Hours       []Hours           // of HoursAre
	Contacts    map[string]string // of ContactsAre, by their names in the record; who is not named stays
	Pause       *Span             // of Paused; To is 0 where it has no end
	Protocol    string            // of Lighter
	Course      *NewCourse        // of CourseIs
	Trained     *TrainedNote      // of DidTrain
	Modality    Modality          // of Taught
	Told        *ToldNote         // of Told
	Understood  *ReadNote         // of Understood
	Void        *VoidNote         // of Void

	File string
	Line int
	// Text is the entry as it is written, from which the places of its values are read when somebody asks for them: few entries of a
	// large diary are told of, and their places take far more memory than what they say.
	Text string
}

// Screening is questions asked, and their answers.
type Screening struct {
	Set     int
	Answers map[string]string // question id -> "yes" | "no" | "unanswered"
}

// Device is what the client has at home from a day on: exactly one of the three, and the id of the one whose place it takes.
type Device struct {
	Gauge   *Gauge
	Trainer *Trainer
	Cuff    *Cuff
	Instead string
}

// Cuff is a pressure cuff.
type Cuff struct {
	Arm       Hand
	Size      string
	Validated bool
}

// MedicineChange is a medicine by class and, where two of a class have to be told apart, name.
type MedicineChange struct{ Class, Name, Change string }

// Limits are the prescriber's own pressure limits, mmHg; 0 where there is none.
type Limits struct{ Systolic, Diastolic int }

// Move is where the client lives from a day on.
type Move struct{ Zone, Emergency string }

// NewCourse is a course that begins. A protocol is the id of a standard one or a path from the clinic's folder.
type NewCourse struct {
	Protocols     []string
	Start         unit.Date
	Add, Replaces bool
}

// TrainedNote is a session that was noted on paper. Time is when it was to begin, nil where that was not noted.
type TrainedNote struct {
	Protocol string
	Time     *unit.Clock
	Outcome  Outcome
}

// ToldNote is that somebody was rung, about which entries: none is all that are earlier.
type ToldNote struct {
	Who     string
	About   []string
	Reached bool
}

// ReadNote is what a coach says of words that nobody knew: those of an entry, or of the row of a log at a moment.
type ReadNote struct {
	Entry   string
	Row     unit.Local
	Finding string // the id of a symptom, or nothing
}

// VoidNote takes an entry back.
type VoidNote struct{ Entry, Why string }

// Names are the ids of the entries that an entry is about.
func (e *Entry) Names() []string {
	switch {
	case e.Void != nil:
		return []string{e.Void.Entry}
	case e.Told != nil:
		return e.Told.About
	case e.Understood != nil && e.Understood.Entry != "":
		return []string{e.Understood.Entry}
	}
	return nil
}
