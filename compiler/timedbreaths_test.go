package compiler

import (
	"fmt"
	"slices"
	"testing"

	"isocue.example/compiler/finding"
)

// A loaded breath counts as one, whether it is written in sets or in minutes: one row a dose, with the rejections that it has.
func TestLoadedBreathsAreCountedHoweverWritten(t *testing.T) {
	c := engine(t)
	for _, x := range []struct {
		why, dose string
		perDay    int
		want      []string
	}{
		{"36 counted", `load: fraction: 0.75, sets: 6, breathsPerSet: 6, restSeconds: 60, ramp: [{weeks: 1, load: fraction: 0.55}]`, 1, nil},
		{"40 counted", `load: fraction: 0.75, sets: 5, breathsPerSet: 8, restSeconds: 30`, 1, []string{"inspiratory-strength-time unsafe"}},
		{"2 min without a pace are 30", `load: fraction: 0.75, minutesPerSession: 2`, 1, nil},
		{"3 min without a pace are 45", `load: fraction: 0.75, minutesPerSession: 3`, 1, []string{"inspiratory-strength-time unsafe"}},
		{"3 min in 5 s are 36", `load: fraction: 0.55, minutesPerSession: 3, breath: {inhaleSeconds: 2, exhaleSeconds: 3}`, 1, nil},
		{"3 min in 5 s, twice", `load: fraction: 0.55, minutesPerSession: 3, breath: {inhaleSeconds: 2, exhaleSeconds: 3}`, 2, []string{"inspiratory-strength-day unsafe"}},
		{"a breath of 0.2 s for 5 min", `load: fraction: 0.75, minutesPerSession: 5, breath: {inhaleSeconds: 0.1, exhaleSeconds: 0.1}`, 2,
			[]string{"inspiratory-exhale-floor unsafe", "inspiratory-inhale-floor unsafe", "inspiratory-rate-ceiling unsafe", "inspiratory-strength-time unsafe"}},
		{"20 a minute", `load: fraction: 0.30, minutesPerSession: 10, breath: {inhaleSeconds: 1, exhaleSeconds: 2}`, 1, nil},
		{"22 a minute", `load: fraction: 0.30, minutesPerSession: 10, breath: {inhaleSeconds: 1, exhaleSeconds: 1.7}`, 1, []string{"inspiratory-rate-ceiling unsafe"}},
		{"a pause under a strength load", `load: fraction: 0.75, minutesPerSession: 2, breath: {inhaleSeconds: 2, pauseSeconds: 0.5, exhaleSeconds: 2}`, 1, []string{"inspiratory-strength-pause unsafe"}},
		{"a pause of 2 s under a light load", `load: fraction: 0.30, minutesPerSession: 10, breath: {inhaleSeconds: 1, pauseSeconds: 2, exhaleSeconds: 2}`, 1, nil},
		{"a held breath under a light load", `load: fraction: 0.30, minutesPerSession: 10, breath: {inhaleSeconds: 1, pauseSeconds: 2.1, exhaleSeconds: 2}`, 1, []string{"breath-pause-ceiling unsafe"}},
		{"a long rest after the exhale", `load: fraction: 0.30, minutesPerSession: 10, breath: {inhaleSeconds: 2, exhaleSeconds: 2, restSeconds: 2.1}`, 1, []string{"breath-rest-ceiling unsafe"}},
		{"light, half an hour", `load: fraction: 0.30, minutesPerSession: 30`, 1, nil},
		{"light, half an hour twice", `load: fraction: 0.30, minutesPerSession: 30`, 2, []string{"inspiratory-light-day out-of-evidence"}},
		{"light, half an hour twice, slowly", `load: fraction: 0.25, minutesPerSession: 30, breath: {inhaleSeconds: 4, exhaleSeconds: 6}`, 2, nil},
	} {
		src := fmt.Sprintf(`id: "breaths", title: "Breaths", revision: 1, modality: "inspiratory", daysPerWeek: 6, sessionsPerDay: %d, weeks: 6, %s`, x.perDay, x.dose)
		f := c.Reader.Bytes("breaths.cue", []byte(src))
		if got := rejecting(c.Lint(f, now)); !slices.Equal(got, x.want) {
			t.Errorf("%s: %v, want %v", x.why, got, x.want)
		}
	}
}

// rejecting is the rules that refuse, each with its verdict, once and in order.
func rejecting(fs []finding.Finding) (out []string) {
	for _, f := range fs {
		if f.Rejects() {
			out = append(out, f.Rule+" "+string(f.Verdict))
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}
