package say

import (
	"fmt"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// Page is what the session page says beside what calendar and sheet say too. Its script reads the fields by their names. A
// hole in braces is filled by the script.
type Page struct {
	Title, SheetOf, Newest, NotNow                               string
	Today, NoneToday, Next, NoNext, Over, Locked                 string
	Start, Begin, GoOn, Wait, LetGo, ComeUp, Back, Stop          string
	SatAlready, Close, Save, Saved, SaveFile, LogTitle, LogEmpty string
	LogKept, LogLost, LogText, Erase, EraseSure                  string
	SoundOn, VibrationOn, ScreenOn, ScreenOff                    string
	SignsTitle, SignsAsk, SignsYes, SignsNo                      string
	ChangedTitle, ChangedAsk, Yes, No                            string
	SitTitle, SitSay                                             string
	ReadTitle, ReadSay, ReadAgain, Reading                       string
	Upper, Lower, Pulse, LightHeaded, Uneven                     string
	BadUpper, BadLower, BadPulse, BadChoice, BadOrder            string
	AgainTitle, AgainSay                                         string
	StopTitle, StopEmergency, StopMaternity, StopClinic          string
	StopMaternityAt, StopClinicAt                                string // where the number is known
	StopCoach, StopEffort, StopChanged, StopSigns                string
	NoNumbers, BreatheOnly, CallNow, CallCoach, WhichSign        string
	SetTitle, Timetable, Of, Left, Then, LastLine                string
	Squeeze, SqueezeBoth, Squat, ChangeHand, Relax               string
	BreatheIn, Pause, BreatheOut, Breathe, Sit, Breath           string
	EndTitle, EndAsk, Completed, Stopped, NotStarted             string
	SymptomsAsk, SymptomsOther, SymptomsNone, FirstStop          string
	TellCoach, SecondsLong, MinutesLong, Ready                   string
	SoundTitle, NoScript, WhenToStop, Waiting                    string
	EndedEarly, DoneAlready, OpenRun, Hand                       string
	OtherSigns, Degrees, ClockBack, ClockRight, BadApart         string
	Symptoms                                                     map[string]string // by id
}

// StepLabel is a step in a drawing: right 2 min.
func (l *Language) StepLabel(s record.Step) string {
	p := l.Page
	long := l.Short(s.Seconds)
	switch s.Kind {
	case record.Squeeze:
		if s.Hand == record.Both {
			return p.Squeeze + " " + long
		}
		return l.HandName(s.Hand) + " " + long
	case record.Squat:
		return p.Squat + " " + long
	case record.Breathe:
		return p.Breathe + " " + long
	case record.Walk:
		return l.Companion.RowWalk + " " + long
	}
	return long
}

// Short is a span in few signs: 3 min 50 s.
func (l *Language) Short(t unit.Tenths) string {
	m, s := int(t/600), t%600
	switch {
	case m == 0:
		return fmt.Sprintf(l.Sheet.SecondShort, l.Tenths(s))
	case s == 0:
		return fmt.Sprintf(l.Sheet.MinuteShort, m)
	}
	return fmt.Sprintf(l.Sheet.MinuteShort, m) + " " + fmt.Sprintf(l.Sheet.SecondShort, l.Tenths(s))
}

// InWeeks is a run of weeks with its noun: week 1, weeks 2 to 8.
func (l *Language) InWeeks(from, to int) string {
	if from == to {
		return fmt.Sprintf(l.Sheet.OneWeek, from)
	}
	return fmt.Sprintf(l.Sheet.ManyWeeks, l.Weeks(from, to))
}

// GoOn says that the rounds go on as they began.
func (l *Language) GoOn(w Even) string {
	noun := l.Words.Squeeze
	switch w.Step.Kind {
	case record.Squat:
		noun = l.Words.Squat
	case record.Breathe:
		noun = l.Words.Set
	}
	return fmt.Sprintf(l.Sheet.GoOn, l.Count(w.N, noun))
}

// PictureOf names the drawing of a session.
func (l *Language) PictureOf(title string, work unit.Tenths) string {
	return fmt.Sprintf(l.Sheet.PictureOf, title, l.Span(work))
}
