package judged

import (
	"encoding/xml"
	"testing"

	"github.com/google/go-cmp/cmp"

	"isocue.example/compiler/finding"
)

// A suite a file; what refuses fails, what is waived is skipped, a caution passes; a file that nothing refuses is accepted.
func TestJUnit(t *testing.T) {
	at := func(file string, v finding.Verdict) finding.Finding {
		return finding.Finding{Rule: "grip-weeks-ceiling", Verdict: v, Pos: finding.Pos{File: file, Line: 7, Column: 1}, Path: "weeks", Message: "30 weeks ]]> <b>", Remedy: "write 8", Rationale: "Why."}
	}
	waived := at("waived.cue", finding.OutOfEvidence)
	waived.Waiver = finding.Waiver{By: "B. Reviewer", Until: "2027-07-01", Reason: "agreed with Dara Quill"}
	for _, strict := range []bool{false, true} {
		j := judged(t, at("bad.cue", finding.OutOfEvidence), at("bad.cue", finding.Caution), at("careful.cue", finding.Caution), waived)
		j.Files, j.Strict = []string{"waived.cue", "clean.cue", "bad.cue", "careful.cue"}, strict
		var doc junitSuites
		if err := xml.Unmarshal(write(t, j, "junit"), &doc); err != nil {
			t.Fatal(err)
		}
		type row struct {
			File, Case, Fails, Skips string
		}
		var got []row
		all := junitCount{}
		for _, s := range doc.Suites {
			mine := junitCount{}
			for _, c := range s.Cases {
				r := row{File: s.Name, Case: c.Name}
				mine.Tests++
				if c.Failure != nil {
					r.Fails = c.Failure.Type + ": " + c.Failure.Message
					mine.Failures++
				}
				if c.Skipped != nil {
					r.Skips = c.Skipped.Message
					mine.Skipped++
				}
				got = append(got, r)
			}
			if s.junitCount != mine {
				t.Errorf("%s counts %+v and holds %+v", s.Name, s.junitCount, mine)
			}
			all = junitCount{all.Tests + mine.Tests, all.Failures + mine.Failures, 0, all.Skipped + mine.Skipped}
		}
		if doc.junitCount != all {
			t.Errorf("counts %+v and holds %+v", doc.junitCount, all)
		}
		want := []row{
			{"bad.cue", "grip-weeks-ceiling at weeks", "out-of-evidence: 30 weeks ]]> <b>", ""},
			{"bad.cue", "grip-weeks-ceiling at weeks", "", ""},
			{"careful.cue", "grip-weeks-ceiling at weeks", "", ""},
			{"careful.cue", accepted, "", ""},
			{"clean.cue", accepted, "", ""},
			{"waived.cue", "grip-weeks-ceiling at weeks", "", "waived by B. Reviewer until 2027-07-01"},
			{"waived.cue", accepted, "", ""},
		}
		if strict {
			want[1].Fails, want[2].Fails = "caution: 30 weeks ]]> <b>", "caution: 30 weeks ]]> <b>"
			want = append(want[:3], want[4:]...)
		}
		if d := cmp.Diff(want, got); d != "" {
			t.Errorf("strict %v: -want +got\n%s", strict, d)
		}
	}
}
