package compiler

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"

	"isocue.example/compiler/unit"
)

// kept is a diary as its author keeps it: what was so at the first visit, and what was entered since, by kind and day. What is entered
// again on its day is what was meant.
type kept struct {
	first   unit.Date
	zone    string
	hours   int
	entries map[string]string
	asked   []unit.Date
}

// enter keeps an entry of a day, where there is a diary.
func (l *life) enter(day unit.Date, kind, says string) {
	if l.kept == nil {
		return
	}
	if l.kept.entries == nil {
		l.kept.entries = map[string]string{}
	}
	name := fmt.Sprint(day, " ", kind)
	if kind == "device" {
		name += says
	}
	l.kept.entries[name] = fmt.Sprintf("date: %s, %s: %s", day, kind, says)
}

// hoursLine is a choice of hours as an entry has it.
func hoursLine(choice int) string {
	var all []string
	for line := range strings.Lines(hourChoice[choice]) {
		all = append(all, strings.TrimSpace(strings.TrimPrefix(strings.TrimSpace(line), "- ")))
	}
	return "[" + strings.Join(all, ", ") + "]"
}

// diary is the client's diary by a day, its lines in any order.
func (l *life) diary(today unit.Date) string {
	if n := len(l.kept.asked); n == 0 || l.kept.asked[n-1] != l.asked {
		l.kept.asked = append(l.kept.asked, l.asked)
	}
	lines := slices.Collect(maps.Values(l.kept.entries))
	put := func(day unit.Date, clock, kind, says string) {
		lines = append(lines, fmt.Sprintf("date: %s, time: %q, %s: %s", day, clock, kind, says))
	}
	for _, x := range l.grip[2:] {
		put(x.day, "10:00", "grip", fmt.Sprintf("{hand: %s, unit: kgf, trials: [%d, %d, %d], score: best, with: %s}", x.hand, x.best-1, x.best, x.best, x.with))
	}
	for _, x := range l.mip[1:] {
		put(x.day, "10:00", "inspiratory", fmt.Sprintf("{unit: cmH2O, trials: [%d, %d, %d, %d, %d], method: static}", x.best-1, x.best, x.best-1, x.best-2, x.best))
	}
	for _, x := range l.squat[1:] {
		put(x.day, "10:00", "squat", fmt.Sprintf("{stages: [{kneeDegrees: 135, heelCm: 38, heartRate: 82}, {kneeDegrees: 125, heelCm: 44, heartRate: 90}, {kneeDegrees: 115, heelCm: 50, heartRate: 99}, {kneeDegrees: 105, heelCm: 55, heartRate: %d}], ended: volitional}", x.best))
	}
	for _, x := range l.walk[1:] {
		put(x.day, "10:00", "walking", fmt.Sprintf("{minutesPerWeek: %d}", x.best))
	}
	for _, x := range l.conditions {
		named := "{code: " + x.code + "}"
		if x.side != "" {
			named = "{code: " + x.code + ", side: " + x.side + "}"
		}
		put(x.since, "07:00", "condition", named)
		if x.until != 0 {
			put(x.until, "08:00", "over", named)
		}
	}
	for _, d := range l.kept.asked {
		put(d, "09:00", "asked", "{questions: 2, answers: {"+allNo+"}}")
	}
	slices.Sort(lines)
	r := rand.New(rand.NewPCG(uint64(today), uint64(len(lines))))
	r.Shuffle(len(lines), func(i, j int) { lines[i], lines[j] = lines[j], lines[i] })
	var out strings.Builder
	for _, x := range lines {
		fmt.Fprintf(&out, "- {by: \"L. Brandt\", %s}\n", x)
	}
	return out.String()
}

// allNo is a no to every symptom question, as an entry has it.
var allNo string
