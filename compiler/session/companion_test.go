package session

import (
	"testing"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// Steps sum to the work, which is known before they are. Source: docs/architecture.md, numbers.
func TestCompanions(t *testing.T) {
	times := record.Sitting{Repetition: unit.Seconds(4)}
	strength := &record.Protocol{ID: "s", Modality: record.Strength}
	stage := &record.Stage{Exercises: []string{"bridge", "chair-rise"}, Sets: 2, Repetitions: 10, RestSeconds: 90, Squat: record.SquatLoad{Effort: unit.Int(4)}}
	k, err := Build(strength, stage, nil, client, times)
	if err != nil || len(k.Steps) != 7 || k.WorkSeconds != unit.Seconds(4*40+3*90) || k.Steps[2].Name != "bridge" || k.Steps[4].Name != "chair-rise" || k.Steps[0].Count != 10 {
		t.Errorf("%v, %v", k, err)
	}
	for why, spoil := range map[string]func(*record.Stage){
		"no exercise":    func(s *record.Stage) { s.Exercises = nil },
		"no set":         func(s *record.Stage) { s.Sets = 0 },
		"no repetitions": func(s *record.Stage) { s.Repetitions = 0 },
		"no effort":      func(s *record.Stage) { s.Squat = record.SquatLoad{} },
	} {
		bad := *stage
		spoil(&bad)
		if k, err := Build(strength, &bad, nil, client, times); err == nil {
			t.Errorf("%s: %v", why, k)
		}
	}
	walking := &record.Protocol{ID: "w", Modality: record.Walking}
	if k, err := Build(walking, &record.Stage{Minutes: unit.Int(20), Intensity: "light"}, nil, client, times); err != nil || len(k.Steps) != 1 || k.Steps[0].Seconds != unit.Seconds(1200) || len(k.Loads) > 0 {
		t.Errorf("%v, %v", k, err)
	}
	for _, s := range []record.Stage{{Minutes: unit.Int(20)}, {Intensity: "light"}} {
		if k, err := Build(walking, &s, nil, client, times); err == nil {
			t.Errorf("%v", k)
		}
	}
}
