package load_test

import (
	"fmt"
	"strings"
	"testing"

	"isocue.example/compiler/internal/cueval"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
	"isocue.example/compiler/zone"
	"isocue.example/schema"
)

func span(t testing.TB) load.LogSpan {
	t.Helper()
	b, err := rule.Load()
	if err != nil {
		t.Fatal(err)
	}
	loc, err := zone.Load("Europe/Lisbon")
	if err != nil {
		t.Fatal(err)
	}
	now, err := unit.ParseLocal("2027-03-01T12:00")
	if err != nil {
		t.Fatal(err)
	}
	gate := record.Gate{Systolic: b.Limit("pressure-systolic-severe", "below").Num, Diastolic: b.Limit("pressure-diastolic-severe", "below").Num, PulseClinic: b.Limit("pulse-ceiling", "ceiling").Num}
	return load.LogSpan{Comparison: b.Compared(), LeastApart: b.Limit("pressure-difference-floor", "floor").Whole(), Zone: loc, Now: now, Gate: gate, Sitting: b.Sitting.SameSitting}
}

// says is what a log came to: a line a reading, then a line a problem.
func says(l *record.Log) string {
	var b strings.Builder
	for _, r := range l.Readings {
		fmt.Fprintf(&b, "%d: %s %d/%d pulse %d %s", r.Line, r.At, r.Systolic, r.Diastolic, r.Pulse, r.Arm)
		if r.Standing {
			b.WriteString(" standing")
		}
		b.WriteString("\n")
	}
	for _, p := range l.Problems {
		fmt.Fprintf(&b, "%s:%d: %s (kept %v, largest %d)\n", p.File, p.Line, p.Problem, p.Kept, p.Largest)
	}
	return b.String()
}

// Source: the columns of a pressure log as docs/guide.md has them; the spellings are common practice.
func TestPressureLogReadsWhatPeopleWrite(t *testing.T) {
	const want = "2: 2027-02-01T07:30 138/84 pulse 68 left\n"
	for _, c := range []struct{ why, src string }{
		{"the plain form", "at,systolic,diastolic,pulse,arm\n2027-02-01T07:30,138,84,68,left\n"},
		{"a byte order mark, carriage returns", "\ufeffat,systolic,diastolic,pulse,arm\r\n2027-02-01T07:30,138,84,68,left\r\n"},
		{"semicolons and decimal commas", "at;systolic;diastolic;pulse;arm\n2027-02-01 07:30;138,0;84,0;68;L\n"},
		{"tabs, other order, other names, units", "SYS (mmHg)\tDIA (mmHg)\tHeart rate [bpm]\tDate\tTime\tSide\n138\t84\t68\t2027-02-01\t7:30\tleft\n"},
		{"one cell for both pressures", "date and time,Blood pressure,Pulse,Arm\n2027-02-01T07:30:41,138/84,68,left\n"},
		{"quotes and spaces", "at, systolic, diastolic, pulse, arm\n\"2027-02-01T07:30\", 138, 84, 68, left\n"},
		{"headings in German", "Datum;Uhrzeit;Oberer Wert (mmHg);Unterer Wert (mmHg);Puls;Arm;Notiz\n01.02.2027;7:30;138;84;68;links;\n"},
		{"dots in the date", "at,systolic,diastolic,pulse,arm\n01.02.2027 07:30,138,84,68,left\n"},
		{"half past seven in the morning", "at,systolic,diastolic,pulse,arm\n2027-02-01 7:30 AM,138,84,68,left\n"},
		{"the zone's own offset", "at,systolic,diastolic,pulse,arm\n2027-02-01T07:30Z,138,84,68,left\n"},
		{"units in the cells", "at,systolic,diastolic,pulse,arm\n2027-02-01T07:30,138 mmHg,84 mmHg,68 bpm,left\n"},
		{"an empty line and a line of separators", "at,systolic,diastolic,pulse,arm\n2027-02-01T07:30,138,84,68,left\n\n,,,,\n"},
	} {
		l, err := load.PressureLog("log.csv", []byte(c.src), span(t))
		if err != nil {
			t.Errorf("%s: %v", c.why, err)
			continue
		}
		if got := says(l); got != want {
			t.Errorf("%s:\n%s", c.why, got)
		}
	}
}

// Every row that cannot be used is told with its line, and with what is allowed. Source: the spans of schema/base/comparison.cue.
func TestPressureLogTellsOfEveryRow(t *testing.T) {
	head := "at,systolic,diastolic,pulse,arm,posture,note\n"
	for _, c := range []struct{ why, row, want string }{
		{"zero", "2027-02-01T07:30,0,84,68,left,,", "log.csv:2: systolic is 0, which is no reading; allowed: 20 to 300 mmHg; the row is left out (kept false, largest 84)\n"},
		{"swapped", "2027-02-01T07:30,84,188,68,left,,", "log.csv:2: systolic 84 is under diastolic 188, as if swapped; allowed: the larger number as systolic; the row is left out (kept false, largest 188)\n"},
		{"too close", "2027-02-01T07:30,100,86,68,left,,", "log.csv:2: systolic 100 and diastolic 86 lie 14 mmHg apart, allowed: at least 15; the row is left out (kept false, largest 100)\n"},
		{"just far enough", "2027-02-01T07:30,101,86,,,,", "2: 2027-02-01T07:30 101/86 pulse 0 \n"},
		{"impossible", "2027-02-01T07:30,1380,84,68,left,,", "log.csv:2: systolic is 1380, allowed: 20 to 300 mmHg; the row is left out (kept false, largest 1380)\n"},
		{"a letter for a digit, and a severe number behind it", "2027-02-01T07:30,19O,118,68,left,,", "log.csv:2: systolic is text, allowed: a whole number of 20 to 300 mmHg; the row is left out (kept false, largest 118)\n"},
		{"kilopascal", "2027-02-01T07:30,24.5,15.0,68,left,,", "log.csv:2: systolic is 24.5, which in kPa would be 184 mmHg; allowed: a whole number of 20 to 300 mmHg; the row is left out (kept false, largest 245)\n"},
		{"kilopascal without fractions", "2027-02-01T07:30,24,15,68,left,,", "log.csv:2: diastolic is 15, which in kPa would be 113 mmHg; allowed: a whole number of 20 to 300 mmHg; the row is left out (kept false, largest 240)\n"},
		{"half a millimetre is no kilopascal", "2027-02-01T07:30,147.5,84,68,left,,", "log.csv:2: systolic is 147.5, allowed: a whole number of 20 to 300 mmHg; the row is left out (kept false, largest 147)\n"},
		{"missing", "2027-02-01T07:30,138", "log.csv:2: diastolic is missing, allowed: 20 to 300 mmHg; the row is left out (kept false, largest 138)\n"},
		{"no such day", "2027-02-30T07:30,138,84,68,left,,", "log.csv:2: time 2027-02-30T07:30 is a day that does not exist; the row is left out (kept false, largest 138)\n"},
		{"no time of day", "2027-02-01,138,84,68,left,,", "log.csv:2: time 2027-02-01 has no time of day, allowed: such as 2027-01-04T07:30; the row is left out (kept false, largest 138)\n"},
		{"the future", "2027-03-01T12:01,138,84,68,left,,", "log.csv:2: time 2027-03-01T12:01 has not come yet, allowed: until now, 2027-03-01T12:00; the row is left out (kept false, largest 138)\n"},
		{"slashes that can be read two ways", "02/01/2027 07:30,138,84,68,left,,", "log.csv:2: time 02/01/2027 07:30 can be read as day/month or month/day, and no row of the file tells which; allowed: such as 2027-01-04T07:30; the row is left out (kept false, largest 138)\n"},
		{"another zone", "2027-02-01T07:30+05:30,138,84,68,left,,", "2: 2027-02-01T02:00 138/84 pulse 68 left\nlog.csv:2: its time has the offset +05:30, which is not that of Europe/Lisbon then; taken as 2027-02-01T02:00 there (kept true, largest 0)\n"},
		{"a pulse that cannot be", "2027-02-01T07:30,138,84,680,left,,", "2: 2027-02-01T07:30 138/84 pulse 0 left\nlog.csv:2: pulse is 680, allowed: 20 to 250 beats a minute; the reading is kept without it (kept true, largest 0)\n"},
		{"another arm", "2027-02-01T07:30,138,84,68,Dara Quill,,", "2: 2027-02-01T07:30 138/84 pulse 68 \nlog.csv:2: arm is another word, allowed: left, right or nothing; the reading is kept without it (kept true, largest 0)\n"},
		{"lying", "2027-02-01T07:30,138,84,68,left,lying,", "log.csv:2: posture is lying, allowed: sitting, standing or nothing; the row is left out (kept false, largest 138)\n"},
		{"standing", "2027-02-01T07:30,118,74,68,left,standing,", "2: 2027-02-01T07:30 118/74 pulse 68 left standing\n"},
		{"a quote without its end swallows no other row", "\"2027-02-01T07:30,138,84,68,left,,\n2027-02-01T07:31,136,84,68,left,,", "3: 2027-02-01T07:31 136/84 pulse 68 left\nlog.csv:2: a quote is not closed or stands inside a cell, allowed: a cell with quotes around all of it; the row is left out (kept false, largest 138)\n"},
		{"a duplicate", "2027-02-01T07:30,138,84,68,left,,\n2027-02-01T07:30,138,84,68,left,,", "2: 2027-02-01T07:30 138/84 pulse 68 left\nlog.csv:3: the same reading as on line 2; it counts once (kept false, largest 0)\n"},
		{"two readings in one minute", "2027-02-01T07:30,138,84,68,left,,\n2027-02-01T07:30,136,83,68,left,,", "2: 2027-02-01T07:30 138/84 pulse 68 left\n3: 2027-02-01T07:30 136/83 pulse 68 left\n"},
		{"a symptom stays though its reading cannot be used", "2027-02-01T07:30,0,84,68,left,,chest pain", "2: 2027-02-01T07:30 0/0 pulse 0 \nlog.csv:2: systolic is 0, which is no reading; allowed: 20 to 300 mmHg; the row is left out (kept false, largest 84)\n"},
	} {
		l, err := load.PressureLog("log.csv", []byte(head+c.row+"\n"), span(t))
		if err != nil {
			t.Errorf("%s: %v", c.why, err)
			continue
		}
		if got := says(l); got != c.want {
			t.Errorf("%s:\n%swant\n%s", c.why, got, c.want)
		}
	}
}

// One row settles what the slashes of a file mean; two that contradict each other settle nothing.
func TestSlashesAreSettledByTheFile(t *testing.T) {
	head := "date,time,sys,dia\n"
	for rows, want := range map[string]string{
		"02/01/2027,07:30,138,84\n25/01/2027,07:30,136,83\n": "2027-01-02T07:30",
		"02/01/2027,07:30,138,84\n02/25/2027,07:30,136,83\n": "2027-02-01T07:30",
		"02/02/2027,07:30,138,84\n":                          "2027-02-02T07:30",
		"04/01/2027,07:30,138,84\n":                          "2027-01-04T07:30", // the first of April has not come yet
		"04/01/27,7:30,138,84\n":                             "2027-01-04T07:30",
		"02/01/27,7:30,138,84\n25/01/27,7:30,136,83\n":       "2027-01-02T07:30",
		"01.02.27,7:30,138,84\n":                             "2027-02-01T07:30",
		"2027/02/01,07:30:00,138,84\n":                       "2027-02-01T07:30",
		"04-01-2027,7:30 Uhr,138,84\n":                       "2027-01-04T07:30",
		"13/01/2027,07:30,138,84\n02/25/2027,07:30,136,83\n": "",
	} {
		l, err := load.PressureLog("log.csv", []byte(head+rows), span(t))
		if err != nil {
			t.Fatal(err)
		}
		got := ""
		if len(l.Readings) > 0 {
			got = l.Readings[0].At.String()
		}
		if got != want || want == "" && len(l.Problems) != 2 {
			t.Errorf("%q: %q, want %q; %v", rows, got, want, l.Problems)
		}
	}
}

// A file that is no log is refused with what it lacks, and never repeats what stands in it.
func TestLogsThatCannotBeRead(t *testing.T) {
	for _, c := range []struct{ src, want string }{
		{"", "log.csv: the log is empty, allowed: a row of headings and a row for each entry"},
		{"Dara Quill,138,84\n", "log.csv:1: the headings lack a column at, or date and time, allowed: at such as 2027-01-04T07:30; 3 columns were seen"},
		{"at,Quill\n", "log.csv:1: the headings lack columns systolic and diastolic, or pressure, allowed: mmHg, such as 138 and 84; 2 columns were seen"},
		{"at,systolic (kPa),diastolic (kPa)\n", "column 2 of log.csv is in kPa, allowed: mmHg"},
		{"a\x00t", "log.csv: the log is not text in UTF-8, allowed: CSV saved as UTF-8"},
		{strings.Repeat("x", load.MaxLog+1), "log.csv: the log has more than 2097152 bytes, allowed: at most 2097152; cut it by year"},
		{"at,systolic,diastolic\n" + strings.Repeat("1,2,3\v", 20_001), "log.csv: the log has more than 20000 rows, allowed: at most 20000; cut it by year"},
	} {
		_, err := load.PressureLog("log.csv", []byte(c.src), span(t))
		if err == nil || err.Error() != c.want {
			t.Errorf("%.20q: %v, want %s", c.src, err, c.want)
		}
	}
}

// Source: the columns of a session log as docs/guide.md has them.
func TestSessionLog(t *testing.T) {
	src := `at,uid,outcome,hand,heldSeconds,systolic,diastolic,symptoms,told
2027-02-01T07:30,u1,completed,,,136,84,,
2027-02-03T07:30,u2,stopped,left,75.5,,,tingling,
2027-02-05T07:30,u3,not-started,,,184,112,,
2027-02-08T07:30,u4,done,,,,,,
2027-02-10T07:30,u5,gone,,,,,chest pain,L. Brandt
sometime,u6,stopped,,,,,faint,
2027-02-12T07:30,u7,completed,both,long,90,180,,
2027-02-12T07:30,u7,completed,both,long,90,180,,
`
	l, err := load.SessionLog("s.csv", []byte(src), span(t))
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	for _, s := range l.Sessions {
		fmt.Fprintf(&b, "%d: %s %s %q %s %s %d/%d %q %q\n", s.Line, s.At, s.UID, s.Outcome, s.Hand, s.HeldSeconds, s.Systolic, s.Diastolic, s.Symptoms, s.Told)
	}
	for _, p := range l.Problems {
		fmt.Fprintf(&b, "%d: %s (kept %v, largest %d)\n", p.Line, p.Problem, p.Kept, p.Largest)
	}
	want := `2: 2027-02-01T07:30 u1 "completed"  0 136/84 "" ""
3: 2027-02-03T07:30 u2 "stopped" left 75.5 0/0 "tingling" ""
4: 2027-02-05T07:30 u3 "not-started"  0 184/112 "" ""
6: 2027-02-10T07:30 u5 ""  0 0/0 "chest pain" "L. Brandt"
7: 2027-03-01T12:00 u6 "stopped"  0 0/0 "faint" ""
8: 2027-02-12T07:30 u7 "completed"  0 0/0 "" ""
5: outcome is another word, allowed: completed, stopped or not-started; the row is left out (kept false, largest 0)
6: outcome is another word, allowed: completed, stopped or not-started; it is kept for its symptom (kept true, largest 0)
7: time text is no date, allowed: such as 2027-01-04T07:30; it is kept for its symptom, as of today (kept true, largest 0)
8: hand is another word, allowed: left, right or nothing; the row is kept without it (kept true, largest 0)
8: heldSeconds is text, allowed: seconds, 0 and up; the row is kept without it (kept true, largest 0)
8: systolic 90 is under diastolic 180, as if swapped; allowed: the larger number as systolic; the row is kept without its reading (kept true, largest 180)
9: the same row as line 8; it counts once (kept false, largest 0)
`
	if got := b.String(); got != want {
		t.Errorf("got\n%s", got)
	}
}

// What a log may hold is what a client record may hold: the spans of schema/base/comparison.cue stand at the edges of #Reading.
func TestLogSpansAreThoseOfTheRecord(t *testing.T) {
	s, err := cueval.Load(nil, schema.FS, schema.Path, "words.cue", "client.cue")
	if err != nil {
		t.Fatal(err)
	}
	c := span(t).Comparison
	reading := func(systolic, pulse int) bool {
		n := tree.NewRecord()
		n.Set("at", tree.Str("2027-02-01T07:30"))
		n.Set("systolic", tree.Int(systolic))
		n.Set("diastolic", tree.Int(c.Lowest))
		n.Set("pulse", tree.Int(pulse))
		n.Set("setting", tree.Str("home"))
		return len(s.Check("#Reading", n)) == 0
	}
	if !reading(c.Lowest, c.LowestPulse) || !reading(c.Highest, c.HighestPulse) {
		t.Error("the record refuses what a log may hold")
	}
	if reading(c.Lowest-1, c.LowestPulse) || reading(c.Highest+1, c.LowestPulse) || reading(c.Lowest, c.LowestPulse-1) || reading(c.Lowest, c.HighestPulse+1) {
		t.Error("the record takes what a log refuses")
	}
}

// Laws of a session log: every row is a session, a problem, or both; none that tells of a symptom is lost.
func FuzzSessionLog(f *testing.F) {
	f.Add("at,uid,outcome,symptoms\n2027-02-01T07:30,u1,completed,\n")
	f.Add("at;uid;outcome;hand;heldSeconds;symptoms\nnever;u1;gone;left;7,5;faint\n")
	s := span(f)
	f.Fuzz(func(t *testing.T, src string) {
		l, err := load.SessionLog("x", []byte(src), s)
		if err != nil {
			return
		}
		told := map[int]bool{}
		for _, x := range l.Sessions {
			told[x.Line] = true
			if x.At > s.Now || x.Outcome == "" && x.Symptoms == "" {
				t.Errorf("%+v", x)
			}
		}
		for _, p := range l.Problems {
			told[p.Line] = true
		}
		if len(told) != l.Rows {
			t.Errorf("%d rows, %d of them told of", l.Rows, len(told))
		}
	})
}

// Laws: every row is a reading, a problem, or both; nothing panics; no reading is outside its span.
func FuzzPressureLog(f *testing.F) {
	f.Add("at,systolic,diastolic\n2027-02-01T07:30,138,84\n")
	f.Add("date;time;bp;note\n01.02.2027;7:30;138/84;dizzy\n\"\n")
	f.Add("at\tsys\tdia\n02/25/2027 7:30 PM\t138,0\t84\n")
	f.Add(aBundle(observation("2027-01-04T06:30:00Z", "final", "138", "mm[Hg]", ""), observation("2027-01-04", "amended", "60", "mm[Hg]", `, "bodySite": {"text": "Left arm"}`)))
	f.Add(aBundle("{}", `{"resource": {"resourceType": "Patient"}}`))
	s := span(f)
	f.Fuzz(func(t *testing.T, src string) {
		l, err := load.PressureLog("x", []byte(src), s)
		if err != nil {
			return
		}
		told := map[int]bool{}
		for _, r := range l.Readings {
			told[r.Line] = true
			if r.Systolic != 0 && (r.Systolic < s.Lowest || r.Systolic > s.Highest || r.Systolic-r.Diastolic < s.LeastApart || r.At > s.Now) {
				t.Errorf("%+v", r)
			}
		}
		for _, p := range l.Problems {
			told[p.Line] = true
		}
		if bundle := strings.Contains(src, "{"); len(told) > l.Rows || len(told) < l.Rows && !bundle { // several of a Bundle may stand on one line
			t.Errorf("%d rows, %d of them told of", l.Rows, len(told))
		}
	})
}

// The name of a session is no word: letters of it that read like one tell of nothing.
func TestTheNameOfASessionIsNoWord(t *testing.T) {
	src := "at,uid,outcome\n2027-01-05T07:00,0f0c4c27-afaf-5eee-8bad-dead00facade,completed\n"
	l, err := load.SessionLog("s.csv", []byte(src), span(t))
	if err != nil {
		t.Fatal(err)
	}
	if len(l.Sessions) != 1 || l.Sessions[0].Note != "" || l.Sessions[0].Symptoms != "" {
		t.Errorf("%+v", l.Sessions)
	}
}
