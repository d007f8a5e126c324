package guard

import (
	"strings"
	"testing"
)

// A carriage return that ends no line is refused in each notation, wherever it stands; Windows' line ends are not.
func TestLineEnds(t *testing.T) {
	for _, c := range []struct {
		src  string
		f    Format
		says string
		why  string
	}{
		{"// weeks: 9\rweeks: 8\n", CUE, "line ends with U+000D", "a comment that a terminal writes over"},
		{"weeks: 8\n// end\r", CUE, "line ends with U+000D", "the last byte"},
		{"# weeks: 9\rweeks: 8\n", YAML, "line ends with U+000D", "a comment in YAML"},
		{"{\r\"weeks\": 8}", JSON, "line ends with U+000D", "between two values of JSON"},
		{"weeks: 8\r\n// end\r\n", CUE, "", "lines of Windows"},
		{"weeks: 8\r\n# end\r\n", YAML, "", "lines of Windows in YAML"},
		{"{\r\n\"weeks\": 8\r\n}\r\n", JSON, "", "lines of Windows in JSON"},
	} {
		doc, fs := Parse("a."+string(c.f), []byte(c.src), c.f, schemaPath)
		if c.says == "" && (doc == nil || len(fs) > 0) || c.says != "" && (doc != nil || len(fs) != 1 || !strings.Contains(fs[0].Message, c.says)) {
			t.Errorf("%s: %v, want %q", c.why, fs, c.says)
		}
	}
}

// A whole number of YAML that begins with a zero is refused, for YAML 1.1 counts it in eights. Source: YAML 1.1, int; YAML 1.2, 10.2.1.2.
func TestOctal(t *testing.T) {
	for _, c := range []struct{ value, says, why string }{
		{"0170", "0170 begins with a zero, so that some programs count it in eights", "a pressure of 170 that would be 120"},
		{"-0170", "-0170 begins with a zero", "below zero"},
		{"0_170", "0_170 begins with a zero", "with a line below"},
		{"[1, 07]", "07 begins with a zero", "in a list"},
		{"08", "08 begins with a zero", "no number in eights, and a text to some"},
		{"0", "", "nothing"},
		{"0.5", "", "a share"},
		{"170", "", "as people write it"},
		{`"0170"`, "", "a text, such as a number to dial"},
		{"2027-01-02", "", "a day"},
	} {
		doc, fs := Parse("a.yaml", []byte("x: "+c.value+"\n"), YAML, schemaPath)
		if c.says == "" && (doc == nil || len(fs) > 0) || c.says != "" && (doc != nil || len(fs) != 1 || !strings.Contains(fs[0].Message, c.says)) {
			t.Errorf("%s, %s: %v, want %q", c.value, c.why, fs, c.says)
		}
	}
}
