package compiler

import (
	"fmt"
	"slices"
	"testing"

	"isocue.example/compiler/load"
)

// The step from what was trained to what comes is a step like any, one row a change: by another course, by another revision, by a ramp
// line that is deleted. The same two doses as stages of one protocol are refused by the same rules.
func TestStepsFromThePlanBefore(t *testing.T) {
	c := engine(t)
	const strength = `modality: "strength", load: effort: 4, exercises: ["chair-rise", "wall-push-up", "heel-raise", "bridge"], restSeconds: 60, daysPerWeek: 2, sessionsPerDay: 1, `
	const walking = `modality: "walking", intensity: "moderate", daysPerWeek: 5, sessionsPerDay: 1, `
	strong := []string{"strength-volume-day unsafe", "strength-volume-step unsafe"}
	for _, x := range []struct {
		why, of, before, after string
		want                   []string
	}{
		{"1 x 8 to 2 x 9", strength, "sets: 1, repetitions: 8", "sets: 2, repetitions: 9", nil},
		{"1 x 8 to 1 x 19", strength, "sets: 1, repetitions: 8", "sets: 1, repetitions: 19", []string{"strength-volume-day unsafe", "strength-volume-step unsafe"}},
		{"1 x 8 to 3 x 12", strength, "sets: 1, repetitions: 8", "sets: 3, repetitions: 12", strong},
		{"3 x 12 to 1 x 8", strength, "sets: 3, repetitions: 12", "sets: 1, repetitions: 8", nil},
		{"20 min to 30 min", walking, "minutesPerSession: 20, ramp: [{weeks: 1, minutesPerSession: 10}]", "minutesPerSession: 30", nil},
		{"20 min to 31 min", walking, "minutesPerSession: 20, ramp: [{weeks: 1, minutesPerSession: 10}]", "minutesPerSession: 31", []string{"walking-session-step unsafe", "walking-week-step unsafe"}},
	} {
		protocol := func(id string, revision int, dose string) *load.Protocol {
			f := c.Reader.Bytes("p.cue", fmt.Appendf(nil, `id: %q, title: "Ours", revision: %d, weeks: 4, %s%s`, id, revision, x.of, dose))
			if len(f.Findings) > 0 {
				t.Fatal(f.Findings)
			}
			return &f.Protocols[0]
		}
		steps := func(in Input) []string { // by themselves: the demo record grows too old for a second course
			in, _ = newCourse(in)
			g := c.programme(in)
			times, err := g.place(nil)
			if err != nil {
				t.Fatal(err)
			}
			return rejecting(g.checkSteps(times))
		}
		first := demo(t, c)
		first.Protocols = []*load.Protocol{protocol("a", 1, x.before)}
		before, err := c.Compile(first)
		if err != nil || before.Plan == nil {
			t.Fatal(err, before.Findings)
		}
		for _, way := range []struct {
			name     string
			id       string
			revision int
			days     int
		}{
			{"by another revision", "a", 2, 10},
			{"by another protocol beside it", "b", 1, 10},
			{"by a course behind it", "b", 1, 29},
			{"by a course of the same protocol behind it", "a", 2, 29},
		} {
			in := demo(t, c)
			in.Protocols, in.Previous = []*load.Protocol{protocol(way.id, way.revision, x.after)}, before.Plan
			in.Now = first.Now.AddDate(0, 0, way.days)
			if in.Start = before.Plan.Start; way.days > 28 {
				in.Start += 30
			}
			if got := steps(in); !slices.Equal(got, x.want) {
				t.Errorf("%s %s: %v, want %v", x.why, way.name, got, x.want)
			}
		}
	}
}
