package load

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"cuelang.org/go/cue"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/internal/cueval"
	"isocue.example/compiler/internal/guard"
	"isocue.example/compiler/tree"
	"isocue.example/schema"
)

// whole is the whole schema, with what isocue tells in words of its own.
type whole struct{ root cue.Value }

func newCUE(t testing.TB) *whole {
	t.Helper()
	root, _, err := cueval.Build(schema.FS, schema.Path, schema.Path)
	if err != nil {
		t.Fatal(err)
	}
	return &whole{root}
}

// refuses says whether CUE alone refuses data as a definition.
func (c *whole) refuses(def string, n *tree.Node) error {
	return c.root.LookupPath(cue.ParsePath(def)).Unify(c.root.Context().BuildExpr(cueval.Expr(n, nil, nil))).Validate(cue.Final(), cue.Concrete(true))
}

// knownTo is what lint says that CUE cannot: the names of zones are a table of the program's.
const knownTo = "zone"

// pair is one document, as the definition by which CUE holds it and the name by which lint reads it.
type pair struct{ def, name, src string }

// differ compares what lint says of a document with what CUE says; "" where they agree.
func differ(t testing.TB, r *Reader, c *whole, p pair) (refused bool, how string) {
	t.Helper()
	f := r.Bytes(p.name, []byte(p.src))
	lint := finding.Rejected(f.Findings)
	src := strings.TrimPrefix(p.src, "- ") // an entry of a diary is held by itself
	doc, fs := guard.Parse(strings.Replace(p.name, DiaryEnd, ".json", 1), []byte(src), guard.JSON, schema.Path)
	if doc == nil {
		t.Fatalf("%s: %v", p.src, fs)
	}
	err := c.refuses(p.def, doc.Root)
	if lint == (err != nil) {
		return lint, ""
	}
	if lint && len(f.Findings) == 1 && strings.Contains(f.Findings[0].Message, knownTo) {
		return lint, ""
	}
	var says []string
	for _, x := range f.Findings {
		says = append(says, x.Message)
	}
	return lint, fmt.Sprintf("%s: lint says %q, CUE says %v\n%s", p.def, says, err, p.src)
}

// Each line of schema/sense.cue refuses what lint refuses in words of its own: a sound document with that one slip.
func TestEachSense(t *testing.T) {
	r, c := reader(t), newCUE(t)
	sound := soundDocuments(t)
	for _, x := range []struct{ def, old, new, says, why string }{
		{"#Client", `"from":"2027-02-01","to":"2027-02-01"`, `"from":"2027-02-01","to":"2027-02-29"`, "allowed: a day of the calendar", "a date that no calendar has"},
		{"#Client", `2026-12-29T07:30`, `2026-02-29T07:30`, "allowed: a day and time that exist", "a moment of such a day"},
		{"#Client", `"diastolic":86`, `"diastolic":139`, "not under the systolic", "the two numbers of a pressure"},
		{"#Client", `"to":"24:00"`, `"to":"07:00"`, "allowed: later than 07:00", "a stretch of hours without length"},
		{"#Client", `"from":"2027-02-01"`, `"from":"2027-02-02"`, "allowed: not before", "days away that end first"},
		{"#Client", `"until":"2027-03-02"`, `"until":"2027-01-01"`, "allowed: not before", "a clearance that ends first"},
		{"#Client", `,"handgrip","walking"`, ``, "names a gate and no modality", "a clearance for nothing"},
		{"#Client", `"kneeDegrees":125`, `"kneeDegrees":135`, "allowed: a smaller angle", "a step test that does not go down"},
		{"#Client", `"hand":"left"`, `"hand":"right"`, "is a second right-hand entry", "a hand and day twice"},
		{"#Client", `"inspiratory":[{"date":"2027-01-02"`, `"inspiratory":[{"date":"2027-01-09"`, "is a second entry", "a mouth pressure twice"},
		{"#Client", `"walking":[{"date":"2027-01-02"`, `"walking":[{"date":"2027-01-09"`, "is a second entry", "a week of walking twice"},
		{"#Client", `"id":"old-gauge"`, `"id":"trainer"`, "stands twice", "two devices of one name"},
		{"#SlowBreathing", `"exhaleSeconds":5`, `"exhaleSeconds":5.25`, "whole seconds or tenths", "a breath in hundredths"},
		{"#WallSquat", `"heartRateFraction":0.95`, `"heartRateFraction":0.95,"effort":5`, "allowed: one of them", "a squat set twice"},
		{"#Inspiratory", `"sets":`, `"minutesPerSession":10,"sets":`, "allowed: one of the two", "counted and timed"},
		{"#Inspiratory", `"sets":`, `"ramp":[{"weeks":1,"minutesPerSession":10}],"sets":`, "allowed: one of the two", "counted, and timed in the ramp"},
		{"#Inspiratory", `"breathsPerSet":10,`, ``, "sets stands without breathsPerSet", "counted by half"},
		{"#Inspiratory", `"sets":6`, `"phase":"course"`, "breathsPerSet stands without sets", "counted by the other half"},
		{"#Inspiratory", `"sets":6`, `"minutesPerSession":10,"ramp":[{"weeks":1,"sets":3}]`, "allowed: one of the two", "timed, and counted by half and in the ramp"},
		{"#Entry", `"time":"07:30","reading"`, `"reading"`, "the reading has no time", "a reading of no time"},
		{"#Entry", `"time":"07:30","reading"`, `"time":"24:00","reading"`, "allowed: 00:00 to 23:59", "a reading at the end of the day"},
		{"#Entry", `"time":"07:30","outcome"`, `"time":"24:00","outcome"`, "allowed: 00:00 to 23:59", "a session at the end of the day"},
		{"#Entry", `"to":"2027-02-07"`, `"to":"2027-01-07"`, "allowed: not before", "a pause that ends first"},
		{"#Entry", `"device":{`, `"device":{"cuff":{"arm":"left","size":"small","validated":true},`, "allowed: exactly one", "two devices in one entry"},
		{"#Entry", `"add":true`, `"add":true,"replaces":true`, "allowed: one of the two", "a course beside and in place"},
		{"#Entry", `"row":"2027-01-02T07:30",`, ``, "allowed: one of the two", "words read nowhere"},
	} {
		found := false
		for _, p := range sound {
			if p.def != x.def || !strings.Contains(p.src, x.old) || found {
				continue
			}
			found = true
			p.src = strings.Replace(p.src, x.old, x.new, 1)
			fs := r.Bytes(p.name, []byte(p.src)).Findings
			if len(fs) != 1 || !strings.Contains(fs[0].Message, x.says) {
				t.Errorf("%s: lint says %v, want one finding that says %q", x.why, fs, x.says)
			}
			if refused, how := differ(t, r, c, p); !refused || how != "" {
				t.Errorf("%s: refused %v %s", x.why, refused, how)
			}
		}
		if !found {
			t.Errorf("%s: %s stands in no sound %s", x.why, x.old, x.def)
		}
	}
}

// What lint calls malformed CUE refuses too, and the other way round: of sound documents with a slip or two, the whole schema and our
// reader say the same.
func TestSenseAgreesWithCUE(t *testing.T) {
	rounds := 200
	if full {
		rounds = 10_000
	}
	r, c := reader(t), newCUE(t)
	sound := soundDocuments(t)
	for _, p := range sound {
		if refused, how := differ(t, r, c, p); refused || how != "" {
			t.Fatalf("not sound: %v %s", refused, how)
		}
	}
	rnd := rand.New(rand.NewPCG(11, 12))
	refused, bad := map[bool]int{}, 0
	for i := range rounds {
		if i%2000 == 1999 { // what was built is not given back before its context is
			c = newCUE(t)
		}
		p := sound[i%len(sound)]
		var doc any
		if err := json.Unmarshal([]byte(strings.TrimPrefix(p.src, "- ")), &doc); err != nil {
			t.Fatal(err)
		}
		for range 1 + rnd.IntN(2) {
			slip(rnd, doc)
		}
		b, err := json.Marshal(doc)
		if err != nil {
			t.Fatal(err)
		}
		if p.src[0] == '-' {
			b = append([]byte("- "), b...)
		}
		p.src = string(b)
		if strings.HasSuffix(p.name, "p.json") && !strings.Contains(p.src, `"modality":`) {
			continue // no protocol any more
		}
		no, how := differ(t, r, c, p)
		if refused[no]++; how != "" {
			if bad++; bad < 8 {
				t.Error(how)
			}
		}
	}
	if refused[true] < rounds/4 || refused[false] < rounds/10 {
		t.Errorf("%d refused, %d taken: both must be seen", refused[true], refused[false])
	}
	t.Logf("sense: %d documents, %d refused, %d taken, %d differ", rounds, refused[true], refused[false], bad)
}
