package load

import (
	"slices"
	"strings"
	"testing"
)

// A slip is one finding that says what to write; what follows from it is told of nothing.
func TestASlipIsOneFinding(t *testing.T) {
	r := reader(t)
	for _, x := range []struct{ name, src, says, remedy, why string }{
		{"p.yaml", "option: {classes: esc}\nreviewers: []", "option is not a field here, did you mean options", "write options", "nothing is told of what stands in an unknown field"},
		{"p.yaml", "limits: {grip-load-ceiling: {ceiling: \"0.4\"}}", "is \"0.4\", allowed: a number, did you mean 0.4 without quotes", "write 0.4 without quotes", "a number in quotes"},
		{"d.diary.yaml", "- {date: 2027-01-02, by: A. Bell, hours: []}", "hours is an empty list, allowed: at least one entry", "add an entry, or take the field out", "a list is not told to be a list"},
		{"d.diary.yaml", "- {date: 2027-01-02, by: A. Bell, hours: [{days: [], from: \"07:00\", to: \"08:00\"}]}", "days is an empty list", "add an entry", "the same, deeper"},
		{"d.diary.yaml", "- {date: 2027-01-02, by: A. Bell, device: {cuff: {arm: left, size: small, validated: true, fitsCm: [22]}}}", "fitsCm is a list, allowed: another number of entries", "write another number of entries", "one end of two"},
		{"d.diary.yaml", "- {date: 2027-01-02, by: A. Bell, device: {grip: {id: a, unit: kgf, step: \"0.5\"}}}", "allowed: over 0 to 50, did you mean 0.5 without quotes", "write 0.5 without quotes", "a span is of numbers"},
		{"d.diary.yaml", "- {date: 2/1/2027, by: A. Bell, ill: fever}", "date is \"2/1/2027\", allowed: a date such as 2027-01-04", "write", "a date in another form"},
	} {
		fs := r.Bytes(x.name, []byte(x.src)).Findings
		if len(fs) != 1 || !strings.Contains(fs[0].Message, x.says) || !strings.HasPrefix(fs[0].Remedy, x.remedy) || fs[0].Pos.Line != 1 {
			t.Errorf("%s: %v, want one finding in line 1 that says %q and %q", x.why, fs, x.says, x.remedy)
		}
	}
}

// Several fields that an unknown record holds are still one finding, and what is missing beside it is told.
func TestBesideASlip(t *testing.T) {
	var said []string
	for _, f := range reader(t).Bytes("p.yaml", []byte("modality: handgrip\nid: a\ntitle: A\nrevision: 1\nlod: {fraction: 0.3, x: 1}\nholdSeconds: 120\nrestSeconds: 240\nrounds: 4\nhands: alternate\ndaysPerWeek: 3\nsessionsPerDay: 1\n")).Findings {
		said = append(said, f.Message)
	}
	if want := []string{"weeks is missing, allowed: a whole number 1 to 104", "lod is not a field here, did you mean load"}; !slices.Equal(said, want) {
		t.Errorf("%q, want %q", said, want)
	}
}
