package say

import (
	"fmt"
	"strings"

	"isocue.example/compiler/record"
)

// Session is what the entry of a session says beside its gate and its work.
type Session struct {
	Week, Cancelled, NothingToDo                      string
	MeasureFirst, MeasureNoLoad, YourLoad, YourRange  string
	SetTrainer, LastSetting                           string
	SlideDown, SlideHeels, SquatRate, SquatEffort     string
	Supervised, FirstSqueeze, Coach                   string
	BreatheLoaded, BreatheSqueezing, BreatheSquatting string
	SitAtEnd                                          string
}

// Place is where a session stands: whether it carries the gate, whether an earlier session of its sitting does, whether it
// ends its sitting, whether the coach is there, whether it is the first with its load.
type Place struct{ Gate, Shared, End, Supervised, First bool }

// Title is the title of a session or of an all-day entry with its standing.
func (l *Language) Title(title string, s record.Status) string {
	if s == record.Cancelled {
		return fmt.Sprintf(l.Session.Cancelled, title)
	}
	return title
}

// SessionLines is what a session's entry says, line by line, without its cautions. A cancelled session says only that: its old
// load must not be trained by mistake. Whoever must not train reads no load, so the gate comes first.
func (l *Language) SessionLines(p *record.Plan, k *record.Kind, status record.Status, at Place, call string) []string {
	t := l.Session
	if status == record.Cancelled {
		return []string{t.NothingToDo}
	}
	var out []string
	if at.Supervised {
		out = append(out, t.Supervised)
	}
	switch {
	case at.Gate:
		out = append(out, l.GateLines(p, call)...)
	case at.Shared:
		out = append(out, l.Gate.Shared)
	}
	if status == record.Provisional && k.NoNumber {
		return append(out, t.MeasureNoLoad)
	}
	out = append(append(out, l.Set(k, status)...), l.Work(k.Steps))
	if at.First {
		out = append(out, l.FirstSqueeze(p))
	}
	out = append(out, l.Breathing(k)...)
	if at.End {
		out = append(out, l.SitAtEnd(p))
	}
	return out
}

// FirstSqueeze says what to do where the first squeeze of a new load cannot be held.
func (l *Language) FirstSqueeze(p *record.Plan) string {
	coach := ""
	if p.Coach != "" {
		coach = fmt.Sprintf(l.Session.Coach, p.Coach)
	}
	return fmt.Sprintf(l.Session.FirstSqueeze, l.seconds(p.Sitting.FirstHoldSeconds), coach)
}

// SitAtEnd ends a sitting.
func (l *Language) SitAtEnd(p *record.Plan) string {
	return fmt.Sprintf(l.Session.SitAtEnd, l.seconds(p.Sitting.EndSeconds))
}

// Breathing says never to hold the breath, in the words of the work.
func (l *Language) Breathing(k *record.Kind) (out []string) {
	if k.Modality == record.Inspiratory {
		out = append(out, l.Session.BreatheLoaded)
	}
	if k.Modality == record.Strength {
		out = append(out, l.Companion.BreatheExercises)
	}
	squeeze, squat := Holds(k.Steps)
	if squeeze {
		out = append(out, l.Session.BreatheSqueezing)
	}
	if squat {
		out = append(out, l.Session.BreatheSquatting)
	}
	return out
}

// Set says what to set before the work; nothing where there is nothing to set.
func (l *Language) Set(k *record.Kind, status record.Status) []string {
	t, provisional := l.Session, status == record.Provisional
	switch {
	case k.Modality.Companion():
		return l.companion(k)
	case len(k.Loads) == 0 && provisional && k.Modality.Effort():
		return []string{t.MeasureNoLoad}
	case len(k.Loads) == 0:
		return nil
	case k.Modality == record.Inspiratory || k.Modality == record.WallSquat:
		return l.device(k.Modality, k.Loads[0], provisional)
	case provisional:
		return []string{fmt.Sprintf(t.MeasureFirst, l.Loads(k.Loads, false))}
	}
	return []string{fmt.Sprintf(t.YourLoad, l.Loads(k.Loads, true))}
}

// device says how to set a trainer or a squat.
func (l *Language) device(m record.Modality, d record.Dose, provisional bool) []string {
	t := l.Session
	switch {
	case m == record.Inspiratory && provisional:
		return []string{fmt.Sprintf(t.LastSetting, d.Label, l.Number(d.Set))}
	case m == record.Inspiratory:
		return []string{fmt.Sprintf(t.SetTrainer, d.Label, l.Number(d.Set))}
	case d.Unit == "effort":
		return []string{fmt.Sprintf(t.SquatEffort, l.Number(d.Set))}
	}
	out := []string{fmt.Sprintf(t.SlideDown, l.Number(d.Set))}
	if d.Heel.Sign() > 0 {
		out[0] = fmt.Sprintf(t.SlideHeels, l.Number(d.Heel), l.Number(d.Set))
	}
	if d.High.Sign() > 0 {
		out = append(out, fmt.Sprintf(t.SquatRate, l.Number(d.Low), l.Number(d.High)))
	}
	return out
}

// Loads lists the load of each hand, right first, as "right 12 kgf (10 to 14), left 10.5 kgf (9 to 12)".
func (l *Language) Loads(doses []record.Dose, ranges bool) string {
	var parts []string
	for _, right := range []bool{true, false} {
		for _, d := range doses {
			if (d.Hand == record.Right) != right {
				continue
			}
			part := fmt.Sprintf("%s %s %s", l.HandName(d.Hand), l.Number(d.Set), d.Unit)
			if ranges && d.Low.Less(d.High) {
				part += fmt.Sprintf(l.Session.YourRange, l.Number(d.Low), l.Number(d.High))
			}
			parts = append(parts, part)
		}
	}
	return strings.Join(parts, ", ")
}
