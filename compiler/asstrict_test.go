package compiler

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
)

// inRecord writes readings into the record in place of its own.
func inRecord(entries []string) func(string) string {
	return func(src string) string {
		var out []string
		for _, l := range strings.Split(src, "\n") {
			if strings.HasPrefix(strings.TrimSpace(l), "- {at: ") {
				if entries == nil {
					continue
				}
				l = "    - {" + strings.Join(entries, ", setting: home}\n    - {") + ", setting: home}"
				entries = nil
			}
			out = append(out, l)
		}
		return strings.Join(out, "\n")
	}
}

// A record is as strict as a log: what closes slow breathing when a log tells of it is refused when the record does. The readings are
// drawn: three to six sittings of one or two readings over twenty days, of which each may be severe, and a harmless one this morning.
func TestTheRecordIsAsStrictAsTheLog(t *testing.T) {
	c := engine(t)
	harmless := "at: \"2027-01-03T07:30\", systolic: 134, diastolic: 82, pulse: 70"
	rng := rand.New(rand.NewPCG(17, 4))
	closed := 0
	for n := range 120 {
		var entries []string
		log := "at,systolic,diastolic,pulse\n"
		add := func(day, hour, minute, systolic, diastolic, pulse int) {
			at := time.Date(2027, 1, 2-day, hour, minute, 0, 0, time.UTC).Format("2006-01-02T15:04")
			entries = append(entries, fmt.Sprintf("at: %q, systolic: %d, diastolic: %d, pulse: %d", at, systolic, diastolic, pulse))
			log += fmt.Sprintf("%s,%d,%d,%d\n", at, systolic, diastolic, pulse)
		}
		for range 3 + rng.IntN(4) {
			day, hour := rng.IntN(20), 6+rng.IntN(14)
			systolic, diastolic, pulse := 120+rng.IntN(25), 70+rng.IntN(12), 60+rng.IntN(20)
			switch rng.IntN(8) {
			case 0:
				systolic = 178 + rng.IntN(30)
			case 1:
				systolic, diastolic = 150, 108+rng.IntN(12)
			case 2:
				pulse = 118 + rng.IntN(30)
			case 3:
				systolic, diastolic = 88+rng.IntN(4), 60
			}
			for i := range 1 + rng.IntN(3) {
				add(day, hour, 13*i, systolic+rng.IntN(3), diastolic, pulse)
			}
		}
		found := map[string]bool{}
		for _, f := range judgedFor(t, c, nil, inRecord(append(entries, harmless)), "slow-breathing-even").Findings {
			found[f.Rule] = true
			for _, behind := range f.Covers { // a graver one at the same place
				found[behind.Rule] = true
			}
		}
		in := demo(t, c, "slow-breathing-even")
		span, err := c.LogSpan(in.Client.Record, in.Now)
		if err != nil {
			t.Fatal(err)
		}
		l, err := load.PressureLog("log.csv", []byte(log), span)
		if err != nil {
			t.Fatal(err)
		}
		for _, tell := range c.Follow(Following{Client: in.Client, Log: l, Now: in.Now, Modalities: []record.Modality{record.SlowBreathing}}).Tells {
			same := map[string]string{"log-gate-systolic": "pressure-week-systolic", "log-gate-diastolic": "pressure-week-diastolic", "log-pulse": "pulse-earlier", "log-low-very": "pressure-week-low"}[tell.Rule]
			if same == "" {
				continue
			}
			closed++
			if !found[same] {
				t.Errorf("draw %d: the log tells %s, the record does not find %s\n%s", n, tell.Rule, same, strings.Join(entries, "\n"))
			}
		}
	}
	if closed < 40 {
		t.Errorf("only %d alerts were drawn", closed)
	}
}
