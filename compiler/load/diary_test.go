package load

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/record"
)

// entries are one sound entry of every kind, behind date and by.
var entries = map[record.Happening]string{
	record.Ill: `ill: "fever"`, record.Well: "well: true", record.Felt: `symptom: "dizzy on standing"`,
	record.Asked:       `asked: {questions: 1, answers: {ill-now: "no"}}`,
	record.Read:        `time: "07:30", reading: {systolic: 138, diastolic: 84, pulse: 70, setting: home, arm: left, posture: sitting, cuff: "the new one"}`,
	record.GripIs:      "grip: {hand: right, unit: kgf, trials: [38.5, 40, 39], score: best, with: home-gauge}",
	record.MouthIs:     "inspiratory: {unit: cmH2O, trials: [78, 82], method: static}",
	record.SquatIs:     "squat: {stages: [{kneeDegrees: 135, heelCm: 38, heartRate: 82}, {kneeDegrees: 125, heelCm: 44, heartRate: 90}], ended: volitional}",
	record.WalkingIs:   "walking: {minutesPerWeek: 90}",
	record.HasDevice:   "device: {grip: {id: second, unit: kgf, step: 0.5}, instead: home-gauge}",
	record.HasMedicine: "medicine: {class: beta-blocker, name: bisoprolol, change: stopped}",
	record.Begins:      "condition: {code: hand-hurt, side: left}", record.Over: "over: {code: hand-hurt, side: left}",
	record.Cleared: `clearance: {for: [age, handgrip], by: "R. Okafor", role: physician, date: 2027-01-02, until: 2027-06-01}`,
	record.Limited: `limits: {systolic: 150, by: "R. Okafor", date: 2027-01-02}`,
	record.Moved:   `moved: {zone: Europe/Paris, emergency: "112"}`, record.HoursAre: `hours: [{days: [mon, wed], from: "07:00", to: "08:00"}]`,
	record.ContactsAre: `contacts: {coach: "+351 555 0100"}`, record.Paused: "pause: {from: 2027-02-01, to: 2027-02-07}", record.Resumed: "resume: true",
	record.Lighter: "lighter: {protocol: handgrip-alternating}", record.CourseIs: "course: {protocols: [slow-breathing, protocols/our own.cue], start: 2027-03-08, replaces: true}",
	record.Stop: "stop: true", record.DidTrain: `trained: {protocol: handgrip-alternating, time: "07:00", outcome: done}`, record.Taught: "taught: {modality: handgrip}",
	record.Told: "told: {who: client, about: [ab12], reached: true}", record.Understood: "read: {entry: ab12, finding: nothing}", record.Void: `void: {entry: ab12, why: "the other client"}`,
}

func entryLine(what string) string {
	return `- {date: 2027-01-02, by: "L. Brandt", ` + what + "}"
}

// Every kind of entry is read, by hand on several lines too, and CUE alone accepts it as an entry.
func TestEveryKindOfEntry(t *testing.T) {
	r := reader(t)
	if len(entries) != len(record.Happenings) {
		t.Fatalf("%d entries for %d kinds", len(entries), len(record.Happenings))
	}
	for _, what := range record.Happenings {
		src := entryLine(entries[what])
		block := "- date: 2027-01-02\n  # by hand\n  by: \"L. Brandt\"\n"
		for _, part := range strings.SplitN(entries[what], ", reading", 2) {
			if strings.HasPrefix(part, ": {systolic") {
				part = "reading" + part
			}
			block += "  " + part + "\n"
		}
		var first record.Entry
		for i, text := range []string{src + "\n", block} {
			f := r.Bytes("a.diary.yaml", []byte(text))
			if len(f.Findings) > 0 || f.Kind != IsDiary || len(f.Diary.Entries) != 1 {
				t.Fatalf("%s: %v\n%s", what, f.Findings, text)
			}
			e := f.Diary.Entries[0].Entry
			if e.What != what || e.Date.String() != "2027-01-02" || e.By != "L. Brandt" || e.Named || len(e.ID) != 8 || e.Line != 1 {
				t.Errorf("%s: %+v", what, e)
			}
			if i == 0 {
				first = e
			} else if e.ID != first.ID {
				t.Errorf("%s: %s by hand, %s on one line", what, e.ID, first.ID)
			}
			if ps := r.diaries().Check("#Entry", f.Diary.Entries[0].Node()); len(ps) > 0 {
				t.Errorf("%s: CUE refuses it: %v", what, ps)
			}
		}
	}
	f := r.Bytes("a.diary.yaml", []byte(entryLine(entries[record.DidTrain])))
	if x := f.Diary.Entries[0].Trained; x.Outcome != record.Completed || x.Time.String() != "07:00" {
		t.Errorf("a session that was done: %+v", x)
	}
}

// What is wrong with an entry is told at its line, and the entries around it are read.
func TestFaultsOfAnEntry(t *testing.T) {
	r := reader(t)
	for _, c := range []struct {
		entry, told string
		kept        int  // of the entry itself
		cue         bool // CUE accepts it: what is wrong is more than shape
		why         string
	}{
		{entryLine(`symtom: "dizzy"`), "symtom is not a field here, did you mean symptom", 0, false, "a near word"},
		{entryLine(`note: "nothing"`), "does not say what happened", 0, false, "no kind"},
		{entryLine(`ill: "fever", well: true`), "says both ill and well", 1, false, "two kinds: what closes is kept"},
		{entryLine(`ill: "fever", mood: "low"`), "mood is not a field here", 1, false, "an illness beside an unknown key is an illness"},
		{entryLine(`well: true, mood: "low"`), "mood is not a field here", 1, false, "its own field is sound"},
		{`- {date: 2027-01-02, ill: "fever"}`, "by is missing", 1, false, "nobody wrote it, and it is an illness"},
		{`- {date: 2027-01-32, by: "L. Brandt", ill: "fever"}`, "date is", 0, false, "nobody knows the day"},
		{`- {date: 2027-02-30, by: "L. Brandt", ill: "fever"}`, "a day of the calendar", 0, true, "nobody knows the day"},
		{entryLine("well: false"), "well is false", 0, false, "nobody says that"},
		{entryLine("reading: {systolic: 138, diastolic: 84, setting: home}"), "the reading has no time", 0, true, "a reading needs its time"},
		{entryLine(`time: "07:30", reading: {systolic: 84, diastolic: 138, setting: home}`), "not under the systolic", 0, true, "swapped"},
		{entryLine("grip: {hand: right, unit: kg, trials: [38.5], score: best, with: home-gauge}"), `grip.unit is "kg"`, 0, false, "kilograms are no force"},
		{entryLine("device: {instead: home-gauge}"), "device has 0 of grip", 0, true, "no device"},
		{entryLine("moved: {zone: Europe/Nowhere, emergency: \"112\"}"), "Europe/Nowhere", 0, true, "no zone"},
		{entryLine("moved: {zone: Europe/Paris}"), "moved.emergency is missing", 0, false, "whom to call there"},
		{entryLine("pause: {from: 2027-02-07, to: 2027-02-01}"), "not before", 0, true, "ends before it begins"},
		{entryLine("course: {protocols: [../theirs.cue], start: 2027-02-07}"), "course.protocols[0] is", 0, false, "out of the folder"},
		{entryLine("course: {protocols: [a], start: 2027-02-07, add: true, replaces: true}"), "both add and replaces", 0, true, "both"},
		{entryLine("read: {finding: nothing}"), "names an entry and a row, or neither", 0, true, "of what"},
		{`- {date: 2027-01-02, by: "L. Brandt", ill: "fev`, "cannot be read", 0, false, "torn"},
		{"-", "the entry is empty", 0, false, "a hyphen"},
		{"- ill", "a bare value stands where a field is allowed", 0, false, "a word"},
		{`ill: "fever"`, "the line belongs to no entry", 0, false, "the hyphen was forgotten"},
		{"ill:\n  fever", "the line belongs to no entry", 0, false, "on two lines"},
		{"- {date: 2027-01-02, by: &x \"L. Brandt\", ill: *x}", "is not data", 0, false, "anchors are no data"},
		{entryLine(`ill: "` + strings.Repeat("x", 9000) + `"`), "the entry has 9", 0, false, "longer than anybody writes"},
		{entryLine("ill: \"a\x00b\""), "NUL", 0, false, "no text"},
		{entryLine("ill: \"a\xffb\""), "not UTF-8", 0, false, "another encoding spoils one entry"},
	} {
		around := entryLine(`id: one, ill: "cold"`) + "\n%s\n" + entryLine("id: two, well: true") + "\n"
		f, one := r.Bytes("a.diary.yaml", []byte(fmt.Sprintf(around, c.entry))), r.Bytes("a.diary.yaml", []byte(c.entry+"\n"))
		var says []string
		for _, x := range f.Findings {
			says = append(says, x.Message)
			if x.Pos.Line != 2 && x.Pos.Line != 3 || x.Verdict != finding.Malformed || !x.Private {
				t.Errorf("%s: on line %d, %s, private %v", c.why, x.Pos.Line, x.Verdict, x.Private)
			}
		}
		if len(says) == 0 || !strings.Contains(strings.Join(says, "\n"), c.told) {
			t.Errorf("%s: %q, want %q", c.why, says, c.told)
		}
		for _, d := range []*Diary{f.Diary, one.Diary} { // words of what is refused are no entry
			d.Entries = slices.DeleteFunc(d.Entries, func(e DiaryEntry) bool { return e.What == record.Unread })
		}
		if len(f.Diary.Entries) != 2+c.kept || f.Diary.Entries[0].ID != "one" || f.Diary.Entries[1+c.kept].ID != "two" {
			t.Errorf("%s: %d entries are read, want %d", c.why, len(f.Diary.Entries), 2+c.kept)
		}
		if len(one.Diary.Entries) > 0 && !c.cue {
			if ps := r.diaries().Check("#Entry", one.Diary.Entries[0].Node()); len(ps) == 0 {
				t.Errorf("%s: CUE accepts it", c.why)
			}
		}
	}
}

// A diary is told by its content, as other files are, and by its name where it says nothing yet.
func TestDiaryIsTold(t *testing.T) {
	r := reader(t)
	sound := entryLine(`ill: "fever"`) + "\n"
	for _, c := range []struct {
		name, src string
		want      Kind
		n         int
		why       string
	}{
		{"a.diary.yaml", sound, IsDiary, 1, "usual"},
		{"a.yaml", sound, IsDiary, 1, "by content"},
		{"-", sound, IsDiary, 1, "from standard input"},
		{"a.diary.yaml", "", IsDiary, 0, "empty"},
		{"a.diary.yaml", "# nothing yet\n", IsDiary, 0, "comments alone"},
		{"a.diary.yaml", "---\n# one\n\n" + sound, IsDiary, 1, "a document's mark and comments"},
		{"a.diary.yaml", strings.ReplaceAll(sound+sound, "\n", "\r\n"), IsDiary, 2, "the line ends of Windows"},
		{"a.yaml", "# what happened\n- by: \"L. Brandt\"\n  date: 2027-01-02\n  well: true\n", IsDiary, 1, "by hand"},
		{"a.yaml", "- modality: handgrip\n", IsUnknown, 0, "another list"},
		{"a.json", "[]", IsUnknown, 0, "no YAML"},
	} {
		f := r.Bytes(c.name, []byte(c.src))
		if f.Kind != c.want || c.want == IsDiary && (len(f.Diary.Entries) != c.n || len(f.Findings) > 0) {
			t.Errorf("%s: %s, %+v, %v", c.why, f.Kind, f.Diary, f.Findings)
		}
	}
	if f := r.Bytes("a.diary.yaml", []byte("  "+sound)); len(f.Findings) != 1 || entriesIn(f) != 0 {
		t.Errorf("an indented list is passed over: %v", f.Findings)
	}
	f := r.Bytes("a.diary.yaml", []byte("\ufeff"+sound))
	if len(f.Diary.Entries) != 1 || len(f.Findings) != 1 {
		t.Errorf("a byte order mark: %d entries, %v", len(f.Diary.Entries), f.Findings)
	}
}

// entriesIn is how many entries were read, without the words of lines that are refused.
func entriesIn(f *File) (n int) {
	for _, e := range f.Diary.Entries {
		if e.What != record.Unread {
			n++
		}
	}
	return n
}

// The bounds of a diary are its own, and what is past them is one finding.
func TestBoundsOfADiary(t *testing.T) {
	r := reader(t)
	line, large := entryLine("well: true")+"\n", MaxDiary/8
	if full {
		large = MaxDiary
	}
	for _, c := range []struct {
		src  string
		n    int
		told string
	}{
		{strings.Repeat(line, MaxEntries), MaxEntries, ""},
		{strings.Repeat(line, MaxEntries+1), 0, "more than 20000 entries"},
		{strings.Repeat("#"+strings.Repeat("x", 1022)+"\n", 4<<10) + line, 0, "bytes"},
		{strings.Repeat("- {well: maybe}\n", 5000), 0, "more places from here on"},
		{line + strings.Repeat("\n", large-len(line)), 1, ""}, // and none of these takes longer than its length
		{line + strings.Repeat(" \n", large/2-len(line)), 1, ""},
		{line + strings.Repeat("#\n", large/2-len(line)), 1, ""},
		{line + strings.Repeat("x\n", large/2-len(line)), 1, "belongs to no entry"},
		{strings.Repeat("- \n", large/3), 0, "entries, allowed"},
	} {
		f := r.Bytes("a.diary.yaml", []byte(c.src))
		if entriesIn(f) != c.n || (c.told == "") != (len(f.Findings) == 0) {
			t.Errorf("%d entries, %d findings", len(f.Diary.Entries), len(f.Findings))
		}
		if c.told != "" && !slices.ContainsFunc(f.Findings, func(x finding.Finding) bool { return strings.Contains(x.Message, c.told) }) {
			t.Errorf("%v, want %q", f.Findings[len(f.Findings)-1].Message, c.told)
		}
	}
}

// Whatever stands in a diary, an entry behind it is read, and every finding has a place in the file.
func FuzzDiary(f *testing.F) {
	r := reader(f)
	for _, what := range record.Happenings {
		f.Add([]byte(entryLine(entries[what])))
	}
	for _, s := range []string{"", "- {", "- |\n  text", "- \"", "- 'x\n  y", "\ufeff- a", "---\n- a\n---", "- &a {b: *a}", "- !!binary x", "- ? a\n  : b", "%YAML 1.2", "- {<<: {date: 1}}",
		"- {date: 2027-01-02, by: x, ill: \xff}", "- {\r\n  date: 2027-01-02}", "{\n  \"version\": 1,\n  \"client\": \"a\"", "- [[[[[[[[[[[[[[[[[[[[", "\t- a", "- # b"} {
		f.Add([]byte(s))
	}
	last := entryLine("id: last, well: true")
	f.Fuzz(func(t *testing.T, src []byte) {
		if len(src) > 16<<10 {
			return
		}
		d := r.Bytes("a.diary.yaml", []byte(string(src)+"\n"+last+"\n"))
		if n := len(d.Diary.Entries); n == 0 || d.Diary.Entries[n-1].ID != "last" {
			t.Fatalf("%q hides what stands behind it: %v", src, d.Findings)
		}
		lines := strings.Count(string(src), "\n") + 2
		for _, x := range d.Findings {
			if x.Pos.Line < 1 || x.Pos.Line > lines+1 || x.Pos.Column < 1 || !x.Private {
				t.Fatalf("%q: a finding at %v", src, x)
			}
		}
	})
}
