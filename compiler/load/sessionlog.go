package load

import (
	"fmt"
	"strings"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

var sessionColumns = []string{"at", "uid", "outcome", "hand", "heldSeconds", "systolic", "diastolic", "symptoms", "told"}

// SessionLog reads a session log: what the session page exports, or a trainer's table in the same columns. A row that tells of
// a symptom is never left out.
func SessionLog(name string, src []byte, span LogSpan) (*record.Log, error) {
	if isBundle(src) {
		return nil, fmt.Errorf("%s: the session log is JSON, allowed: CSV, as the session page exports it; a FHIR Bundle of readings is a pressure log", name)
	}
	if err := foreign(src, "the session log", false); err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	r, err := newLogReader(name, src, span)
	if err != nil {
		return nil, err
	}
	for _, c := range sessionColumns {
		r.find(c, heading(c))
	}
	r.whose()
	r.understood()
	if !r.has("at") || !r.has("outcome") {
		return nil, r.lacks("columns at and outcome", "at,uid,outcome,hand,heldSeconds,systolic,diastolic,symptoms")
	}
	r.dates()
	r.findBeside()
	seen := map[string]int{}
	for _, row := range r.t.rows {
		key := strings.ToLower(strings.Join(row.cells, "\x00"))
		if first, ok := seen[key]; ok {
			r.problem(row.line, false, "the same row as line %d; it counts once", first).Repeat = true
			continue
		}
		seen[key] = row.line
		r.session(r.overflows(row))
	}
	return r.out, nil
}

func (r *logReader) session(row tableRow) {
	if row.words {
		r.reading(row)
		return
	}
	x := record.SessionRow{File: r.out.File, Line: row.line, UID: r.cell(row, "uid"), Symptoms: r.cell(row, "symptoms"),
		Told: r.cell(row, "told"), Outcome: record.Outcome(strings.ToLower(r.cell(row, "outcome")))}
	at, remark, err := r.at(row)
	x.At, x.Note = at, r.aside(row)
	kept := x.Symptoms != ""
	behind := map[bool]string{true: "it is kept for its symptom, as of today", false: "the row is left out"}[kept]
	switch {
	case r.ofOther(row):
		r.problem(row.line, kept, "%s; %s", anothers, behind)
		x.Outcome = ""
	case row.trouble != "":
		r.problem(row.line, kept, "%s; %s", row.trouble, behind)
	case err != nil:
		r.problem(row.line, kept, "%s; %s", err, behind)
	case x.Outcome != record.Completed && x.Outcome != record.Stopped && x.Outcome != record.NotStarted:
		if kept {
			behind = "it is kept for its symptom"
		}
		r.problem(row.line, kept, "outcome is another word, allowed: completed, stopped or not-started; %s", behind)
		x.Outcome = ""
	default:
		kept = true
		if remark != "" {
			r.problem(row.line, true, "%s", remark)
		}
		r.sessionDetails(row, &x)
	}
	if !kept || x.Outcome == "" || err != nil || row.trouble != "" { // its numbers were not read
		p := &r.out.Problems[len(r.out.Problems)-1]
		beside, _ := r.besides(row)
		p.Held, p.At = r.held(row), at
		p.Join(beside)
		p.Join(r.astray(row))
	} else {
		r.besideTold(row, at)
	}
	if x.At == 0 {
		x.At = r.span.Now
	}
	if !kept { // its words are not lost with its session
		if x.Note != "" {
			r.out.Readings = append(r.out.Readings, record.LogReading{At: x.At, Note: x.Note, File: x.File, Line: x.Line})
		}
		return
	}
	r.out.Read++
	r.out.Sessions = append(r.out.Sessions, x)
}

// sessionDetails reads what may be missing; trouble with it leaves the row standing.
func (r *logReader) sessionDetails(row tableRow, x *record.SessionRow) {
	switch s := strings.ToLower(r.cell(row, "hand")); s {
	case "":
	case "left", "right":
		x.Hand = record.Hand(s)
	default:
		r.problem(row.line, true, "hand is another word, allowed: left, right or nothing; the row is kept without it")
	}
	if s := r.cell(row, "heldSeconds"); s != "" {
		d, err := unit.ParseDec(strings.Replace(s, ",", ".", 1))
		if err != nil || d.Sign() < 0 {
			r.problem(row.line, true, "heldSeconds is %s, allowed: seconds, 0 and up; the row is kept without it", shown(s))
		} else {
			x.HeldSeconds = d
		}
	}
	if r.cell(row, "systolic") == "" && r.cell(row, "diastolic") == "" {
		return
	}
	ps, err := r.pressures(row, record.LogReading{})
	if err == nil && len(ps) > 1 {
		err = fmt.Errorf("%d readings stand in one row, allowed: the mean of the gate's readings, such as 138 and 84", len(ps))
	}
	if err != nil {
		p := r.problem(row.line, true, "%s; the row is kept without its reading", err)
		p.Held, p.At = r.held(row), x.At
		return
	}
	x.Systolic, x.Diastolic = ps[0].Systolic, ps[0].Diastolic
}
