package load_test

import (
	"fmt"
	"strings"
	"testing"

	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
)

// closes says whether a log closes training: a reading at the gate, or a row that could not be read and may hold one.
func closes(l *record.Log, s load.LogSpan) bool {
	for _, r := range l.Readings {
		if (record.Held{Largest: r.Systolic, Diastolic: r.Diastolic, Pulse: r.Pulse}).Reaches(s.Gate) {
			return true
		}
	}
	for _, p := range l.Problems {
		if p.Reaches(s.Gate) {
			return true
		}
	}
	return false
}

func readingsOf(l *record.Log) string {
	var out []string
	for _, r := range l.Readings {
		if r.Systolic > 0 {
			x := fmt.Sprintf("%d/%d", r.Systolic, r.Diastolic)
			if r.Pulse > 0 {
				x += fmt.Sprintf("/%d", r.Pulse)
			}
			out = append(out, x)
		}
	}
	return strings.Join(out, " ")
}

// What people write into cells: read where it has one meaning, told where it has not, and never lost where it is severe.
func TestCellsAsPeopleWriteThem(t *testing.T) {
	const at = "2027-02-01T07:30,"
	for _, x := range []struct {
		why, src, reads string
		closes, told    bool
	}{
		{"both in one cell, the other empty", "at,systolic,diastolic\n" + at + "148/84,\n", "148/84", false, false},
		{"both in one cell, and the second again", "at,systolic,diastolic\n" + at + "148/84,84\n", "148/84", false, false},
		{"both in one cell, and another second", "at,systolic,diastolic\n" + at + "148/84,90\n", "", false, true},
		{"both in one cell, and another second, severe", "at,systolic,diastolic\n" + at + "148/118,84\n", "", true, true},
		{"both in the diastolic cell", "at,systolic,diastolic\n" + at + ",148/84\n", "148/84", false, false},
		{"the pulse as a third number", "at,pressure\n" + at + "148/84/72\n", "148/84/72", false, false},
		{"a fast pulse as a third number", "at,systolic,diastolic\n" + at + "138/84/140,\n", "138/84/140", true, false},
		{"two readings in a cell", "at,pressure\n" + at + "205/118 198/112\n", "205/118 198/112", true, false},
		{"two readings in a cell, by a comma", "at,pressure\n" + at + "\"148/84, 142/80\"\n", "148/84 142/80", false, false},
		{"two readings in a cell, by a word", "at,pressure\n" + at + "148/84 und 142/80\n", "148/84 142/80", false, false},
		{"two readings in the systolic cell", "at,systolic,diastolic\n" + at + "205/118 198/112,\n", "205/118 198/112", true, false},
		{"two readings, each half in its cell", "at,systolic,diastolic,pulse\n" + at + "148 142,84 80,70 72\n", "148/84/70 142/80/72", false, false},
		{"two halves and one", "at,systolic,diastolic\n" + at + "148 142,84\n", "", false, true},
		{"two halves and one, severe", "at,systolic,diastolic\n" + at + "148 205,84\n", "", true, true},
		{"a reading and half of another", "at,pressure\n" + at + "138/84 205\n", "", true, true},
		{"a line in place of a slash", "at,pressure\n" + at + "138-84\n", "", false, true},
		{"a line in place of a slash, severe", "at,pressure\n" + at + "205-118\n", "", true, true},
		{"severe below alone, by a word", "at,pressure\n" + at + "160 over 118\n", "", true, true},
		{"a backslash", "at,pressure\n" + at + "138\\84\n", "138/84", false, false},
		{"another slash", "at,pressure\n" + at + "138⁄84\n", "138/84", false, false},
		{"a unit behind", "at,systolic,diastolic\n" + at + "205 mmHg,118mmHg\n", "205/118", true, false},
		{"a unit behind both, with a space in it", "at,pressure\n" + at + "138/84 mm Hg\n", "138/84", false, false},
		{"a space that does not break", "at,systolic,diastolic\n" + at + "138\u00a0mmHg,84\u00a0mmHg\n", "138/84", false, false},
		{"a half with a comma", "at;systolic;diastolic\n2027-02-01T07:30;147,5;84\n", "", false, true},
		{"a half with a comma, severe", "at;systolic;diastolic\n2027-02-01T07:30;204,5;84\n", "", true, true},
		{"a comma in place of a slash, severe below", "at;pressure\n2027-02-01T07:30;160,118\n", "", true, true},
		{"a decimal comma that took its neighbour's column", "at,systolic,diastolic,pulse\n" + at + "147,5,84,0,70\n", "", false, true},
		{"the same, severe", "at,systolic,diastolic,pulse\n" + at + "204,5,118,0,70\n", "", true, true},
		{"severe below, and no upper number", "at,systolic,diastolic\n" + at + ",118\n", "", true, true},
		{"severe below, and an upper number that is none", "at,systolic,diastolic\n" + at + "err,118\n", "", true, true},
		{"severe above, and no lower number", "at,systolic,diastolic\n" + at + "205,\n", "", true, true},
		{"harmless, and no lower number", "at,systolic,diastolic\n" + at + "138,\n", "", false, true},
		{"swapped", "at,systolic,diastolic\n" + at + "84,138\n", "", false, true},
		{"swapped, severe", "at,systolic,diastolic\n" + at + "118,205\n", "", true, true},
		{"swapped, severe below alone", "at,systolic,diastolic\n" + at + "118,160\n", "", true, true},
		{"a letter for a digit", "at,systolic,diastolic\n" + at + "19O,84\n", "", true, true},
		{"digits of another script", "at,systolic,diastolic\n" + at + "２０５,１１８\n", "", true, true},
		{"what the cuff shows over its span", "at,systolic,diastolic\n" + at + "HI,\n", "", true, true},
		{"a cuff that failed", "at,systolic,diastolic\n" + at + "Err 3,\n", "", false, true},
		{"not taken", "at,systolic,diastolic\n" + at + "-,-\n", "", false, true},
		{"a word that is no number", "at,systolic,diastolic\n" + at + "ok,ok\n", "", false, true},
		{"a byte that is no text", "at,systolic,diastolic\n" + at + "\xff\xfe,84\n", "", true, true},
		{"a digit too many", "at,systolic,diastolic\n" + at + "1380,84\n", "", true, true},
		{"over what a cuff shows", "at,systolic,diastolic\n" + at + "310,118\n", "", true, true},
		{"centimetres of mercury, as said in France and Portugal", "at,pressure\n" + at + "18/11\n", "", true, true},
		{"centimetres of mercury, harmless", "at,pressure\n" + at + "13/8\n", "", false, true},
		{"kilopascal, severe", "at,systolic,diastolic\n" + at + "27.3,15.7\n", "", true, true},
		{"an unreadable date, severe", "at,systolic,diastolic\nMonday,205,118\n", "", true, true},
		{"an unreadable date, severe below", "at,systolic,diastolic\nMonday,150,118\n", "", true, true},
		{"a date with two meanings, severe", "at,systolic,diastolic\n02/01/2027 07:30,205,118\n", "", true, true},
		{"a date with two meanings, harmless", "at,systolic,diastolic\n02/01/2027 07:30,138,84\n", "", false, true},
		{"a year of two digits that may be a day", "at,systolic,diastolic\n25/01/26 07:30,138,84\n", "", false, true},
		{"tomorrow, severe", "at,systolic,diastolic\n2027-03-02T07:30,205,118\n", "", true, true},
		{"lying, severe", "at,systolic,diastolic,posture\n" + at + "205,118,lying\n", "", true, true},
		{"a quote without its end, severe", "at,systolic,diastolic\n\"2027-02-01T07:30,205,118\n", "", true, true},
		{"a fast pulse in a row that cannot be used", "at,systolic,diastolic,pulse\n" + at + ",,140\n", "", true, true},
		{"a fast pulse that is no whole number", "at,systolic,diastolic,pulse\n" + at + "138,84,140.5\n", "138/84", true, true},
		{"a pulse with a letter for a digit", "at,systolic,diastolic,pulse\n" + at + "138,84,14O\n", "138/84", true, true},
		{"a pulse with its unit", "at,systolic,diastolic,pulse\n" + at + "138,84,70 beats/min\n", "138/84", false, true},
		{"a second reading in further columns", "at,systolic,diastolic,systolic 2,diastolic 2\n" + at + "138,84,205,118\n", "138/84", true, true},
		{"a second reading in further columns, severe below", "at,sys1,dia1,sys,dia\n" + at + "150,118,138,84\n", "138/84", true, true},
		{"a second reading in further columns, harmless", "at,systolic,diastolic,systolic,diastolic\n" + at + "138,84,136,82\n", "138/84", false, false},
		{"a second reading in a note", "at,systolic,diastolic,note\n" + at + "138,84,again 205/118\n", "138/84", true, true},
		{"a note with a harmless one", "at,systolic,diastolic,note\n" + at + "138,84,again 136/82\n", "138/84", false, false},
		{"a note with other numbers", "at,systolic,diastolic,note\n" + at + "138,84,\"walked 205 steps, pain 7/10, 12/25\"\n", "138/84", false, false},
		{"a column of steps", "at,systolic,diastolic,steps,weight\n" + at + "138,84,205,198\n", "138/84", false, false},
		{"a column of medicines", "at,systolic,diastolic,bp medicine\n" + at + "138,84,ramipril 205mg\n", "138/84", false, false},
		{"a column that nobody knows, with a pressure in it", "at,systolic,diastolic,x\n" + at + "138,84,205/118\n", "138/84", true, true},
		{"a cell too many", "at,systolic,diastolic\n" + at + "138,84,205/118\n", "138/84", true, true},
		{"a comma in a note", "at,systolic,diastolic,note\n" + at + "138,84,slept badly, dizzy\n", "138/84", false, false},
	} {
		s := span(t)
		l, err := load.PressureLog("log.csv", []byte(x.src), s)
		if err != nil {
			t.Errorf("%s: %v", x.why, err)
			continue
		}
		if got := readingsOf(l); got != x.reads || closes(l, s) != x.closes || len(l.Problems) > 0 != x.told {
			t.Errorf("%s: read %q, closes %v, want %q, %v, told %v\n%s", x.why, got, closes(l, s), x.reads, x.closes, x.told, says(l))
		}
		if strings.HasSuffix(x.why, "comma in a note") && l.Readings[0].Note != "slept badly, dizzy" {
			t.Errorf("%s: %q", x.why, l.Readings[0].Note)
		}
	}
}
