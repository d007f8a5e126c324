package tree

import (
	"testing"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/unit"
)

func sample() *Node {
	root, load, ramp, entry := NewRecord(), NewRecord(), NewList(), NewRecord()
	root.Set("load", load)
	load.Set("fraction", Num(unit.MustDec("0.30")))
	root.Set("ramp", ramp)
	ramp.Append(Int(1))
	ramp.Append(entry)
	entry.Set("weeks", Int(2))
	root.Set("title", Str("A"))
	root.Set("ok", Truth(true))
	return root
}

// Paths are written as findings and waivers write them. Source: docs/cli.md.
func TestPath(t *testing.T) {
	r := sample()
	for _, c := range []struct {
		get  []string
		want string
	}{
		{nil, ""}, {[]string{"load"}, "load"}, {[]string{"load", "fraction"}, "load.fraction"}, {[]string{"ramp", "0"}, "ramp[0]"},
		{[]string{"ramp", "1", "weeks"}, "ramp[1].weeks"},
	} {
		if got := r.Get(c.get...).Path(); got != c.want {
			t.Errorf("%v is %q, want %q", c.get, got, c.want)
		}
	}
	if got := r.Get("ramp", "1").Join("load", "fraction"); got != "ramp[1].load.fraction" {
		t.Error(got)
	}
	if got := r.Join("x"); got != "x" {
		t.Error(got)
	}
}

// What is missing reads as nothing, never as a panic: every reader of a record walks optional fields.
func TestMissing(t *testing.T) {
	r := sample()
	for _, p := range [][]string{{"x"}, {"x", "y"}, {"ramp", "2"}, {"ramp", "-1"}, {"ramp", "a"}, {"title", "x"}, {"load", "fraction", "x"}} {
		n := r.Get(p...)
		if n != nil || n.Text() != "" || n.Whole() != 0 || n.Number().Sign() != 0 || n.Items() != nil || n.Get("x") != nil {
			t.Errorf("%v is something", p)
		}
	}
	if r.Get("ok").Text() != "" || r.Get("title").Whole() != 0 || r.Get("load").Items() != nil {
		t.Error("a value of another kind was read")
	}
}

// A borrowed node keeps its place and path; one that belongs gets a new one.
func TestLinkKeepsPlaces(t *testing.T) {
	r := sample()
	f := r.Get("load", "fraction")
	f.Pos = finding.Pos{File: "a.cue", Line: 3, Column: 1}
	other := NewRecord()
	other.Link("fraction", f)
	if n := other.Get("fraction"); n.Path() != "load.fraction" || n.Pos.Line != 3 {
		t.Errorf("%s %v", n.Path(), n.Pos)
	}
	other.Link("fraction", f)
	if len(other.Keys) != 1 {
		t.Errorf("a field stands twice: %v", other.Keys)
	}
	r.Get("load").Detach()
	if f.Path() != "fraction" {
		t.Errorf("%s after its record became a document", f.Path())
	}
}

// Values are compared, not spellings or places; order counts in lists, not in records.
func TestEqual(t *testing.T) {
	rec := func(kv ...any) *Node {
		n := NewRecord()
		for i := 0; i < len(kv); i += 2 {
			n.Set(kv[i].(string), kv[i+1].(*Node))
		}
		return n
	}
	a, b := rec("x", Int(1), "y", Str("z")), rec("y", Str("z"), "x", Num(unit.MustDec("1.0")))
	for _, c := range []struct {
		a, b *Node
		want bool
		why  string
	}{
		{a, b, true, "order and spelling"}, {a, rec("x", Int(1)), false, "a field less"}, {rec("x", Int(1)), rec("y", Int(1)), false, "another name"},
		{rec("x", Int(1)), rec("x", Int(2)), false, "another value"},
		{NewList(Int(1), Int(2)), NewList(Int(2), Int(1)), false, "order of a list"}, {NewList(Int(1)), NewList(Int(1), Int(1)), false, "length"},
		{NewList(Int(1)), NewList(Int(1)), true, "a list"},
		{Int(1), Str("1"), false, "kind"}, {Truth(true), Truth(false), false, "truth"}, {Str("a"), Str("a"), true, "text"}, {Str("a"), Str("A"), false, "case"},
		{nil, nil, true, "nothing"}, {nil, Int(0), false, "nothing and zero"}, {&Node{}, &Node{}, true, "null"},
	} {
		if Equal(c.a, c.b) != c.want || Equal(c.b, c.a) != c.want {
			t.Errorf("%s: not %v", c.why, c.want)
		}
	}
}
