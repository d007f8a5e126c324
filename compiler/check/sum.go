package check

import (
	"cmp"
	"slices"

	"isocue.example/compiler/record"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// span is how far a rule about a stage adds up: it is read from what the rule reads, so that a clinic's own rules are held to sums
// as well.
type span int

const (
	single  span = iota // it judges one value, such as the length of a squeeze, which does not add up
	sitting             // it reads an amount
	day                 // it reads the sessions of a day
	week                // it reads the days of a week
)

// adds is the facts that add up over protocols, and how far.
var adds = map[string]span{
	"rounds": sitting, "breathsPerSet": sitting, "breaths": sitting, "minutesPerSession": sitting, "exerciseCount": sitting, "exerciseTimes": sitting,
	"sessionsPerDay": day, "daysPerWeek": week,
}

func spanOf(r *rule.Rule) (s span) {
	for _, p := range r.Reads() {
		if p[0] == "previous" && len(p) > 1 {
			p = p[1:]
		}
		s = max(s, adds[p[0]])
	}
	return s
}

// summed is the facts of a sum, for the rules of one span.
type summed struct {
	span  span
	given rule.Given
}

// sums is the doses that some parts make, heaviest first. Where loads differ, the parts from each load on are a sum of their own: how
// much is trained at that load or more. Fields that do not add up are those of each part in turn. A squeeze's load stands as the mean
// over the time as well, for load times time adds up.
func (c *Checker) sums(parts, before []Part) (out []summed) {
	var levels []unit.Dec
	for _, p := range parts {
		if l := p.stage().Load; !slices.ContainsFunc(levels, func(x unit.Dec) bool { return x.Cmp(l) == 0 }) {
			levels = append(levels, l)
		}
	}
	slices.SortFunc(levels, unit.Dec.Cmp)
	for _, least := range levels {
		var some []Part
		for _, p := range parts {
			if !p.stage().Load.Less(least) {
				some = append(some, p)
			}
		}
		if len(some) < 2 {
			break // the heaviest alone was judged by itself
		}
		for _, base := range some {
			for s := sitting; s <= week; s++ {
				for _, timed := range notations(some) {
					out = append(out, c.sumOf(base, some, before, s, least, timed))
					if mean := meanLoad(some); base.stage().Rounds > 0 && mean.Cmp(least) != 0 {
						out = append(out, c.sumOf(base, some, before, s, mean, timed))
					}
				}
			}
		}
	}
	return out
}

// notations is how amounts can be told: by the minute, or by the count. Loaded breaths that are timed in one protocol and counted in
// another are told both ways.
func notations(parts []Part) (timed []bool) {
	for _, p := range parts {
		t := p.stage().Minutes.Sign() > 0
		if !slices.Contains(timed, t) {
			timed = append(timed, t)
		}
	}
	return timed
}

func meanLoad(parts []Part) unit.Dec {
	var load, time unit.Dec
	for _, p := range parts {
		s := p.stage()
		t := unit.Int(int64(s.Rounds * s.HoldSeconds))
		load, time = load.Add(s.Load.Mul(t)), time.Add(t)
	}
	if time.IsZero() {
		return unit.Dec{}
	}
	return load.Quo(time)
}

// sumOf is the facts of one sum.
func (c *Checker) sumOf(base Part, parts, before []Part, s span, load unit.Dec, timed bool) summed {
	st := base.stage()
	own := c.StageGiven(base.Protocol, base.Stage)
	g := tree.At(own.Node.Pos)
	for _, k := range own.Node.Keys {
		if k != "previous" && k != "stage" && k != "phase" && adds[k] == single && !(timed && k == "sets") {
			g.Link(k, own.Node.Field[k])
		}
	}
	if st.Load.Sign() > 0 {
		l := tree.NewRecord()
		num(l, "fraction", load)
		g.Link("load", l)
	}
	c.amounts(g, base.Protocol.Record.Modality, parts, s, timed)
	phase, ramp, index := "maintenance", false, 0
	for _, p := range parts {
		if p.Protocol.Node.Get("phase").Text() != "maintenance" {
			phase = "course"
		}
		ramp, index = ramp || p.stage().Ramp, max(index, p.stage().Index)
	}
	str(g, "phase", phase)
	at := tree.NewRecord()
	at.Set("index", tree.Int(index))
	at.Set("ramp", tree.Truth(ramp)) // floors wait for the course of all of them
	at.Set("fromWeek", tree.Int(st.FromWeek))
	at.Set("weeks", tree.Int(st.Weeks))
	g.Set("stage", at)
	if len(before) > 0 {
		prev := tree.NewRecord()
		c.amounts(prev, base.Protocol.Record.Modality, before, s, timed)
		g.Link("previous", prev)
	}
	places := map[string]*tree.Node{}
	for k := range adds {
		if n := own.Node.Get(k); n != nil && n.Pos.IsValid() {
			places[k] = n
		}
	}
	return summed{s, rule.Given{Node: g, Anchor: own.Anchor, Places: places}}
}

// amounts sets what adds up: in one sitting, over a day or over a week, so that an amount times the sessions of a day times the days
// of a week is what is trained in truth.
func (c *Checker) amounts(g *tree.Node, m record.Modality, parts []Part, s span, timed bool) {
	perDay, days, size := 0, 0, 0
	var rounds, seconds, breaths, minutes unit.Dec
	for _, p := range parts {
		st := p.stage()
		times := 1
		if s >= day {
			times = st.PerDay
		}
		if s == week {
			times *= st.DaysPerWeek
		}
		perDay, days, size = perDay+st.PerDay, days+st.DaysPerWeek, max(size, st.Breaths)
		n := unit.Int(int64(times))
		rounds = rounds.Add(unit.Int(int64(st.Rounds)).Mul(n))
		seconds = seconds.Add(unit.Int(int64(st.Rounds * st.HoldSeconds)).Mul(n))
		b, t := c.loaded(st)
		breaths, minutes = breaths.Add(b.Mul(n)), minutes.Add(t.Mul(n))
	}
	days = min(days, 7)
	over := unit.Int(1)
	if s >= day {
		over = unit.Int(int64(perDay))
	}
	if s == week {
		over = over.Mul(unit.Int(int64(days)))
	}
	g.Set("sessionsPerDay", tree.Int(perDay))
	g.Set("daysPerWeek", tree.Int(days))
	switch m {
	case record.Handgrip, record.WallSquat:
		num(g, "rounds", rounds.Quo(over))
		num(g, "holdSeconds", seconds.Quo(rounds))
	case record.Strength:
		exercises(g, parts, perDay)
	default:
		if m == record.Inspiratory {
			num(g, "breaths", breaths.Quo(over))
		}
		if timed {
			num(g, "minutesPerSession", minutes.Quo(over))
			return
		}
		size = max(size, 1)
		num(g, "sets", breaths.Quo(over).Quo(unit.Int(int64(size))))
		g.Set("breathsPerSet", tree.Int(size))
	}
}

// loaded is a session's breaths and its minutes. Breaths that are counted take their time, and minutes hold their breaths, so that a
// dose told half in one way and half in the other is one dose.
func (c *Checker) loaded(st *record.Stage) (breaths, minutes unit.Dec) {
	cycle := cmp.Or(st.Breath.Cycle(), c.Base.Sitting.Breath).Dec()
	sixty := unit.Int(60)
	if st.Minutes.Sign() > 0 {
		return st.Minutes.Mul(sixty).Quo(cycle), st.Minutes
	}
	breaths = unit.Int(int64(st.Sets * st.Breaths))
	return breaths, breaths.Mul(cycle).Quo(sixty)
}

// exercises sets the sets and repetitions of the exercise that a day holds most of. One that stands in the lists of two protocols is
// done twice.
func exercises(g *tree.Node, parts []Part, perDay int) {
	count := 0
	sets, repetitions := map[string]int{}, map[string]int{}
	for _, p := range parts {
		st := p.stage()
		count += len(st.Exercises)
		for _, x := range st.Exercises {
			sets[x] += st.Sets * st.PerDay
			repetitions[x] += st.Sets * st.PerDay * st.Repetitions
		}
	}
	g.Set("exerciseCount", tree.Int(count))
	g.Set("exerciseTimes", tree.Int(1))
	num(g, "sets", unit.Ratio(int64(most(sets)), int64(perDay)))
	num(g, "repetitions", unit.Ratio(int64(most(repetitions)), int64(most(sets))))
}
