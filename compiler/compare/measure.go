package compare

import (
	"isocue.example/compiler/record"
	"isocue.example/compiler/session"
	"isocue.example/compiler/unit"
)

// Measure is one number of a dose on both sides. Key is its name for programs, Words and Unit are for people; A and B are nil
// where the number does not exist: the course is over, or the modality has no such thing.
type Measure struct {
	Key   string    `json:"measure"`
	Words string    `json:"words"`
	Unit  string    `json:"unit"`
	A     *unit.Dec `json:"a"`
	B     *unit.Dec `json:"b"`
}

// Same says whether both sides have the same number, or neither has one.
func (m Measure) Same() bool { return equal(m.A, m.B) }

func (m Measure) same(n Measure) bool { return m.Key == n.Key && equal(m.A, n.A) && equal(m.B, n.B) }

func equal(a, b *unit.Dec) bool {
	if a == nil || b == nil {
		return a == b
	}
	return a.Cmp(*b) == 0
}

// kinds lists every measure in the order of print.
var kinds = []Measure{
	{Key: "gripLoad", Words: "load", Unit: "share of maximal grip"},
	{Key: "inspiratoryLoad", Words: "load", Unit: "share of maximal inspiratory pressure"},
	{Key: "heartRate", Words: "load, by heart rate", Unit: "share of the test's peak"},
	{Key: "kneeDegrees", Words: "load, by knee angle", Unit: "degrees, 180 is straight"},
	{Key: "effort", Words: "load, by effort", Unit: "0 to 10"},
	{Key: "squeezesSession", Words: "squeezes a session", Unit: "count"},
	{Key: "squeezesOneHand", Words: "squeezes of one hand a session, at most", Unit: "count"},
	{Key: "squatsSession", Words: "squats a session", Unit: "count"},
	{Key: "holdSeconds", Words: "hold", Unit: "s"},
	{Key: "tensionSeconds", Words: "time under tension a session", Unit: "s"},
	{Key: "forceTimeSession", Words: "force-time a session", Unit: "share x s"},
	{Key: "forceTimeOneHand", Words: "force-time of one hand a session, at most", Unit: "share x s"},
	{Key: "forceTimeWeek", Words: "force-time a week", Unit: "share x s"},
	{Key: "breathsMinute", Words: "pace", Unit: "breaths a minute"},
	{Key: "breathsSession", Words: "breaths a session", Unit: "count"},
	{Key: "loadBreathsSession", Words: "load times breaths a session", Unit: "share x breaths"},
	{Key: "loadBreathsWeek", Words: "load times breaths a week", Unit: "share x breaths"},
	{Key: "exercises", Words: "exercises a session", Unit: "count"},
	{Key: "setsSession", Words: "sets a session", Unit: "count"},
	{Key: "repetitionsSet", Words: "repetitions a set", Unit: "count"},
	{Key: "minutesSession", Words: "work a session", Unit: "min"},
	{Key: "sessionsWeek", Words: "sessions a week", Unit: "count"},
	{Key: "minutesWeek", Words: "work a week", Unit: "min"},
	{Key: "weeks", Words: "weeks", Unit: "count"},
	{Key: "sessions", Words: "sessions", Unit: "count"},
	{Key: "minutes", Words: "work", Unit: "min"},
}

// numbers are the measures of one side by key; one that does not exist is missing.
type numbers map[string]unit.Dec

func (n numbers) count(key string, v int) { n[key] = unit.Int(int64(v)) }

// both sets two sides beside each other.
func both(a, b numbers) (out []Measure) {
	at := func(n numbers, key string) *unit.Dec {
		if d, ok := n[key]; ok {
			return &d
		}
		return nil
	}
	for _, m := range kinds {
		if m.A, m.B = at(a, m.Key), at(b, m.Key); m.A != nil || m.B != nil {
			out = append(out, m)
		}
	}
	return out
}

// stage is the dose of a week; nothing after the course.
func stage(p *record.Protocol, week int, sitting record.Sitting) numbers {
	n := numbers{}
	if week > p.Weeks {
		return n
	}
	s := p.StageAt(week)
	perWeek := s.DaysPerWeek * s.PerDay
	n.count("sessionsWeek", perWeek)
	if work, err := session.Length(p, s, sitting); err == nil { // a session without length is for the rules to refuse
		n["minutesSession"] = minutes(work)
		n["minutesWeek"] = minutes(work * unit.Tenths(perWeek))
	}
	switch p.Modality {
	case record.Handgrip, record.WallSquat:
		n.holds(p.Modality, s)
	case record.Walking:
	case record.Strength:
		n["effort"] = s.Squat.Effort
		n.count("exercises", len(s.Exercises))
		n.count("setsSession", s.Sets*len(s.Exercises))
		n.count("repetitionsSet", s.Repetitions)
	default:
		n.breaths(p.Modality, s, sitting)
	}
	return n
}

// holds are the measures of squeezes and squats. The force-time of a session counts its squeezes as the rules do: a round of
// both hands at once is one; that of one hand counts what the hand does.
func (n numbers) holds(m record.Modality, s *record.Stage) {
	n.count("holdSeconds", s.HoldSeconds)
	n.count("tensionSeconds", s.Rounds*s.HoldSeconds)
	if m == record.WallSquat {
		n.count("squatsSession", s.Rounds)
		for key, d := range map[string]unit.Dec{"heartRate": s.Squat.HeartRate, "effort": s.Squat.Effort, "kneeDegrees": unit.Int(int64(s.Squat.KneeDegrees))} {
			if !d.IsZero() {
				n[key] = d
			}
		}
		return
	}
	one := 0
	for _, k := range s.Squeezes(record.Right) { // whichever hand is the dominant one, the busier hand is as busy
		one = max(one, k)
	}
	n["gripLoad"] = s.Load
	n.count("squeezesSession", s.Rounds)
	n.count("squeezesOneHand", one)
	n["forceTimeSession"] = s.Load.Mul(unit.Int(int64(s.Rounds * s.HoldSeconds)))
	n["forceTimeOneHand"] = s.Load.Mul(unit.Int(int64(one * s.HoldSeconds)))
	n["forceTimeWeek"] = n["forceTimeSession"].Mul(n["sessionsWeek"])
}

// breaths are the measures of paced and of loaded breathing.
func (n numbers) breaths(m record.Modality, s *record.Stage, sitting record.Sitting) {
	cycle := s.Breath.Cycle()
	if cycle > 0 {
		n["breathsMinute"] = unit.Ratio(600, int64(cycle))
	} else {
		cycle = sitting.Breath
	}
	switch total, ok := unit.TenthsOf(s.Minutes.Mul(unit.Int(60))); {
	case s.Sets > 0 && s.Breaths > 0:
		n.count("breathsSession", s.Sets*s.Breaths)
	case ok && total > 0 && cycle > 0: // whole breaths, as a session has them
		n.count("breathsSession", int(total/cycle))
	}
	if m != record.Inspiratory {
		return
	}
	n["inspiratoryLoad"] = s.Load
	if breaths, ok := n["breathsSession"]; ok {
		n["loadBreathsSession"] = s.Load.Mul(breaths)
		n["loadBreathsWeek"] = n["loadBreathsSession"].Mul(n["sessionsWeek"])
	}
}

// course is the sums over all weeks. The work of a course in which some session has no length is not known.
func course(p *record.Protocol, sitting record.Sitting) numbers {
	n, sessions, work, known := numbers{}, unit.Dec{}, unit.Dec{}, true
	for w := 1; w <= p.Weeks; w++ {
		s := stage(p, w, sitting)
		mine, ok := s["minutesWeek"]
		sessions, work, known = sessions.Add(s["sessionsWeek"]), work.Add(mine), known && ok
	}
	n.count("weeks", p.Weeks)
	if n["sessions"] = sessions; known {
		n["minutes"] = work
	}
	return n
}
