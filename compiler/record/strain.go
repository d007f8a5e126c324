package record

import "isocue.example/compiler/unit"

// Strain is a step of strain: what training asks of the body.
type Strain string

const (
	Squatting    Strain = "squat"
	Squeezing    Strain = "squeeze"
	LoadedBreath Strain = "loaded-breath"
	Exertion     Strain = "effort"
	LightWalk    Strain = "light-walk"
	SlowBreath   Strain = "slow-breath"
)

// Strains lists all, the hardest first.
var Strains = []Strain{Squatting, Squeezing, LoadedBreath, Exertion, LightWalk, SlowBreath}

// Strain is the step of a modality; light says whether its walks are light.
func (m Modality) Strain(light bool) Strain {
	switch m {
	case WallSquat:
		return Squatting
	case Handgrip:
		return Squeezing
	case Inspiratory:
		return LoadedBreath
	case SlowBreathing:
		return SlowBreath
	case Walking:
		if light {
			return LightWalk
		}
	}
	return Exertion
}

// Light says whether a step is a light one, which no line for effort closes.
func (s Strain) Light() bool { return s == LightWalk || s == SlowBreath }

// Light is when a walk is light.
type Light struct {
	Above, LevelDays, Unknown, Rise int // minutes a day, days, minutes a day, minutes a day
}

// Walks says whether all walks of some protocols are light for a client whose course begins on a day. Minutes of protocols that are
// trained together add up, and so do their steps.
func (l Light) Walks(c *Client, ps []*Protocol, start unit.Date) bool {
	var first, rise unit.Dec
	walks := false
	for _, p := range ps {
		if p.Modality != Walking {
			continue
		}
		walks = true
		var most unit.Dec
		for i := range p.Stages {
			day := p.Stages[i].DayMinutes()
			if i == 0 {
				first = first.Add(day)
			} else if step := day.Sub(p.Stages[i-1].DayMinutes()); most.Less(step) {
				most = step
			}
		}
		rise = rise.Add(most)
	}
	if !walks || unit.Int(int64(l.Rise)).Less(rise) {
		return false
	}
	level := c.WalkedOn(start)
	if level == nil || int(start-level.Date) > l.LevelDays {
		return !unit.Int(int64(l.Unknown)).Less(first)
	}
	return !unit.Ratio(int64(level.Minutes), 7).Add(unit.Int(int64(l.Above))).Less(first)
}

// DayMinutes is the minutes of a day of walks.
func (s *Stage) DayMinutes() unit.Dec { return s.Minutes.Mul(unit.Int(int64(s.PerDay))) }
