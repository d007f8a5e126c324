package load

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"slices"
	"strconv"
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
	Gate       record.Gate // from which number on what could not be read closes training
	Sitting    int         // minutes within which readings belong together
	Client     string      // the id that a Bundle of observations must name where it names one of ours
	Name       string      // of the record, "" where it has none
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
	r.whose()
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
	r.findBeside()
	for _, row := range r.t.rows {
		if r.reading(r.overflows(row)); len(r.out.Readings) > maxRows {
			return nil, fmt.Errorf("%s: %w", name, tooLong("readings", maxRows))
		}
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

func (r *logReader) problem(line int, kept bool, format string, a ...any) *record.RowProblem {
	r.out.Problems = append(r.out.Problems, record.RowProblem{File: r.out.File, Line: line, Kept: kept, Problem: fmt.Sprintf(format, a...)})
	return &r.out.Problems[len(r.out.Problems)-1]
}

// reading takes one row. What it cannot use it says; a note or symptom of such a row is kept without its numbers.
func (r *logReader) reading(row tableRow) {
	x := record.LogReading{File: r.out.File, Line: row.line, Column: 1, Note: r.cell(row, "note"), Symptoms: r.cell(row, "symptoms"), Cuff: r.cell(row, "cuff")}
	at, remark, err := r.at(row)
	x.At = at
	meant := x.Note+x.Symptoms != ""
	x.Note = withWords(x.Note, r.aside(row))
	if row.words {
		r.out.Read++
		if err != nil {
			x.At = r.span.Now
		}
		r.out.Readings = append(r.out.Readings, x)
		return
	}
	var all []record.LogReading
	if err == nil {
		err = r.posture(row, &x)
	}
	if err == nil {
		all, err = r.pressures(row, x)
	}
	switch {
	case r.ofOther(row):
		err = errors.New(anothers)
	case row.trouble != "":
		err = errors.New(row.trouble)
	}
	if err != nil {
		p := r.problem(row.line, row.kept, "%s; %s", err, map[bool]string{true: "it was not read", false: "the row is left out"}[row.kept])
		beside, _ := r.besides(row)
		p.Held, p.At = r.held(row), at
		p.Join(beside)
		p.Join(r.astray(row))
		if meant {
			r.out.Read++
		}
		if x.Note+x.Symptoms != "" {
			if x.At == 0 {
				x.At = r.span.Now
			}
			r.out.Readings = append(r.out.Readings, x)
		}
		return
	}
	if remark != "" {
		r.problem(row.line, true, "%s", remark)
	}
	r.out.Read++
	r.besideTold(row, at)
	r.details(row, all)
	r.out.Readings = append(r.out.Readings, all...)
}

// told is what a row holds, in words.
func told(h record.Held) string {
	switch {
	case h.Diastolic > 0 && h.Diastolic < h.Largest:
		return fmt.Sprintf("%d/%d", h.Largest, h.Diastolic)
	case h.Largest > 0:
		return strconv.Itoa(h.Largest)
	case h.Pulse > 0:
		return fmt.Sprintf("a pulse of %d", h.Pulse)
	}
	return "something that may be a number"
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

// details reads what may be missing; trouble with it leaves the readings standing.
func (r *logReader) details(row tableRow, all []record.LogReading) {
	x := &all[0]
	s := r.cell(row, "pulse")
	pulses := digitsOf(s)
	switch {
	case s == "":
	case len(all) > 1 && len(pulses) == len(all) && listForm.MatchString(s):
		for i := range all {
			r.pulse(row, pulses[i], &all[i])
		}
	default:
		r.pulse(row, s, x)
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
	for i := range all[1:] {
		all[i+1].Arm, all[i+1].Clinic = x.Arm, x.Clinic
	}
}

// pulse reads a pulse. One that cannot be read is told with what it may be.
func (r *logReader) pulse(row tableRow, s string, x *record.LogReading) {
	third := x.Pulse
	n, err := r.whole("pulse", s, r.span.LowestPulse, r.span.HighestPulse, "bpm")
	switch {
	case err != nil:
		p := r.problem(row.line, true, "%s; the reading is kept without it", strings.ReplaceAll(err.Error(), "bpm", "beats a minute"))
		p.Held, p.At = r.pulseIn(lookInto(s)), x.At
	case third > 0 && third != n:
		p := r.problem(row.line, true, "the pulse is %d in one cell and %d in another; the larger one is kept", third, n)
		p.At = x.At
	}
	x.Pulse = max(third, n)
}

// twice takes out rows that say the same as one before them, and keeps what is written beside their numbers.
func (r *logReader) twice() {
	type same struct {
		at                         unit.Local
		systolic, diastolic, pulse int
		arm                        record.Hand
		standing                   bool
	}
	seen := map[same]*record.LogReading{}
	kept := r.out.Readings[:0]
	for _, x := range r.out.Readings {
		k := same{x.At, x.Systolic, x.Diastolic, x.Pulse, x.Arm, x.Standing}
		first := seen[k]
		if x.Systolic != 0 && first != nil {
			r.problem(x.Line, false, "the same reading as on line %d; it counts once", first.Line).Repeat = true
			if x.Note == first.Note && x.Symptoms == first.Symptoms {
				continue
			}
			x.Systolic, x.Diastolic, x.Pulse = 0, 0, 0
		}
		if kept = append(kept, x); x.Systolic != 0 {
			seen[k] = &kept[len(kept)-1]
		}
	}
	r.out.Readings = kept
	slices.SortStableFunc(r.out.Problems, func(a, b record.RowProblem) int { return a.Line - b.Line })
}
