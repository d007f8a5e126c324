package dated_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"isocue.example/compiler/dated"
	"isocue.example/compiler/diary"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

var (
	monday, _ = unit.ParseDate("2027-01-04")
	noon      = time.Date(2027, 1, 20, 12, 0, 0, 0, time.UTC)
)

func client(t *testing.T, r *load.Reader, edits ...string) *load.Client {
	t.Helper()
	src, err := os.ReadFile(filepath.Join("..", "..", "testdata", "demo", "client.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	f := r.Bytes("c.yaml", []byte(strings.NewReplacer(edits...).Replace(string(src))))
	if f.Client == nil {
		t.Fatal(f.Findings)
	}
	return f.Client
}

func reader(t *testing.T) *load.Reader {
	t.Helper()
	r, err := load.NewReader(nil)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// read is a diary of entries, each with who entered it.
func read(t *testing.T, r *load.Reader, entries ...string) *diary.Diary {
	t.Helper()
	text := ""
	for _, e := range entries {
		text += `- {by: "L. Brandt", ` + e + "}\n"
	}
	f := r.Bytes("a.diary.yaml", []byte(text))
	if len(f.Findings) > 0 {
		t.Fatal(f.Findings, text)
	}
	return diary.Of(f.Diary.Of())
}

// What a record and a diary say together. Source: docs/architecture.md, a plan after a plan.
func TestRecord(t *testing.T) {
	r := reader(t)
	grip := func(day, extra string, best int) string {
		return fmt.Sprintf("date: %s, %sgrip: {hand: right, unit: kgf, trials: [%d], score: best, with: home-gauge}", day, extra, best)
	}
	newest := func(c *record.Client) string { return c.NewestGrip(record.Right, monday+16).Score().String() }
	medicines := func(c *record.Client) (out string) {
		for _, m := range c.Medicines {
			out += fmt.Sprint(m.Class, " ", m.Changed, " ", m.Stopped, ";")
		}
		return out
	}
	gauges := func(c *record.Client) (out string) {
		for _, g := range c.Gauges {
			out += g.ID + " " + g.Step.String() + ";"
		}
		return out
	}
	later := func(c *record.Client) (out string) {
		zone, call := c.Lives(monday + 30)
		return fmt.Sprint(c.Zone, " ", c.Contacts.Emergency, " ", zone, " ", call, " ", len(c.Later))
	}
	limits := func(c *record.Client) string { return fmt.Sprint(c.LimitSystolic, "/", c.LimitDiastolic) }
	const takes = "medicines: []"
	const beta = "medicines: [{class: beta-blocker, changed: 2026-06-01}]"
	signed := func(day, what string) string {
		return fmt.Sprintf(`date: %s, limits: {%s, by: "T. Ansah", date: %s}`, day, what, day)
	}
	for _, x := range []struct {
		why     string
		edits   []string
		entries []string
		says    func(*record.Client) string
		want    string
	}{
		{"a measurement is one more", nil, []string{grip("2027-01-10", "", 44)}, newest, "44"},
		{"of one hand on one date the diary counts", nil, []string{grip("2027-01-02", "", 30)}, newest, "30"},
		{"of two that nobody can tell apart the lower", nil, []string{grip("2027-01-10", "", 44), grip("2027-01-10", "", 42)}, newest, "42"},
		{"of two with times the later", nil, []string{grip("2027-01-10", `time: "08:00", `, 42), grip("2027-01-10", `time: "09:00", `, 44)}, newest, "44"},
		{"one that was taken back is none", nil, []string{"id: g, " + grip("2027-01-10", "", 44), `date: 2027-01-11, void: {entry: g, why: "another client"}`}, newest, "40"},
		{"a day that has not come is none", nil, []string{grip("2027-01-10", "", 44)}, newest, "44"},
		{"a device beside", nil, []string{"date: 2027-01-10, device: {grip: {id: two, unit: kgf, step: 1}}"}, gauges, "home-gauge 0.5;two 1;"},
		{"a device in the place of another", nil, []string{"date: 2027-01-10, device: {grip: {id: two, unit: kgf, step: 1}, instead: home-gauge}"}, gauges, "two 1;"},
		{"the same id again is the device as it is now", nil, []string{"date: 2027-01-10, device: {grip: {id: home-gauge, unit: kgf, step: 2}}"}, gauges, "home-gauge 2;"},
		{"one that was replaced is back by a later entry", nil, []string{"date: 2027-01-10, device: {grip: {id: two, unit: kgf, step: 1}, instead: home-gauge}",
			"date: 2027-01-12, device: {grip: {id: home-gauge, unit: kgf, step: 0.5}, instead: two}"}, gauges, "home-gauge 0.5;"},
		{"two that contradict each other: what was before", nil, []string{"date: 2027-01-10, device: {grip: {id: home-gauge, unit: kgf, step: 2}}",
			"date: 2027-01-10, device: {grip: {id: home-gauge, unit: kgf, step: 1}}"}, gauges, "home-gauge 0.5;"},
		{"started", nil, []string{"date: 2027-01-10, medicine: {class: thiazide, change: started}"}, medicines, "thiazide 2027-01-10 false;"},
		{"stopped, of the record's", []string{takes, beta}, []string{"date: 2027-01-10, medicine: {class: beta-blocker, change: stopped}"}, medicines, "beta-blocker 2027-01-10 true;"},
		{"a stop by name is none of what the record calls by its class", []string{takes, beta}, []string{"date: 2027-01-10, medicine: {class: beta-blocker, name: bisoprolol, change: stopped}"}, medicines, "beta-blocker 2026-06-01 false;beta-blocker 2027-01-10 true;"},
		{"started and stopped by name leaves the record's", []string{takes, beta}, []string{"date: 2027-01-08, medicine: {class: beta-blocker, name: bisoprolol, change: started}",
			"date: 2027-01-10, medicine: {class: beta-blocker, name: bisoprolol, change: stopped}"}, medicines, "beta-blocker 2026-06-01 false;beta-blocker 2027-01-10 true;"},
		{"started again", nil, []string{"date: 2027-01-08, medicine: {class: thiazide, change: started}", "date: 2027-01-10, medicine: {class: thiazide, change: stopped}",
			"date: 2027-01-12, medicine: {class: thiazide, change: started}"}, medicines, "thiazide 2027-01-12 false;"},
		{"started and stopped on one day without times: it is taken", nil, []string{"date: 2027-01-10, medicine: {class: thiazide, change: stopped}",
			"date: 2027-01-10, medicine: {class: thiazide, change: started}"}, medicines, "thiazide 2027-01-10 false;"},
		{"a stop before the record's change stops nothing", []string{takes, beta}, []string{"date: 2026-05-01, medicine: {class: beta-blocker, change: stopped}"}, medicines, "beta-blocker 2026-06-01 false;"},
		{"a move today", nil, []string{`date: 2027-01-10, moved: {zone: Europe/Lisbon, emergency: "112"}`}, later, "Europe/Lisbon 112 Europe/Lisbon 112 0"},
		{"a move ahead", nil, []string{`date: 2027-02-01, moved: {zone: Europe/Lisbon, emergency: "112"}`}, later, "America/Halifax 911 Europe/Lisbon 112 1"},
		{"two moves ahead that contradict each other: the one before", nil, []string{`date: 2027-01-25, moved: {zone: Europe/Rome, emergency: "118"}`, `date: 2027-02-01, moved: {zone: Europe/Lisbon, emergency: "112"}`, `date: 2027-02-01, moved: {zone: Europe/Paris, emergency: "112"}`}, later, "America/Halifax 911 Europe/Rome 118 1"},
		{"two moves of one day: neither, but the number on which they agree", nil, []string{`date: 2027-01-10, moved: {zone: Europe/Lisbon, emergency: "112"}`, `date: 2027-01-10, moved: {zone: Europe/Paris, emergency: "112"}`}, later, "America/Halifax 112 America/Halifax 112 0"},
		{"a number after a move", nil, []string{`date: 2027-01-10, moved: {zone: Europe/Lisbon, emergency: "112"}`, `date: 2027-01-12, contacts: {emergency: "115"}`}, later, "Europe/Lisbon 115 Europe/Lisbon 115 0"},
		{"limits", nil, []string{signed("2027-01-10", "systolic: 150, diastolic: 95")}, limits, "150/95"},
		{"of two limits of one day each lower number", nil, []string{signed("2027-01-10", "systolic: 150, diastolic: 98"), signed("2027-01-10", "systolic: 155, diastolic: 92")}, limits, "150/92"},
		{"an answer to what the record does not answer", []string{`ill-now: "no"`, `ill-now: "unanswered"`}, []string{`date: 2027-01-10, asked: {questions: 2, answers: {ill-now: "no"}}`}, func(c *record.Client) string { return c.Answers["ill-now"] }, "no"},
		{"a no never takes a yes of the record back", []string{`cough-faint: "no"`, `cough-faint: "yes"`}, []string{`date: 2027-01-10, asked: {questions: 2, answers: {cough-faint: "no"}}`}, func(c *record.Client) string { return c.Answers["cough-faint"] }, "yes"},
		{"taught in one modality is not taught in another", nil, []string{"date: 2027-01-10, taught: {modality: handgrip}"},
			func(c *record.Client) string {
				return fmt.Sprint(c.TaughtIn(record.Handgrip), c.TaughtIn(record.WallSquat))
			}, "2027-01-10 2027-01-02"},
	} {
		cl := client(t, r, x.edits...)
		before, _ := json.Marshal(cl.Node)
		d := read(t, r, x.entries...)
		got := dated.Record(cl, d, dated.Today(cl.Record, d, noon))
		if s := x.says(got.Record); s != x.want {
			t.Errorf("%s: %s, want %s", x.why, s, x.want)
		}
		if after, _ := json.Marshal(cl.Node); !bytes.Equal(before, after) {
			t.Errorf("%s: the record itself was changed", x.why)
		}
	}
}

// Entries in any order, merged from two writers, are the same record. Source: package diary.
func TestAnyOrder(t *testing.T) {
	r := reader(t)
	cl := client(t, r)
	for seed := range uint64(100) {
		rnd := rand.New(rand.NewPCG(seed, 5))
		var all []string
		for i := range 3 + rnd.IntN(12) {
			all = append(all, entry(rnd, i))
		}
		want := ""
		for turn := range 4 {
			rnd.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
			lines := all
			if turn == 3 { // the common part of two writers stands twice
				lines = append(lines[:len(lines):len(lines)], all[:len(all)/2]...)
			}
			d := read(t, r, lines...)
			got := dated.Record(cl, d, monday+16)
			text, err := json.Marshal(got.Node)
			if err != nil {
				t.Fatal(err)
			}
			said := fmt.Sprintf("%s %+v", text, *got.Record)
			if turn == 0 {
				want = said
			} else if said != want {
				t.Fatalf("diary %d: another order says something else\n%s\n%s\n%s", seed, strings.Join(all, "\n"), want, said)
			}
		}
	}
}

// entry is a random entry of a kind that a record has too.
func entry(r *rand.Rand, i int) string {
	day := monday + unit.Date(r.IntN(16))
	pick := func(all ...string) string { return all[r.IntN(len(all))] }
	clock := ""
	if r.IntN(2) == 0 {
		clock = fmt.Sprintf(`time: "%02d:00", `, 7+r.IntN(4))
	}
	head := fmt.Sprintf("id: e%d, date: %s, %s", i, day, clock)
	n := 36 + r.IntN(8)
	switch r.IntN(9) {
	case 0:
		return head + fmt.Sprintf("grip: {hand: %s, unit: kgf, trials: [%d], score: best, with: home-gauge}", pick("left", "right"), n)
	case 1:
		return head + fmt.Sprintf("inspiratory: {unit: cmH2O, trials: [%d], method: static}", 2*n)
	case 2:
		return head + fmt.Sprintf("walking: {minutesPerWeek: %d}", n)
	case 3:
		return head + fmt.Sprintf("medicine: {class: %s, change: %s}", pick("beta-blocker", "thiazide"), pick("started", "changed", "stopped"))
	case 4:
		return head + fmt.Sprintf("moved: {zone: %s, emergency: \"112\"}", pick("Europe/Lisbon", "Europe/Paris", "Asia/Kolkata"))
	case 5:
		return head + fmt.Sprintf(`hours: [{days: [mon, tue], from: "%02d:00", to: "20:00"}]`, 6+r.IntN(5))
	case 6:
		return head + fmt.Sprintf(`contacts: {coach: "+1 555 01%d"}`, n)
	case 7:
		return head + fmt.Sprintf("device: {grip: {id: %s, unit: kgf, step: %d}, instead: %s}", pick("two", "three"), 1+r.IntN(2), pick("home-gauge", "two"))
	}
	return head + fmt.Sprintf(`limits: {systolic: %d, diastolic: %d, by: "T. Ansah", date: %s}`, 110+n, 50+n, day)
}
