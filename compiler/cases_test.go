package compiler

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"go.yaml.in/yaml/v3"
)

// aCase is a vignette of testdata/cases, whose README says what each field means.
type aCase struct {
	file      string
	ID        string                    `yaml:"id"`
	Record    map[string]any            `yaml:"record"`
	Protocols map[string]map[string]any `yaml:"protocols"`
	Log       []map[string]any          `yaml:"log"`
	Diary     []map[string]any          `yaml:"diary"`
	Today     time.Time                 `yaml:"today"`
	Expect    map[string]string         `yaml:"expect"`
}

// casesOf are the protocols that a case means, by modality.
var casesOf = map[string]string{"handgrip": "handgrip-alternating", "wall-squat": "wall-squat-home", "inspiratory": "inspiratory-strength",
	"strength": "strength-home", "walking": "walking-start", "slow-breathing": "slow-breathing-even"}

func readCases(t *testing.T) (base map[string]any, out []aCase) {
	t.Helper()
	names, err := filepath.Glob(filepath.Join("..", "testdata", "cases", "*.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range names {
		src, err := os.ReadFile(n)
		if err != nil {
			t.Fatal(err)
		}
		if filepath.Base(n) == "base.yaml" {
			if err := yaml.Unmarshal(src, &base); err != nil {
				t.Fatal(err)
			}
			continue
		}
		var all []aCase
		if err := yaml.Unmarshal(src, &all); err != nil {
			t.Fatal(n, err)
		}
		for i := range all {
			all[i].file = filepath.Base(n)
		}
		out = append(out, all...)
	}
	return base, out
}

// over lays a record over another, field by field.
func over(base, on map[string]any) map[string]any {
	out := map[string]any{}
	for k, v := range base {
		out[k] = v
	}
	for k, v := range on {
		a, ok := out[k].(map[string]any)
		b, is := v.(map[string]any)
		if ok && is {
			out[k] = over(a, b)
			continue
		}
		out[k] = v
	}
	return out
}

// personOf is the record that a case makes of the base.
func personOf(base map[string]any, c aCase) map[string]any {
	on := over(nil, c.Record)
	questions, _ := on["questions"].(map[string]any)
	week, _ := on["homeWeek"].(map[string]any)
	lastly, _ := on["lastly"].([]any)
	for _, k := range []string{"questions", "homeWeek", "lastly"} {
		delete(on, k)
	}
	r := over(base, on)
	if questions != nil {
		r = over(r, map[string]any{"screening": map[string]any{"answers": questions}})
	}
	measured := over(r["measured"].(map[string]any), nil)
	var readings []any
	for _, x := range measured["bloodPressure"].([]any) {
		m := over(x.(map[string]any), nil)
		if week != nil {
			if arm, ok := week["arm"]; ok && m["arm"] != arm {
				continue
			}
			for k, mean := range map[string]int{"systolic": 138, "diastolic": 84, "pulse": 68} {
				if to, ok := week[k].(int); ok {
					m[k] = m[k].(int) + to - mean
				}
			}
		}
		readings = append(readings, m)
	}
	measured["bloodPressure"] = append(readings, lastly...)
	r["measured"] = measured
	return r
}

// asDays turns the dates that YAML read back into days.
func asDays(v any) any {
	switch x := v.(type) {
	case time.Time:
		return x.Format("2006-01-02")
	case map[string]any:
		out := map[string]any{}
		for k, e := range x {
			out[k] = asDays(e)
		}
		return out
	case []any:
		out := []any{}
		for _, e := range x {
			out = append(out, asDays(e))
		}
		return out
	}
	return v
}
