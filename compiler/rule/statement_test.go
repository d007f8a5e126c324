package rule

import (
	"strings"
	"testing"
	"testing/fstest"

	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

const family = `package rules

import "isocue.example/schema"

// A fall is at most the pooled one.
#Fall: schema.#Rule & {
	#part: "systolic" | "diastolic"
	title: "a \(#part) fall", verdict: "caution", given: schema.#Given.protocol, rationale: "r", since: "v0.1"
	about: "protocol"
	when: {modality: "handgrip", expects: (#part): number}
	limit: floor: number
	value: given.expects[#part], must: >=limit.floor
	at: "expects.\(#part)", message: "{value} \(#part), allowed {limit.floor}", remedy: "write {limit.floor}"
	write: expects: (#part): limit.floor
}

`

// A row fills the blanks of its statement, in texts, places and names, and is then a rule like any other.
func TestStatement(t *testing.T) {
	row := "#rules: \"fall-one\": #Fall & {\n\t#part: \"systolic\"\n\tlimit: floor: -7\n}\n"
	r, err := parse("r.cue", []byte(family), []byte(row))
	if err != nil {
		t.Fatal(err)
	}
	g := tree.NewRecord().Link("modality", tree.Str("handgrip")).Link("expects", tree.NewRecord().Link("systolic", tree.Num(unit.MustDec("-8"))))
	f, silent := r.Judge(Given{Node: g})
	if silent || r.Title != "a systolic fall" || f.Message != "-8 systolic, allowed -7" || f.Path != "expects.systolic" || f.Remedy != "write -7" {
		t.Errorf("silent %v, title %q, finding %+v", silent, r.Title, f)
	}
	if _, silent := r.Judge(Given{Node: tree.Merge(g, r.Write(g))}); !silent {
		t.Error("the remedy does not repair")
	}
	for _, c := range []struct{ why, old, by, says string }{
		{"a blank left open", "\t#part: \"systolic\"\n", "", "the row does not fill #part"},
		{"a blank filled with something else", `#part: "systolic"`, "#part: 4", "#part is not a plain text"},
		{"a statement of another name", "#Fall &", "#Rise &", "#Rise is no statement of this file"},
		{"what the statement says, said again", "limit: floor: -7", "limit: floor: -7\n\tmust: <=4", "must is written twice"},
		{"no number", "limit: floor: -7\n", "", "limit floor is nothing, allowed: a number"},
	} {
		if !strings.Contains(row, c.old) {
			t.Fatalf("%s: the row has no %q", c.why, c.old)
		}
		if _, err := parse("r.cue", []byte(family), []byte(strings.Replace(row, c.old, c.by, 1))); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v, want %q", c.why, err, c.says)
		}
	}
}

// A file of several rules is taken apart without reading it; places are those of the file.
func TestRowsOfAFile(t *testing.T) {
	src := family + "#rules: \"fall-one\": #Fall & {\n\t#part: \"systolic\"\n\tlimit: floor: -7\n}\n\n#rules: \"fall-two\": #Fall & {\n\t#part: \"diastolic\"\n\tlimit: floor: x\n}\n"
	rs, err := scan(fstest.MapFS{"rules/falls.cue": {Data: []byte(src)}})
	if err != nil || len(rs) != 2 || rs[0].id != "fall-one" || rs[0].about != "protocol" || len(rs[1].modalities) != 1 {
		t.Fatalf("%v: %+v", err, rs)
	}
	if _, err := rs[0].compile(); err != nil {
		t.Error(err)
	}
	if _, err := rs[1].compile(); err == nil || !strings.Contains(err.Error(), "schema/rules/falls.cue:24:16") {
		t.Errorf("%v, want the place of x", err)
	}
	for _, c := range []struct{ why, name, says string }{
		{"one rule in a file of another name", "rules/other.cue", "file name and id differ"},
		{"the same rule in two files", "rules/again.cue", "both hold rule fall-one"},
	} {
		one := src[:strings.Index(src, "#rules: \"fall-two\"")]
		if c.name == "rules/again.cue" {
			one = src
		}
		fs := fstest.MapFS{"rules/falls.cue": {Data: []byte(src)}, c.name: {Data: []byte(one)}}
		if _, err := scan(fs); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v, want %q", c.why, err, c.says)
		}
	}
}
