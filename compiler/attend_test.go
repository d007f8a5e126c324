package compiler

import (
	"testing"
	"time"

	"isocue.example/compiler/diary"
	"isocue.example/compiler/progress"
	"isocue.example/compiler/unit"
)

// What a client needs first, by what the diary says. Source: docs/guide.md, a year with one client.
func TestAttend(t *testing.T) {
	c := invented(t)
	first := plan(t, c, demo(t, c, "handgrip-alternating", "slow-breathing-even"))
	const told = `date: 2027-01-03, time: "12:00", told: {who: client, reached: true}`
	const ill = `id: a, date: 2027-01-12, time: "06:30", ill: "fever"`
	for _, x := range []struct {
		entries []string
		want    progress.Need
		why     string
	}{
		{nil, progress.HandOut, "nobody said that the client has the sheet"},
		{[]string{`date: 2027-01-03, time: "12:00", told: {who: client, reached: false}`}, progress.HandOut, "nobody was reached"},
		{[]string{`date: 2027-01-03, time: "12:00", told: {who: prescriber, reached: true}`}, progress.HandOut, "another was reached"},
		{[]string{told}, progress.Nothing, "the client has the sheet"},
		{[]string{told, ill}, progress.NotTold, "a call of before the illness is none about it"},
		{[]string{told, ill, `date: 2027-01-12, told: {who: client, reached: true}`}, progress.NotTold, "nobody can tell whether the call was later"},
		{[]string{told, ill, `date: 2027-01-12, time: "06:20", told: {who: client, reached: true}`}, progress.NotTold, "the call was before"},
		{[]string{told, ill, `date: 2027-01-12, time: "06:40", told: {who: client, about: [b], reached: true}`}, progress.NotTold, "the call was about something else"},
		{[]string{told, ill, `date: 2027-01-12, told: {who: client, about: [a], reached: true}`}, progress.HandOut, "the call names the illness; the sheet that cancels is not made yet"},
		{[]string{told, ill, `date: 2027-01-12, time: "06:40", told: {who: client, reached: true}`}, progress.HandOut, "the call was later"},
		{[]string{told, `date: 2027-01-12, symptom: "chest pain"`}, progress.Emergency, "a danger sign"},
		{[]string{told, `date: 2027-01-11, symptom: "chest pain"`, `date: 2027-01-12, time: "06:00", told: {who: client, reached: true}`}, progress.HandOut, "the client was rung, and a sheet is to be made"},
		{[]string{told, `date: 2027-01-09, symptom: "chest pain"`}, progress.Today, "a danger sign of days ago is the prescriber's"},
		{[]string{told, `date: 2027-01-12, time: "06:00", reading: {systolic: 138, diastolic: 84, pulse: 128, setting: home}`}, progress.Nothing, "readings come in with the log, not here"},
		{[]string{told, `id: w, date: 2027-01-10, note: "tintelingen", taught: {modality: handgrip}`}, progress.Nothing, "words of a note count where they are known"},
		{[]string{told, `id: h, date: 2027-01-11, time: "06:30", condition: {code: hand-hurt, side: left}`}, progress.NotTold, "the sheet still squeezes with the hand that hurts"},
		{[]string{told, `id: h, date: 2027-01-05, condition: {code: hand-hurt, side: left}`, `date: 2027-01-11, over: {code: hand-hurt, side: left}`, `date: 2027-01-11, time: "07:00", told: {who: client, reached: true}`}, progress.TestDue, "the hand has healed and was not measured since"},
		{[]string{told, `id: h, date: 2027-01-11, time: "06:30", condition: {code: hand-hurt, side: left}`, `date: 2027-01-11, time: "07:00", told: {who: client, reached: true}`}, progress.HandOut, "the client was rung about the hand"},
	} {
		in := demo(t, c, "handgrip-alternating", "slow-breathing-even")
		in.Previous, in.Now = first, time.Date(2027, 1, 12, 12, 0, 0, 0, time.UTC)
		in.Diary = diaryOf(t, c, x.entries...)
		made, err := c.Compile(in)
		if err != nil {
			t.Fatal(err)
		}
		ms := c.Attend(Attending{Following: Following{Client: in.Client, Plan: first, Now: in.Now, Diary: in.Diary}, Zone: in.Client.Record.Zone, Made: &made})
		if ms[0].Need != x.want {
			t.Errorf("%s: %s (%s), want %s", x.why, ms[0].Need, ms[0].Says, x.want)
		}
	}
}

// Silence is told after two weeks in which nothing was entered or logged, and not before.
func TestSilence(t *testing.T) {
	c := invented(t)
	first := plan(t, c, demo(t, c, "slow-breathing-even"))
	for _, x := range []struct {
		day  int
		want progress.Need
	}{{17, progress.Nothing}, {18, progress.Silent}} {
		in := demo(t, c, "slow-breathing-even")
		d := diaryOf(t, c, `date: 2027-01-03, time: "12:00", told: {who: client, reached: true}`)
		now := time.Date(2027, 1, x.day, 12, 0, 0, 0, time.UTC)
		ms := c.Attend(Attending{Following: Following{Client: in.Client, Plan: first, Now: now, Diary: d}, Zone: in.Client.Record.Zone})
		if ms[0].Need != x.want {
			t.Errorf("day %d: %s (%s)", x.day, ms[0].Need, ms[0].Says)
		}
	}
}

// Matters are put in the order of needs, and of those who were not told whose session comes first.
func TestSortMatters(t *testing.T) {
	ms := []progress.Matter{{Need: progress.Nothing}, {Need: progress.NotTold}, {Need: progress.NotTold, Next: unit.At(20000, 600)}, {Need: progress.NotTold, Next: unit.At(20000, 420)}, {Need: progress.Emergency}}
	progress.SortMatters(ms)
	if ms[0].Need != progress.Emergency || ms[1].Next != unit.At(20000, 420) || ms[2].Next != unit.At(20000, 600) || ms[3].Next != 0 || ms[4].Need != progress.Nothing {
		t.Errorf("%+v", ms)
	}
}

// diaryOf is the diary that some entries make.
func diaryOf(t *testing.T, c *Compiler, entries ...string) *diary.Diary {
	t.Helper()
	src := ""
	for _, e := range entries {
		src += "- {by: B, " + e + "}\n"
	}
	f := c.Reader.Bytes("plover-12.diary.yaml", []byte(src))
	if f.Diary == nil {
		if len(entries) == 0 {
			return diary.Of(nil)
		}
		t.Fatal(f.Findings)
	}
	return diary.Of(f.Diary.Of())
}
