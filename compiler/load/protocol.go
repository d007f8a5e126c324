package load

import (
	"cmp"
	"fmt"
	"strconv"
	"strings"

	"isocue.example/compiler/near"
	"isocue.example/compiler/record"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// arms maps a modality to the definition that a protocol of it must fit. One arm is picked before CUE looks: a failed
// disjunction has no place and reports every arm.
var arms = map[string]string{
	string(record.Handgrip):      "#Handgrip",
	string(record.SlowBreathing): "#SlowBreathing",
	string(record.Inspiratory):   "#Inspiratory",
	string(record.WallSquat):     "#WallSquat",
	string(record.Walking):       "#Walking",
	string(record.Strength):      "#Strength",
}

func (r *Reader) protocol(f *File, n *tree.Node) {
	m := n.Get("modality")
	def, ok := arms[m.Text()]
	if !ok {
		var names, quoted []string
		for _, m := range record.Modalities {
			names, quoted = append(names, string(m)), append(quoted, strconv.Quote(string(m)))
		}
		allowed := strings.Join(quoted[:len(quoted)-1], ", ") + " or " + quoted[len(quoted)-1]
		msg, at := "modality is missing, allowed: "+allowed, n
		if m != nil {
			at, msg = m, fmt.Sprintf("modality is %s, allowed: %s", describe(m), allowed)
			if s := near.Match(m.Text(), names); s != "" {
				msg += fmt.Sprintf(", did you mean %q", s)
			}
		}
		f.add(at, Shape, msg, "name the modality")
		return
	}
	if !r.shape(f, r.protocols, def, n) {
		return
	}
	if p := f.decodeProtocol(n); p != nil {
		f.Protocols = append(f.Protocols, *p)
	}
}

func (f *File) decodeProtocol(n *tree.Node) *Protocol {
	before := len(f.Findings)
	p := &Protocol{Node: n, source: f.Source, Record: &record.Protocol{
		ID: n.Get("id").Text(), Title: n.Get("title").Text(), Revision: n.Get("revision").Whole(),
		Modality: record.Modality(n.Get("modality").Text()), Weeks: n.Get("weeks").Whole(),
		RetestWeeks: n.Get("retestWeeks").Whole(),
	}}
	if titles := n.Get("titles"); titles != nil {
		p.Record.Titles = map[string]string{}
		for _, tag := range titles.Keys {
			p.Record.Titles[tag] = titles.Field[tag].Text()
		}
	}
	f.counted(n)
	week := 1
	ramp := n.Get("ramp").Items()
	for i := 0; i <= len(ramp); i++ {
		over, weeks := (*tree.Node)(nil), p.Record.Weeks-(week-1)
		if i < len(ramp) {
			over, weeks = ramp[i], ramp[i].Get("weeks").Whole()
		}
		node := Overlay(n, over)
		s := f.decodeStage(node)
		f.oneWay(node)
		s.Index, s.Ramp, s.FromWeek, s.Weeks = i, i < len(ramp), week, weeks
		p.Stages = append(p.Stages, node)
		p.Record.Stages = append(p.Record.Stages, s)
		week += weeks
	}
	if len(f.Findings) > before {
		return nil
	}
	return p
}

// Overlay is the stage that a ramp entry makes of a protocol: the protocol without its ramp, each field that the entry
// names replaced, records field by field. The values keep their places. A nil entry is the main course. The result
// keeps the protocol's own weeks: the length of the whole course.
func Overlay(p, entry *tree.Node) *tree.Node {
	out := tree.At(p.Pos)
	if entry != nil {
		out.Pos = entry.Pos
	}
	for _, k := range p.Keys {
		if k == "ramp" {
			continue
		}
		v, over := p.Field[k], entry.Get(k)
		switch {
		case over == nil || k == "weeks":
			out.Link(k, v)
		case over.Kind == tree.Record && v.Kind == tree.Record && k != "breath" && k != "load":
			out.Link(k, Overlay(v, over))
		default: // a load or a pace is one thing: it is replaced whole
			out.Link(k, over)
		}
	}
	if entry != nil {
		for _, k := range entry.Keys {
			if out.Field[k] == nil {
				out.Link(k, entry.Field[k])
			}
		}
	}
	return out
}

func (f *File) decodeStage(n *tree.Node) record.Stage {
	var exercises []string
	for _, x := range n.Get("exercises").Items() {
		exercises = append(exercises, x.Text())
	}
	return record.Stage{
		Intensity: n.Get("intensity").Text(), Exercises: exercises, Repetitions: n.Get("repetitions").Whole(),
		Load:        n.Get("load", "fraction").Number(),
		HoldSeconds: n.Get("holdSeconds").Whole(), RestSeconds: n.Get("restSeconds").Whole(), Rounds: n.Get("rounds").Whole(),
		Hands: record.Hands(n.Get("hands").Text()), StartHand: record.Hand(n.Get("startHand").Text()),
		Breath: record.Breath{Inhale: f.tenths(n.Get("breath", "inhaleSeconds")), Pause: f.tenths(n.Get("breath", "pauseSeconds")),
			Exhale: f.tenths(n.Get("breath", "exhaleSeconds")), Rest: f.tenths(n.Get("breath", "restSeconds"))},
		Minutes:     n.Get("minutesPerSession").Number(),
		DaysPerWeek: n.Get("daysPerWeek").Whole(), PerDay: n.Get("sessionsPerDay").Whole(),
		Sets: n.Get("sets").Whole(), Breaths: n.Get("breathsPerSet").Whole(),
		Squat: record.SquatLoad{HeartRate: n.Get("load", "heartRateFraction").Number(), KneeDegrees: n.Get("load", "kneeDegrees").Whole(),
			Effort: n.Get("load", "effort").Number()},
	}
}

// oneWay refuses a stage that sets the same thing in two ways: which one would count?
func (f *File) oneWay(n *tree.Node) {
	load := n.Get("load")
	var ways []string
	for _, k := range []string{"heartRateFraction", "kneeDegrees", "effort"} {
		if load.Get(k) != nil {
			ways = append(ways, k)
		}
	}
	if len(ways) > 1 {
		f.add(load, Shape, "load is set by "+strings.Join(ways, " and ")+", allowed: one of them", "keep one way to set the squat")
	}
}

// counted refuses an inspiratory protocol that is counted and timed at once, or counted by half. A ramp entry changes how much is counted
// or timed; it does not begin to count or to time.
func (f *File) counted(n *tree.Node) {
	if n.Get("modality").Text() != string(record.Inspiratory) {
		return
	}
	const both = "the session is timed by minutesPerSession and counted by sets and breathsPerSet, allowed: one of the two"
	sets, breaths, minutes := n.Get("sets"), n.Get("breathsPerSet"), n.Get("minutesPerSession")
	counts := cmp.Or(sets, breaths)
	switch {
	case counts != nil && minutes != nil:
		f.add(minutes, Shape, both, "keep the minutes or the sets")
		return
	case sets == nil && breaths != nil:
		f.add(breaths, Shape, "breathsPerSet stands without sets, allowed: both", "add sets, how many sets a session has")
	case sets != nil && breaths == nil:
		f.add(sets, Shape, "sets stands without breathsPerSet, allowed: both", "add breathsPerSet, how many breaths a set has")
	}
	for _, e := range n.Get("ramp").Items() {
		own := cmp.Or(e.Get("sets"), e.Get("breathsPerSet"))
		switch at := e.Get("minutesPerSession"); {
		case at != nil && cmp.Or(counts, own) != nil:
			f.add(at, Shape, both, "keep the minutes or the sets, in the course and in its ramp alike")
		case own != nil && minutes != nil:
			f.add(own, Shape, both, "keep the minutes or the sets, in the course and in its ramp alike")
		case own != nil && counts == nil:
			f.add(own, Shape, own.Path()+" changes a number of the course that the course does not have", "write sets and breathsPerSet of the course too")
		}
	}
}

func (f *File) tenths(n *tree.Node) unit.Tenths {
	if n == nil {
		return 0
	}
	t, ok := unit.TenthsOf(n.Num)
	if !ok {
		f.add(n, Shape, fmt.Sprintf("%s is %s s, allowed: whole seconds or tenths", n.Path(), n.Raw), "round it to a tenth of a second")
	}
	return t
}

// Lay makes a protocol of a record that is sound by construction, such as a standard protocol with an example laid
// over it; it is not held against the schema.
func Lay(n *tree.Node) (*Protocol, error) {
	f := &File{Kind: IsProtocol}
	if p := f.decodeProtocol(n); p != nil {
		return p, nil
	}
	return nil, fmt.Errorf("an example makes a protocol that cannot be read: %s", f.Findings[0].Message)
}
