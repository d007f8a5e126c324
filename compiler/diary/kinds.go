package diary

import (
	"isocue.example/compiler/record"
)

// Kind is a kind of entry: how a user types it, and what makes of the words what stands in an entry.
type Kind struct {
	What    record.Happening
	Words   string   // as a user types them
	options []string // what may stand behind it, beside everywhere
	write   func(*writer) (string, error)
}

// everywhere are the options of every entry; who enters it is no part of what is entered.
var everywhere = []string{"date", "time", "note"}

// Kinds are what can be entered, in the order of the schema.
var Kinds = []Kind{
	{record.Ill, "ill WORDS", nil, (*writer).said},
	{record.Well, "well", nil, (*writer).alone},
	{record.Felt, "symptom WORDS", nil, (*writer).said},
	{record.Asked, "asked no [QUESTION=yes ...]", nil, (*writer).asked},
	{record.Read, "reading 138/84/70 --time 07:30 [home|clinic] [left|right] [sitting|standing|lying]", nil, (*writer).reading},
	{record.GripIs, "grip left|right TRIAL... [--with GAUGE] [--unit kgf] [--score best|mean]", []string{"with", "unit", "score"}, (*writer).grip},
	{record.MouthIs, "inspiratory TRIAL... cmH2O|kPa|mmHg static|dynamic", nil, (*writer).inspiratory},
	{record.SquatIs, "squat KNEE/HEEL/RATE... volitional|last-stage|stop-sign", nil, (*writer).squat},
	{record.WalkingIs, "walking MINUTES", nil, (*writer).walking},
	{record.HasDevice, "device grip ID UNIT STEP | inspiratory ID LABEL=CMH2O... | cuff ARM SIZE [validated]  [--instead ID]", []string{"instead"}, (*writer).device},
	{record.HasMedicine, "medicine CLASS|NAME started|changed|stopped", nil, (*writer).medicine},
	{record.Begins, "condition CODE [left|right]", nil, (*writer).condition},
	{record.Over, "over CODE [left|right]", nil, (*writer).condition},
	{record.Cleared, "clearance GATE MODALITY... --signed NAME --role ROLE --until DATE", []string{"signed", "role", "until"}, (*writer).clearance},
	{record.Limited, "limits 150/95 --signed NAME", []string{"signed"}, (*writer).limits},
	{record.Moved, "moved ZONE --emergency NUMBER", []string{"emergency"}, (*writer).moved},
	{record.HoursAre, "hours mon,wed 07:00-08:00 [...]", nil, (*writer).hours},
	{record.ContactsAre, "contacts WHO NUMBER [...]", nil, (*writer).contacts},
	{record.Paused, "pause [FROM] [--until DATE]", []string{"until"}, (*writer).pause},
	{record.Resumed, "resume", nil, (*writer).alone},
	{record.Lighter, "lighter PROTOCOL", nil, (*writer).lighter},
	{record.CourseIs, "course PROTOCOL... --start DATE [--add|--replaces]", []string{"start", "add", "replaces"}, (*writer).course},
	{record.Stop, "stop", nil, (*writer).alone},
	{record.DidTrain, "trained PROTOCOL [done|stopped|not-started] [--time 07:00]", nil, (*writer).trained},
	{record.Taught, "taught MODALITY", nil, (*writer).taught},
	{record.Told, "told client|prescriber|coach|emergency reached|not-reached [--entries ID,...]", []string{"entries"}, (*writer).told},
	{record.Understood, "read ID FINDING | FINDING --row MOMENT", []string{"row"}, (*writer).read},
	{record.Void, "void ID WHY", nil, (*writer).void},
}
