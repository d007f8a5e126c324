package load

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"
	"time"

	"isocue.example/compiler/files"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// LogSpan is what a reading of a log can be, and until when: the comparison's figures, the least difference of the two
// pressures in mmHg, the client's zone, and now on the client's wall clock.
type LogSpan struct {
	record.Comparison
	LeastApart int
	Client     string // the id that a Bundle of observations must name where it names one of ours
	Zone       *time.Location
	Now        unit.Local
}

// FetchLog reads a regular file, at most one byte past what a log may have.
func FetchLog(name string) ([]byte, error) { return files.Fetch(name, MaxLog) }

// LogFile is a log as a file among others: it is a client's, and no line of it is ever quoted.
func LogFile(name string, src []byte, cl *Client) *File {
	sum := sha256.Sum256(src)
	return &File{Name: name, Kind: IsLog, Source: src, Digest: hex.EncodeToString(sum[:]), Client: cl}
}

// PressureLog reads a pressure log. Every row that is not used, or used in another way than it was written, is a problem; the
// error means that the file has no rows that could be read.
func PressureLog(name string, src []byte, span LogSpan) (*record.Log, error) {
	r, err := newLogReader(name, src, span)
	if err != nil {
		return nil, err
	}
	for _, c := range logColumns {
		r.find(c.means, c.headings...)
	}
	r.understood()
	switch {
	case !r.has("at") && !(r.has("date") && r.has("time")):
		return nil, r.lacks("a column at, or date and time", "at such as 2027-01-04T07:30")
	case !(r.has("systolic") && r.has("diastolic")) && !r.has("pressure"):
		return nil, r.lacks("columns systolic and diastolic, or pressure", "mmHg, such as 138 and 84")
	}
	for _, c := range []string{"systolic", "diastolic", "pressure"} {
		if r.has(c) && strings.Contains(strings.ToLower(r.t.headings[r.col[c]]), "kpa") {
			return nil, fmt.Errorf("column %d of %s is in kPa, allowed: mmHg", r.col[c]+1, name)
		}
	}
	r.dates()
	for _, row := range r.t.rows {
		r.reading(row)
	}
	r.twice()
	return r.out, nil
}

// at is the moment of a row.
func (r *logReader) at(row tableRow) (unit.Local, string, error) {
	s := r.cell(row, "at")
	if !r.has("at") {
		s = r.cell(row, "date") + " " + r.cell(row, "time")
	}
	at, remark, err := r.when.read(s)
	if err != nil {
		return 0, "", fmt.Errorf("time %s %w", shown(strings.TrimSpace(s)), err)
	}
	if at > r.span.Now {
		return 0, "", fmt.Errorf("time %s has not come yet, allowed: until now, %s", at, r.span.Now)
	}
	return at, remark, nil
}

func (r *logReader) problem(line int, kept bool, format string, a ...any) {
	r.out.Problems = append(r.out.Problems, record.RowProblem{File: r.out.File, Line: line, Kept: kept, Problem: fmt.Sprintf(format, a...)})
}

// reading takes one row. What it cannot use it says; a note or symptom of such a row is kept without its numbers.
func (r *logReader) reading(row tableRow) {
	x := record.LogReading{File: r.out.File, Line: row.line, Column: 1, Note: r.cell(row, "note"), Symptoms: r.cell(row, "symptoms"), Cuff: r.cell(row, "cuff")}
	at, remark, err := r.at(row)
	x.At = at
	if err == nil {
		err = r.pressure(row, &x)
	}
	if row.trouble != "" {
		err = fmt.Errorf("%s", row.trouble)
	}
	if err == nil {
		err = r.posture(row, &x)
	}
	if err != nil {
		r.problem(row.line, false, "%s; the row is left out", err)
		r.out.Problems[len(r.out.Problems)-1].Largest = r.largest(row)
		if x.Note != "" || x.Symptoms != "" {
			if x.At == 0 {
				x.At = r.span.Now
			}
			x.Systolic, x.Diastolic = 0, 0
			r.out.Readings = append(r.out.Readings, x)
		}
		return
	}
	if remark != "" {
		r.problem(row.line, true, "%s", remark)
	}
	r.details(row, &x)
	r.out.Readings = append(r.out.Readings, x)
}

// pressure reads and weighs the two numbers.
func (r *logReader) pressure(row tableRow, x *record.LogReading) error {
	sys, dia := r.cell(row, "systolic"), r.cell(row, "diastolic")
	if !r.has("systolic") || !r.has("diastolic") {
		var ok bool
		if sys, dia, ok = strings.Cut(r.cell(row, "pressure"), "/"); !ok {
			return fmt.Errorf("pressure is %s, allowed: two numbers such as 138/84", shown(r.cell(row, "pressure")))
		}
	}
	var err error
	if x.Systolic, err = r.whole("systolic", sys, r.span.Lowest, r.span.Highest, "mmHg"); err != nil {
		return err
	}
	if x.Diastolic, err = r.whole("diastolic", dia, r.span.Lowest, r.span.Highest, "mmHg"); err != nil {
		return err
	}
	switch apart := x.Systolic - x.Diastolic; {
	case apart < 0:
		return fmt.Errorf("systolic %d is under diastolic %d, as if swapped; allowed: the larger number as systolic", x.Systolic, x.Diastolic)
	case apart < r.span.LeastApart:
		return fmt.Errorf("systolic %d and diastolic %d lie %d mmHg apart, allowed: at least %d", x.Systolic, x.Diastolic, apart, r.span.LeastApart)
	}
	return nil
}

// whole reads a whole number between two bounds; 138.0 and 138,0 are whole.
func (r *logReader) whole(name, s string, low, high int, units string) (int, error) {
	s = strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(s), units))
	if s == "" {
		return 0, fmt.Errorf("%s is missing, allowed: %d to %d %s", name, low, high, units)
	}
	d, err := unit.ParseDec(strings.Replace(s, ",", ".", 1))
	mm := 0
	if err == nil && units == "mmHg" && !r.millimetres(d) {
		mm = r.fromKilopascal(d)
	}
	switch {
	case mm > 0:
		return 0, fmt.Errorf("%s is %s, which in kPa would be %d mmHg; allowed: a whole number of %d to %d %s", name, shown(s), mm, low, high, units)
	case err != nil || !d.IsInt():
		return 0, fmt.Errorf("%s is %s, allowed: a whole number of %d to %d %s", name, shown(s), low, high, units)
	case d.Sign() == 0:
		return 0, fmt.Errorf("%s is 0, which is no reading; allowed: %d to %d %s", name, low, high, units)
	case d.Less(unit.Int(int64(low))) || unit.Int(int64(high)).Less(d):
		return 0, fmt.Errorf("%s is %s, allowed: %d to %d %s", name, shown(s), low, high, units)
	}
	return int(d.Int64()), nil
}

func (r *logReader) posture(row tableRow, x *record.LogReading) error {
	switch p := strings.ToLower(r.cell(row, "posture")); p {
	case "", "sitting", "seated", "sit", "sitzend", "im sitzen":
	case "standing", "stand", "upright", "stehend", "im stehen":
		x.Standing = true
	default:
		return fmt.Errorf("posture is %s, allowed: sitting, standing or nothing", map[bool]string{true: "lying", false: "another word"}[p == "lying" || p == "supine" || p == "liegend"])
	}
	return nil
}

// details reads what may be missing; trouble with it leaves the reading standing.
func (r *logReader) details(row tableRow, x *record.LogReading) {
	if s := r.cell(row, "pulse"); s != "" {
		n, err := r.whole("pulse", s, r.span.LowestPulse, r.span.HighestPulse, "bpm")
		if err != nil {
			r.problem(row.line, true, "%s; the reading is kept without it", strings.ReplaceAll(err.Error(), "bpm", "beats a minute"))
		}
		x.Pulse = n
	}
	switch s := strings.ToLower(r.cell(row, "arm")); s {
	case "":
	case "left", "l", "links":
		x.Arm = record.Left
	case "right", "r", "rechts":
		x.Arm = record.Right
	default:
		r.problem(row.line, true, "arm is another word, allowed: left, right or nothing; the reading is kept without it")
	}
	switch s := strings.ToLower(r.cell(row, "setting")); s {
	case "", "home", "at home", "zu hause", "zuhause", "daheim":
	case "clinic", "praxis", "klinik":
		x.Clinic = true
		r.problem(row.line, true, "taken in the clinic, so it stands in no home mean")
	default:
		r.problem(row.line, true, "setting is another word, allowed: home, clinic or nothing; taken as home")
	}
}

// twice takes out rows that say the same as one before them.
func (r *logReader) twice() {
	type same struct {
		at                  unit.Local
		systolic, diastolic int
		arm                 record.Hand
		standing            bool
	}
	seen := map[same]int{}
	r.out.Readings = slices.DeleteFunc(r.out.Readings, func(x record.LogReading) bool {
		k := same{x.At, x.Systolic, x.Diastolic, x.Arm, x.Standing}
		if x.Systolic == 0 {
			return false
		}
		if first, ok := seen[k]; ok {
			r.problem(x.Line, false, "the same reading as on line %d; it counts once", first)
			r.out.Problems[len(r.out.Problems)-1].Repeat = true
			return true
		}
		seen[k] = x.Line
		return false
	})
	slices.SortStableFunc(r.out.Problems, func(a, b record.RowProblem) int { return a.Line - b.Line })
}
