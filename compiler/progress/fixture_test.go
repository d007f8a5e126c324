package progress

import (
	"testing"

	"isocue.example/compiler/internal/testkit"
	"isocue.example/compiler/phrase"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// figures are those of schema/base/comparison.cue and of the rules that it names; compiler/followup_test.go holds the data to them.
var figures = record.Comparison{Weeks: 1, MostWeeks: 4, SystolicVariation: unit.MustDec("0.042"), DiastolicVariation: unit.MustDec("0.039"),
	Quantile: unit.MustDec("1.96"), Coverage: unit.MustDec("0.95"), AssumedMean: unit.Int(135), Remains: unit.MustDec("0.52"), RemainsMonths: 12,
	MorningEnds: 12 * 60, MorningShare: unit.MustDec("0.25"), RecentDays: 14, AfterHours: 24, Lowest: 20, Highest: 300, LowestPulse: 20, HighestPulse: 250,
	LeastDays: 4, LeastReadings: 12, LeastFall: unit.Int(5), LeastSessions: unit.MustDec("0.50"), SettleDays: 28}

var gate = record.Gate{Systolic: unit.Int(180), Diastolic: unit.Int(110), EffortSystolic: unit.Int(160), EffortDiastolic: unit.Int(100), LowSystolic: unit.Int(100),
	PulseCoach: unit.Int(100), PulseClinic: unit.Int(120)}

// input is a client without anything.
func input(t testing.TB, now string) Input {
	return Input{Client: &record.Client{ID: "x", Zone: "UTC"}, Figures: figures, Gate: gate, Lexicon: func() *phrase.Lexicon { return phrase.NewLexicon(testkit.Symptoms, testkit.LogWords) }, Weeks: 1, Now: testkit.Local(t, now),
		Open:    func(record.Modality, unit.Date) bool { return true },
		Sitting: record.Sitting{SameSitting: 30, WindowDays: 7, ReadingWaitMinutes: 30, HighDays: 3}}
}

// week is seven days of two readings in the morning and two in the evening, all with one value but the first day, which runs
// ten high.
func week(from unit.Date, systolic, diastolic int) (out []record.LogReading) {
	for d := range unit.Date(7) {
		more := 0
		if d == 0 {
			more = 10
		}
		for _, c := range []unit.Clock{7 * 60, 7*60 + 1, 20 * 60, 20*60 + 1} {
			out = append(out, record.LogReading{At: unit.At(from+d, c), Systolic: systolic + more, Diastolic: diastolic, Arm: record.Left, File: "log.csv", Line: len(out) + 2})
		}
	}
	return out
}

// plan is a course of three sessions a week from a start, Monday, Wednesday and Friday at seven.
func plan(start unit.Date, weeks int) *record.Plan {
	p := &record.Plan{Start: start, Kinds: map[string]record.Kind{"k": {Protocol: "p", Title: "Grip", Modality: record.Handgrip,
		Loads: []record.Dose{{Hand: record.Right, Set: unit.Int(12), Unit: "kgf"}, {Hand: record.Left, Set: unit.MustDec("10.5"), Unit: "kgf"}}}}}
	for w := range weeks {
		for i, d := range []int{0, 2, 4} {
			p.Sessions = append(p.Sessions, record.Session{UID: string(rune('a'+w)) + string(rune('0'+i)), Status: record.Confirmed, Protocol: "p", Kind: "k", Week: w + 1, Slot: i + 1,
				Start: unit.At(start+unit.Date(7*w+d), 7*60), Seconds: 1740})
		}
	}
	return p
}
