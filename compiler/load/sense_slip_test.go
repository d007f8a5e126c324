package load

import (
	"encoding/json"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"testing"

	"isocue.example/compiler/internal/guard"
	"isocue.example/compiler/tree"
	"isocue.example/schema"
)

// sound are documents that both take: between them they have every field that a rule of sense is about.
func soundDocuments(t testing.TB) (out []pair) {
	t.Helper()
	add := func(def, name string, n *tree.Node) {
		b, err := json.Marshal(n)
		if err != nil {
			t.Fatal(err)
		}
		src := string(b)
		if name == "d"+DiaryEnd {
			src = "- " + src
		}
		out = append(out, pair{def, name, src})
	}
	files, err := filepath.Glob(filepath.Join("..", "..", "protocols", "*.cue"))
	if err != nil || len(files) == 0 {
		t.Fatal("no protocols", err)
	}
	r := reader(t)
	for _, name := range files {
		src, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		n := r.Bytes(name, src).Protocols[0].Node
		add(arms[n.Get("modality").Text()], "p.json", n)
	}
	parse := func(text string) *tree.Node {
		d, fs := guard.Parse("x.yaml", []byte(text), guard.YAML, schema.Path)
		if d == nil {
			t.Fatal(fs)
		}
		return d.Root
	}
	add("#Client", "c.json", parse(fullClient))
	for _, e := range fullDiary {
		add("#Entry", "d"+DiaryEnd, parse(e))
	}
	return out
}

const fullClient = `
id: plover-12
born: 1971
zone: America/Halifax
dominantHand: right
screening: {date: 2027-01-02, by: "M. Osei", questions: 2, answers: {stairs: "no"}}
conditions: [{code: hernia, side: left, since: 2026-01-02, until: 2026-02-02}]
medicines: [{class: thiazide, changed: 2026-01-02}]
clearances: [{for: [hernia, handgrip, walking], by: "T. Ansah", role: physician, date: 2027-01-02, until: 2027-03-02}]
taught: {date: 2027-01-02, by: "M. Osei"}
consent: {date: 2027-01-02, by: "M. Osei", explained: "all of it"}
limits: {systolic: 150, diastolic: 90, by: "T. Ansah", date: 2027-01-02}
measured:
  grip:
    - {date: 2027-01-02, hand: right, unit: kgf, trials: [38.5, 40.0], score: best, with: home-gauge}
    - {date: 2027-01-02, hand: left, unit: kgf, trials: [35.0], score: mean, with: home-gauge}
  inspiratory: [{date: 2027-01-02, unit: cmH2O, trials: [78], method: static}, {date: 2027-01-09, unit: cmH2O, trials: [78], method: static}]
  squat: [{date: 2027-01-02, stages: [{kneeDegrees: 135, heelCm: 38, heartRate: 82}, {kneeDegrees: 125, heelCm: 44, heartRate: 90}], ended: volitional}]
  walking: [{date: 2027-01-02, minutesPerWeek: 60}, {date: 2027-01-09, minutesPerWeek: 60}]
  bloodPressure: [{at: "2026-12-29T07:30", systolic: 139, diastolic: 86, pulse: 70, setting: home}]
devices:
  grip: [{id: home-gauge, unit: kgf, step: 0.5, checked: 2026-11-20}, {id: old-gauge, unit: lbf, step: 1}]
  inspiratory: [{id: trainer, settings: [{label: "1", cmH2O: 10}]}]
hours: [{days: [mon, tue], from: "07:00", to: "24:00"}]
away: [{from: 2027-02-01, to: 2027-02-01}]
`

var fullDiary = []string{
	`{date: 2027-01-02, by: "L. Brandt", time: "07:30", reading: {systolic: 138, diastolic: 84, setting: home}}`,
	`{date: 2027-01-02, by: "L. Brandt", pause: {from: 2027-02-01, to: 2027-02-07}}`,
	`{date: 2027-01-02, by: "L. Brandt", pause: {from: 2027-02-01}}`,
	`{date: 2027-01-02, by: "L. Brandt", device: {grip: {id: home-gauge, unit: kgf, step: 1, checked: 2027-01-01}}}`,
	`{date: 2027-01-02, by: "L. Brandt", course: {protocols: [handgrip-start], start: 2027-02-01, add: true}}`,
	`{date: 2027-01-02, by: "L. Brandt", read: {row: 2027-01-02T07:30, finding: dizzy}}`,
	`{date: 2027-01-02, by: "L. Brandt", trained: {protocol: handgrip-start, time: "07:30", outcome: done}}`,
	`{date: 2027-01-02, by: "L. Brandt", squat: {stages: [{kneeDegrees: 135, heelCm: 38, heartRate: 82}, {kneeDegrees: 125, heelCm: 44, heartRate: 90}], ended: volitional}}`,
	`{date: 2027-01-02, by: "L. Brandt", clearance: {for: [hernia, handgrip], by: "T. Ansah", role: physician, date: 2027-01-02, until: 2027-03-02}}`,
	`{date: 2027-01-02, by: "L. Brandt", hours: [{days: [mon], from: "07:00", to: "08:00"}]}`,
	`{date: 2027-01-02, by: "L. Brandt", limits: {systolic: 150, by: "T. Ansah", date: 2027-01-02}}`,
}

// plausible are values that a slip puts in place of another: each fits the shape of some field.
var plausible = []any{"2026-02-30", "2027-02-29", "2028-02-29", "2026-12-31", "2027-01-02", "2027-02-07", "2027-02-30T07:30", "2027-01-02T7:30", "2027-01-02T07:30",
	"24:00", "00:00", "07:00", "08:00", 1, 2, 4, 60, 100, 139, 138, 137, 86, 135, 134, 4.25, 4.2, 0.1, 0.05, "left", "right", "home-gauge", "trainer", "Mars/Olympus"}

// beside are fields that a slip adds to a record.
var beside = map[string]any{"minutesPerSession": 10, "sets": 3, "breathsPerSet": 4, "restSeconds": 60, "kneeDegrees": 120, "effort": 3, "heartRateFraction": 0.9, "time": "07:30",
	"add": true, "replaces": true, "entry": "e1", "row": "2027-01-02T07:30", "inspiratory": map[string]any{"id": "t2", "settings": []any{}},
	"cuff": map[string]any{"arm": "left", "size": "small", "validated": true}, "to": "2027-01-02", "until": "2027-01-01", "diastolic": 139, "pauseSeconds": 0.25}

// slip changes one place of a document as a hand does: another value, an end in place of a beginning, an entry twice, one field more.
func slip(rnd *rand.Rand, doc any) {
	var records []map[string]any
	var lists [][]any
	var put []func([]any) // replaces a list where it stands
	var walk func(any, func([]any))
	walk = func(x any, set func([]any)) {
		switch x := x.(type) {
		case map[string]any:
			records = append(records, x)
			for _, k := range slices.Sorted(maps.Keys(x)) {
				walk(x[k], func(l []any) { x[k] = l })
			}
		case []any:
			lists, put = append(lists, x), append(put, set)
			for i, e := range x {
				walk(e, func(l []any) { x[i] = l })
			}
		}
	}
	walk(doc, nil)
	rec := records[rnd.IntN(len(records))]
	keys := slices.Sorted(maps.Keys(rec))
	if len(keys) == 0 {
		return
	}
	k := keys[rnd.IntN(len(keys))]
	switch rnd.IntN(6) {
	case 0: // the value of a field beside it, both ways
		o := keys[rnd.IntN(len(keys))]
		rec[k], rec[o] = rec[o], rec[k]
	case 1:
		rec[k] = rec[keys[rnd.IntN(len(keys))]]
	case 2:
		delete(rec, k)
	case 3:
		names := slices.Sorted(maps.Keys(beside))
		name := names[rnd.IntN(len(names))]
		rec[name] = beside[name]
	case 4:
		if len(lists) > 0 { // an element twice, or the list the other way round
			i := rnd.IntN(len(lists))
			l := slices.Clone(lists[i])
			if rnd.IntN(2) == 0 && len(l) > 0 {
				l = append(l, l[rnd.IntN(len(l))])
			} else {
				slices.Reverse(l)
			}
			put[i](l)
			return
		}
		fallthrough
	case 5:
		switch rec[k].(type) {
		case string, float64:
			rec[k] = plausible[rnd.IntN(len(plausible))]
		default:
			rec[strconv.Itoa(rnd.IntN(9))] = 1
		}
	}
}
