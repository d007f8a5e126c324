package compiler

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"sort"
	"strings"
	"testing"
	"time"

	"go.yaml.in/yaml/v3"

	"isocue.example/compiler/diary"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/unit"
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

// cleared is a record with a clearance of the day for all that might ask for one.
func cleared(r map[string]any, modality string, c *Compiler) map[string]any {
	gates := []any{"pressure", "pulse", "alert-in-log", modality}
	for _, q := range c.Check.Base.Questions() {
		if r["screening"].(map[string]any)["answers"].(map[string]any)[q.ID] == "yes" {
			gates = append(gates, q.ID)
		}
	}
	ms, _ := r["medicines"].([]any)
	for _, m := range ms {
		gates = append(gates, m.(map[string]any)["class"])
	}
	list := []any{}
	have, _ := r["clearances"].([]any)
	list = append(list, have...)
	for _, g := range gates[:len(gates)] {
		list = append(list, map[string]any{"for": []any{g, modality}, "by": "I. Castell", "role": "physician", "date": "2027-01-03", "until": "2027-12-31"})
	}
	return over(r, map[string]any{"clearances": list})
}

// TestCasesMeasured counts what the program answers to the cases of a first visit.
func TestCasesMeasured(t *testing.T) {
	c := engine(t)
	base, all := readCases(t)
	start, _ := unit.ParseDate("2027-01-04")
	at := time.Date(2027, 1, 3, 22, 0, 0, 0, time.UTC)
	judge := func(r map[string]any, modality string, on map[string]any) (string, []finding.Finding) {
		src, err := yaml.Marshal(asDays(r))
		if err != nil {
			t.Fatal(err)
		}
		f := c.Reader.Bytes("client.yaml", src)
		if f.Client == nil || finding.Rejected(f.Findings) {
			return "unread", f.Findings
		}
		p := c.Standard(casesOf[modality])
		if on != nil {
			var n map[string]any
			b, _ := p.Protocols[0].Node.MarshalJSON()
			if err := yaml.Unmarshal(b, &n); err != nil {
				t.Fatal(err)
			}
			b, _ = yaml.Marshal(over(n, on))
			if p = c.Reader.Bytes("p.yaml", b); len(p.Protocols) != 1 {
				return "unread", p.Findings
			}
		}
		in := Input{Client: f.Client, Now: at, Start: start, Protocols: []*load.Protocol{&p.Protocols[0]}, Diary: diary.Of(nil)}
		res, err := c.Compile(in)
		if err != nil {
			t.Fatal(err)
		}
		if res.Plan != nil {
			return "open", res.Findings
		}
		return "refused", res.Findings
	}
	count := map[string]map[string]int{}
	var bad []string
	for _, x := range all {
		if !x.Today.IsZero() {
			continue
		}
		r := personOf(base, x)
		for _, m := range []string{"handgrip", "wall-squat", "inspiratory", "strength", "walking", "slow-breathing"} {
			want := x.Expect[m]
			got, fs := judge(r, m, x.Protocols[m])
			if got == "refused" {
				if again, _ := judge(cleared(r, m, c), m, x.Protocols[m]); again == "open" {
					got = "clearance"
				} else {
					got = "shut"
				}
			}
			open := func(s string) bool { return s == "open" || s == "caution" }
			verdict := "right"
			switch {
			case got == "unread":
				verdict = "unread"
			case open(want) && !open(got):
				verdict = "too strict"
			case !open(want) && open(got):
				verdict = "too lax"
			case !open(want) && got != want:
				verdict = "closed otherwise"
			}
			if count[m] == nil {
				count[m] = map[string]int{}
			}
			count[m][verdict]++
			if verdict != "right" {
				why := ""
				for _, f := range fs {
					if f.Rejects() {
						why += " " + f.Rule
					}
				}
				bad = append(bad, fmt.Sprintf("%s %s/%s %s: want %s, got %s:%s", verdict, x.file, x.ID, m, want, got, why))
			}
		}
	}
	sort.Strings(bad)
	t.Log("\n" + strings.Join(bad, "\n"))
	for m, n := range count {
		t.Log(m, n)
	}
	_ = slices.Sort[[]int]
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
