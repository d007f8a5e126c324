package compiler

import (
	"fmt"
	"regexp"
	"strings"

	"isocue.example/compiler/unit"
)

var (
	demoText   string
	hourChoice = []string{
		"  - {days: [mon, tue, wed, thu, fri, sat, sun], from: \"07:00\", to: \"08:30\"}\n  - {days: [mon, tue, wed, thu, fri, sat, sun], from: \"18:00\", to: \"19:30\"}\n",
		"  - {days: [mon, wed, fri, sat], from: \"07:00\", to: \"08:30\"}\n  - {days: [tue, thu, sun], from: \"12:00\", to: \"13:30\"}\n  - {days: [mon, tue, wed, thu, fri, sat, sun], from: \"20:00\", to: \"21:30\"}\n",
		"  - {days: [mon, tue, wed, thu, fri, sat, sun], from: \"06:30\", to: \"08:00\"}\n",
	}
	measuredBlock = regexp.MustCompile(`(?s)\nmeasured:\n.*\ndevices:\n  grip:\n[^\n]*\n`)
	hoursBlock    = regexp.MustCompile(`(?s)\nhours:\n.*\naway: \[\]`)
)

// record is the client's file on a day.
func (l *life) record(today unit.Date) string {
	if l.kept != nil { // what the first visit found, and what stands in no diary
		was := *l
		was.grip, was.mip, was.squat, was.walk = l.grip[:2], l.mip[:1], l.squat[:1], l.walk[:1]
		was.gauge, was.conditions, was.zone, was.hours, was.asked, was.kept = 0, nil, l.kept.zone, l.kept.hours, l.kept.first+1, nil
		return was.record(today)
	}
	var m, w, a strings.Builder
	for _, x := range l.grip {
		fmt.Fprintf(&m, "    - {date: %s, hand: %s, unit: kgf, trials: [%d, %d, %d], score: best, with: %s}\n", x.day, x.hand, x.best-1, x.best, x.best, x.with)
	}
	m.WriteString("  inspiratory:\n")
	for _, x := range l.mip {
		fmt.Fprintf(&m, "    - {date: %s, unit: cmH2O, trials: [%d, %d, %d, %d, %d], method: static}\n", x.day, x.best-1, x.best, x.best-1, x.best-2, x.best)
	}
	m.WriteString("  squat:\n")
	for _, x := range l.squat {
		fmt.Fprintf(&m, "    - {date: %s, stages: [{kneeDegrees: 135, heelCm: 38, heartRate: 82}, {kneeDegrees: 125, heelCm: 44, heartRate: 90}, {kneeDegrees: 115, heelCm: 50, heartRate: 99}, {kneeDegrees: 105, heelCm: 55, heartRate: %d}], ended: volitional}\n", x.day, x.best)
	}
	m.WriteString("  walking:\n")
	for _, x := range l.walk {
		fmt.Fprintf(&m, "    - {date: %s, minutesPerWeek: %d}\n", x.day, x.best)
	}
	m.WriteString("  bloodPressure:\n")
	for d := today - 8; d < today; d++ {
		for _, at := range []string{"T06:00", "T06:02"} {
			fmt.Fprintf(&m, "    - {at: \"%s%s\", systolic: 136, diastolic: 84, pulse: 68, setting: home, arm: left}\n", d, at)
		}
	}
	gauges := ""
	for i := range l.gauge + 1 {
		gauges += fmt.Sprintf("    - {id: gauge-%d, unit: kgf, step: 0.5, checked: 2026-11-20}\n", i)
	}
	for _, x := range l.conditions {
		side, until := "", ""
		if x.side != "" {
			side = ", side: " + x.side
		}
		if x.until != 0 {
			until = ", until: " + x.until.String()
		}
		fmt.Fprintf(&w, ", {code: %s%s, since: %s%s}", x.code, side, x.since, until)
	}
	for _, x := range l.away {
		fmt.Fprintf(&a, ", {from: %s, to: %s}", x.From, x.To)
	}
	s := measuredBlock.ReplaceAllLiteralString(demoText, "\nmeasured:\n  grip:\n"+m.String()+"devices:\n  grip:\n"+gauges)
	s = hoursBlock.ReplaceAllLiteralString(s, "\nhours:\n"+hourChoice[l.hours]+"away: ["+strings.TrimPrefix(a.String(), ", ")+"]")
	s = strings.Replace(s, "conditions: []", "conditions: ["+strings.TrimPrefix(w.String(), ", ")+"]", 1)
	s = strings.Replace(s, "screening:\n  date: 2027-01-02", "screening:\n  date: "+l.asked.String(), 1)
	return strings.Replace(s, "zone: America/Halifax", "zone: "+l.zone, 1)
}
