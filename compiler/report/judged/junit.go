package judged

import (
	"encoding/xml"
	"fmt"
	"io"
)

type junitSuites struct {
	XMLName xml.Name `xml:"testsuites"`
	Name    string   `xml:"name,attr"`
	junitCount
	Suites []junitSuite `xml:"testsuite"`
}

type junitCount struct {
	Tests    int `xml:"tests,attr"`
	Failures int `xml:"failures,attr"`
	Errors   int `xml:"errors,attr"` // always 0: what cannot be judged is told before anything is printed
	Skipped  int `xml:"skipped,attr"`
}

type junitSuite struct {
	Name string `xml:"name,attr"`
	junitCount
	Cases []junitCase `xml:"testcase"`
}

type junitCase struct {
	Name    string        `xml:"name,attr"`
	Class   string        `xml:"classname,attr"`
	File    string        `xml:"file,attr"`
	Line    int           `xml:"line,attr,omitempty"`
	Failure *junitFailure `xml:"failure"`
	Skipped *junitSkipped `xml:"skipped"`
	Out     string        `xml:"system-out,omitempty"`
}

type junitFailure struct {
	Message string `xml:"message,attr"`
	Type    string `xml:"type,attr"`
	Text    string `xml:",chardata"`
}

type junitSkipped struct {
	Message string `xml:"message,attr"`
}

// accepted is the test that a file without a refusing finding passes.
const accepted = "accepted"

// asJUnit prints a judgement in the XML that JUnit made usual: a suite a file, a test a finding. What refuses fails, what is
// waived is skipped, a caution passes and says so; a file that nothing refuses passes one test more.
func asJUnit(w io.Writer, j Judgement) error {
	_, byFile := j.cards()
	suites := junitSuites{Name: "isocue"}
	for _, f := range j.files() {
		s := junitSuite{Name: visible(f)}
		for _, c := range byFile[f] {
			s.add(testCase(c))
		}
		if s.Failures == 0 {
			s.add(junitCase{Name: accepted, Class: s.Name, File: s.Name, Out: NotClearance})
		}
		suites.Suites = append(suites.Suites, s)
		suites.Tests, suites.Failures, suites.Skipped = suites.Tests+s.Tests, suites.Failures+s.Failures, suites.Skipped+s.Skipped
	}
	b, err := xml.MarshalIndent(suites, "", "  ")
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(w, "%s%s\n", xml.Header, b)
	return err
}

func (s *junitSuite) add(c junitCase) {
	s.Cases = append(s.Cases, c)
	s.Tests++
	if c.Failure != nil {
		s.Failures++
	}
	if c.Skipped != nil {
		s.Skipped++
	}
}

func testCase(c card) junitCase {
	file := visible(c.file)
	one := junitCase{Name: c.rule, Class: file, File: file, Line: c.line}
	if c.path != "" {
		one.Name += " at " + c.path
	}
	text := fmt.Sprintf("%s:%d:%d: %s: %s [%s]\nfix: %s\nwhy: %s\n", file, c.line, max(c.column, 1), c.verdict, c.says, c.rule, c.fix, c.why)
	switch {
	case c.refuses:
		one.Failure = &junitFailure{c.says, string(c.verdict), text}
	case c.waived != "":
		one.Out, one.Skipped = text, &junitSkipped{c.waived}
	default:
		one.Out = text
	}
	return one
}
