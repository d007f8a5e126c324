package progress

import (
	"fmt"
	"slices"
	"strings"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// Doing is what a plan asks of the client, a sentence a protocol, in words that someone outside the trade understands. It tells
// of the newest session begun, or of the first where none has.
func Doing(p *record.Plan, now unit.Local) (out []string) {
	if p == nil {
		return nil
	}
	newest := map[string]record.Session{}
	perWeek := map[string]map[int]int{}
	var order []string
	begun := false // a course that has not, beside one that has, is told with its first day
	for _, s := range p.Sessions {
		if s.Status == record.Cancelled {
			continue
		}
		if perWeek[s.Protocol] == nil {
			perWeek[s.Protocol] = map[int]int{}
			order = append(order, s.Protocol)
			newest[s.Protocol] = s
		}
		perWeek[s.Protocol][s.Week]++
		if s.Start <= now {
			begun = true
			newest[s.Protocol] = s
		}
	}
	for _, id := range order {
		s := newest[id]
		k := p.Kinds[s.Kind]
		times := perWeek[id][s.Week]
		for _, n := range perWeek[id] { // a week cut short by the start tells too little
			times = max(times, n)
		}
		often := fmt.Sprintf("%d times a week", times)
		if times == 1 {
			often = "once a week"
		}
		if begun && s.Start > now {
			often += ", from " + s.Start.Date().String()
		}
		out = append(out, work(k)+", "+often)
	}
	return out
}

// work is one session in a few words.
func work(k record.Kind) string {
	var n int
	var long unit.Tenths
	var breath *record.Breath
	for _, s := range k.Steps {
		switch s.Kind {
		case record.Squeeze, record.Squat:
			n++
			long = max(long, s.Seconds)
		case record.Breathe:
			n += max(s.Count, 1)
			long += s.Seconds
			breath = s.Pattern
		case record.Walk:
			long += s.Seconds
		case record.Exercise:
			n++
		}
	}
	switch k.Modality {
	case record.Handgrip:
		return fmt.Sprintf("squeezes a hand grip %d times for %s at about %s of the hand's own maximum", n, spanWords(long), shares(k))
	case record.WallSquat:
		return fmt.Sprintf("holds a squat against a wall %d times for %s", n, spanWords(long))
	case record.Inspiratory:
		return fmt.Sprintf("breathes in %d times against a set load of about %s of the own maximum", n, shares(k))
	case record.Walking:
		return fmt.Sprintf("walks for %s", spanWords(long))
	case record.Strength:
		return fmt.Sprintf("does %d sets of exercises with repetitions, against the own weight or a bag", n)
	}
	if breath != nil && breath.Cycle() > 0 {
		return fmt.Sprintf("breathes slowly, %s breaths a minute, for %s", unit.Ratio(600, int64(breath.Cycle())).Text(1), spanWords(long))
	}
	return fmt.Sprintf("breathes slowly for %s", spanWords(long))
}

// shares is the loads as percent, the lowest and the highest where they differ.
func shares(k record.Kind) string {
	var all []string
	for _, d := range k.Loads {
		if p := d.Share.Mul(unit.Int(100)).Text(0); !slices.Contains(all, p) {
			all = append(all, p)
		}
	}
	slices.Sort(all)
	if len(all) == 0 {
		return "the set share"
	}
	return strings.Join(all, " to ") + " %"
}

func spanWords(t unit.Tenths) string {
	s := int(t) / 10
	switch {
	case s >= 60 && s%60 == 0 && s/60 == 1:
		return "1 minute"
	case s >= 60 && s%60 == 0:
		return fmt.Sprintf("%d minutes", s/60)
	case s > 300:
		return fmt.Sprintf("%d minutes", (s+30)/60)
	}
	return fmt.Sprintf("%d seconds", s)
}
