package guard

import (
	"fmt"
	"strings"
	"testing"
)

// Every further way in which a file can be more than data, one a row, with the place that is told first.
func TestBanned(t *testing.T) {
	for _, c := range []struct{ name, src, at, says, why, source string }{
		// CUE: values that compute
		{"a.cue", "a: 1\nx: a.b", "2:4", "a reference is not data", "a selector reads another field", "CUE language"},
		{"a.cue", "x: [1][0]", "1:4", "a reference is not data", "an index picks a value", "CUE language"},
		{"a.cue", "x: (1)", "1:4", "an expression in parentheses", "parentheses hold expressions", "CUE language"},
		{"a.cue", "x: _", "1:4", "a reference is not data", "top is no value", "CUE language"},
		{"a.cue", "x: _|_", "1:4", "_|_ is not data", "bottom is no value", "CUE language"},
		{"a.cue", "x: string", "1:4", "a reference is not data", "a type is no value", "CUE language"},
		{"a.cue", "x: !true", "1:4", "a constraint (!…) is not data", "not computes", "CUE language"},
		{"a.cue", "x: -y", "1:4", "a constraint (-…) is not data", "minus of a reference computes", "CUE language"},
		{"a.cue", "x: - -1", "1:4", "a constraint (-…) is not data", "two signs compute", "CUE language"},
		{"a.cue", "x: *1 | 2", "1:4", "an operation is not data", "a default is a choice", "CUE language"},
		{"a.cue", "x: =~\"a\"", "1:4", "a constraint (=~…) is not data", "a pattern is no value", "CUE language"},
		{"a.cue", "x: !=1", "1:4", "a constraint (!=…) is not data", "a bound is no value", "CUE language"},
		{"a.cue", "x: {a: 1} & {b: 2}", "1:4", "an operation is not data", "unification merges", "CUE language"},
		{"a.cue", "x: 'abc'", "1:4", "'abc' is bytes, allowed: a text in double quotes", "bytes are no text of ours", "CUE language"},
		{"a.cue", "x: #'abc'#", "1:4", "is bytes", "bytes in raw quotes", "CUE language"},
		{"a.cue", "'a': 1", "1:1", "'a' is not a field name, allowed: text", "bytes are no name", "CUE language"},
		{"a.cue", "x: len([1])", "1:4", "a call is not data", "builtins need no import", "CUE language"},
		{"a.cue", "x: \"\"\"\n\t\\(y)\n\t\"\"\"", "1:4", "a text with \\( )", "interpolation in a long text", "CUE language"},
		{"a.cue", "x: [...]", "1:5", "… is not data", "an open list is schema", "CUE language"},
		{"a.cue", "x: [...int]", "1:5", "… is not data", "an open list is schema", "CUE language"},
		{"a.cue", "x: [if true {1}]", "1:5", "a comprehension", "conditions hide elements", "CUE language"},
		// CUE: fields that are no names
		{"a.cue", "\"\\(x)\": 1", "1:1", "is not a field name", "a computed name", "CUE language"},
		{"a.cue", "(x): 1", "1:1", "is not a field name", "a computed name", "CUE language"},
		{"a.cue", "1: 1", "1:2", "cannot be read as CUE", "a number is no name", "CUE language"},
		{"a.cue", "[=~\"a\"]: 1", "1:1", "is not a field name", "a pattern constrains every field", "CUE language"},
		{"a.cue", "[x=string]: 1", "1:1", "is not a field name", "a pattern with an alias", "CUE language"},
		{"a.cue", "X=x: 1", "1:1", "", "an alias is a reference in waiting", "CUE language"},
		{"a.cue", "x: X={a: 1}", "1:4", "", "a value alias", "CUE language"},
		{"a.cue", "_#x: 1", "1:1", "hidden field or a definition", "a hidden definition", "CUE language"},
		{"a.cue", "x: {_y: 1}", "1:5", "hidden field or a definition", "hidden one level down", "CUE language"},
		{"a.cue", "x: {let y = 1}", "1:5", "let is not data", "let one level down", "CUE language"},
		{"a.cue", "x: [{y?: 1}]", "1:6", "the marker ?", "a marker in a list", "CUE language"},
		{"a.cue", "\"\": 1", "1:1", "field name has 0 bytes, allowed: 1 to 64", "no path could name it", "this format"},
		{"a.cue", strings.Repeat("a", 65) + ": 1", "1:1", "field name has 65 bytes, allowed: 1 to 64", "a name is shown in messages", "engineering limit"},
		{"a.cue", "x: 1, y: 2, x: 1", "1:13", "is written twice", "twins on one line", "CUE language"},
		{"a.cue", "x: a: 1\nx: b: 2", "2:1", "is written twice", "CUE would merge the two", "CUE language"},
		// CUE: attributes and imports
		{"a.cue", "@if(test)\nx: 1", "1:1", "an attribute is not data", "it can drop a file in silence", "CUE v0.17.1 measured"},
		{"a.cue", "@experiment(aliasv2)\nx: 1", "1:1", "", "it changes the language", "CUE v0.17.1 measured"},
		{"a.cue", "x: {@tag(y)}", "1:5", "an attribute is not data", "tags inject values", "CUE language"},
		{"a.cue", "import \"tool/exec\"\nx: 1", "1:8", "is not allowed", "commands", "CUE language"},
		{"a.cue", "import s \"isocue.example/schema/rules\"\nx: 1", "1:8", "is not allowed", "only the schema itself", "this format"},
		{"a.cue", "import s \"isocue.example/schemas\"\nx: 1", "1:8", "is not allowed", "a near name is a foreign name", "this format"},
		{"a.cue", "x: s.#Protocol & {a: 1}", "1:4", "an operation is not data", "the schema was not imported", "CUE language"},
		{"a.cue", "import \"isocue.example/schema\"\nx: {y: schema.#A & {a: 1}}", "2:8", "an operation is not data", "the conjunct stands only on top", "this format"},
		{"a.cue", "import \"isocue.example/schema\"\nx: schema.#A & schema.#B & {a: 1}", "2:4", "an operation is not data", "one conjunct", "this format"},
		{"a.cue", "import \"isocue.example/schema\"\nx: schema.#A & {a: <1}", "2:20", "a constraint (<…)", "behind the conjunct stands data", "this format"},
		{"a.cue", "import \"isocue.example/schema\"\nx: {a: 1} & schema.#A", "2:4", "an operation is not data", "the record stands last", "this format"},
		{"a.cue", "import \"isocue.example/schema\"\nschema.#A", "2:1", "stands where a field is allowed", "a schema embedded in the file", "this format"},
		// CUE: numbers
		{"a.cue", "x: 1e7", "1:4", "exponent of 1e7 is out of range, allowed: -6 to 6", "one past the limit", "engineering limit"},
		{"a.cue", "x: 1E-7", "1:4", "out of range", "one past the limit, small", "engineering limit"},
		{"a.cue", "x: -7.5e999999", "1:5", "out of range", "the engine reads it as -7.5", "CUE v0.17.1 measured"},
		{"a.cue", "x: 1234567890123456789012345", "1:4", "longer than 24 characters", "one past the limit", "engineering limit"},
		{"a.cue", "x: " + `"` + strings.Repeat("a", 8<<10) + `"`, "1:4", "text is longer than 8192 bytes", "one line of a page", "engineering limit"},
		// JSON
		{"a.json", `{"x": 1} {"y": 2}`, "", "cannot be read as JSON", "two documents", "RFC 8259 section 2"},
		{"a.json", `{"x": 1,}`, "1:9", "cannot be read as JSON", "a trailing comma", "RFC 8259 section 4"},
		{"a.json", "{\"x\": 1 // y\n}", "", "cannot be read as JSON", "a comment", "RFC 8259 section 2"},
		{"a.json", `{x: 1}`, "1:2", "cannot be read as JSON", "a name without quotes", "RFC 8259 section 4"},
		{"a.json", `{"x": NaN}`, "", "cannot be read as JSON", "no number", "RFC 8259 section 6"},
		{"a.json", `{"x": 01}`, "", "cannot be read as JSON", "a leading zero", "RFC 8259 section 6"},
		{"a.json", `"x"`, "1:1", "stands where a field is allowed", "a text is no document", "this format"},
		{"a.json", `null`, "1:1", "stands where a field is allowed", "nothing is no document", "this format"},
		{"a.json", `{"a": {"b": 1, "b": 1}}`, "1:17", "is written twice", "equal twins one level down", "RFC 8259 section 4"},
		{"a.json", `{"_x": 1}`, "", "", "", ""}, // accepted: in JSON a name is only a text
		// YAML
		{"a.yaml", "id: a\rx: 1\r", "1:6", "line ends with U+000D, allowed: a line feed", "the reader counts other lines and fails", "YAML 1.2 section 5.4"},
		{"a.yaml", "id: a\nx: \u20281", "2:4", "line ends with U+2028", "YAML 1.1 breaks a line there", "YAML 1.1 section 4.2"},
		{"a.yaml", "id: a\n\u0085x: 1", "2:1", "line ends with U+0085", "YAML 1.1 breaks a line there", "YAML 1.1 section 4.2"},
		{"a.yaml", "a: &a [*a]", "1:4", "the anchor &a is not data", "an anchor inside itself", "YAML 1.2 section 7.1"},
		{"a.yaml", "a: &a 1\nb: *a", "1:4", "the anchor &a is not data", "aliases multiply", "YAML 1.2 section 7.1"},
		{"a.yaml", "a: &a\n  <<: *a", "1:4", "the anchor &a is not data", "a merge of itself never ends", "CUE v0.17.1 measured"},
		{"a.yaml", "a: {<<: {b: 1}}", "1:5", "the merge key << is not data", "a merge hides where a value comes from", "YAML 1.1 types"},
		{"a.yaml", "a: 1\n---\nb: &b 1", "3:4", "the anchor &b is not data", "in a second document too", "YAML 1.2 section 9"},
		{"a.yaml", "a: *b", "1:1", "unknown anchor", "an alias of nothing", "YAML 1.2 section 7.1"},
		{"a.yaml", "id: a\nx: !!binary \"?\"", "2:1", "invalid base64", "bytes", "YAML 1.1 types"},
		{"a.yaml", "id: a\n? [1]\n: 2", "2:1", "invalid map key", "a list as a name", "YAML 1.2"},
		{"a.yaml", "id: a\n x: 1", "2:1", "cannot be read as YAML", "a slip of indentation", "YAML 1.2 section 6.1"},
		{"a.yaml", "id: a\nx: @y", "2:1", "cannot be read as YAML", "a reserved character", "YAML 1.2 section 5.3"},
		{"a.yaml", "id: a\nx: -.inf", "2:4", "", "no number", "YAML 1.2 core schema"},
		{"a.yaml", "id: a\nx: !!binary aGk=", "2:4", "is bytes", "bytes are no text of ours", "YAML 1.1 types"},
	} {
		f, _ := FormatOf(c.name)
		doc, fs := Parse(c.name, []byte(c.src), f, schemaPath)
		if c.why == "" {
			if doc == nil {
				t.Errorf("%q was refused: %v", c.src, fs)
			}
			continue
		}
		if c.source == "" {
			t.Errorf("%q has no source", c.src)
		}
		if doc != nil || len(fs) == 0 {
			t.Errorf("%s: %.60q was accepted", c.why, c.src)
			continue
		}
		at := fmt.Sprintf("%d:%d", fs[0].Pos.Line, fs[0].Pos.Column)
		if c.at != "" && at != c.at || !strings.Contains(fs[0].Message, c.says) {
			t.Errorf("%.60q: %s %s, want %s %s", c.src, at, fs[0].Message, c.at, c.says)
		}
		if fs[0].Remedy == "" || fs[0].Rationale == "" || strings.HasSuffix(fs[0].Message, ": ") {
			t.Errorf("%.60q: the finding lacks words: %+v", c.src, fs[0])
		}
	}
}

// Just inside every bound a file is read, so that no bound is tighter than it says.
func TestAtTheBounds(t *testing.T) {
	list := func(n int) string { return "x: [" + strings.TrimSuffix(strings.Repeat("1,", n), ",") + "]" }
	for _, c := range []struct{ src, why, source string }{
		{"x: 1e6", "the largest exponent", "engineering limit"},
		{"x: 1e-6", "the smallest exponent", "engineering limit"},
		{"x: 123456789012345678901234", "24 characters of a number", "engineering limit"},
		{strings.Repeat("a", 64) + ": 1", "64 bytes of a name", "engineering limit"},
		{"x: 1\r\ny: 2\r\n", "line ends of Windows", "this format"},
		{`x: "` + strings.Repeat("a", 8<<10-2) + `"`, "the longest text", "engineering limit"},
		{list(1000), "the longest list", "engineering limit"},
		{strings.Repeat("a: ", 8) + "1", "eight names deep", "engineering limit"},
		{"x: 1\n//" + strings.Repeat(" ", MaxBytes-7), "the largest file", "engineering limit"},
	} {
		if c.why == "" || c.source == "" {
			t.Errorf("%.20q has no why or no source", c.src)
		}
		if doc, fs := Parse("a.cue", []byte(c.src), CUE, schemaPath); doc == nil {
			t.Errorf("%s was refused: %v", c.why, fs)
		}
	}
	if doc, _ := Parse("a.cue", []byte("x: 1\n//"+strings.Repeat(" ", MaxBytes-6)), CUE, schemaPath); doc != nil {
		t.Error("a file one byte too large was read")
	}
}

// All slips of a file are told, in the order of its lines, up to a bound.
func TestAllSlipsAtOnce(t *testing.T) {
	doc, fs := Parse("a.cue", []byte("a: x\nb: 1 + 1\n_c: 1\nd: \"ok\"\ne: [for i in [1] {i}]\n"), CUE, schemaPath)
	if doc != nil || len(fs) != 4 {
		t.Fatalf("%d findings, want 4: %v", len(fs), fs)
	}
	for i, line := range []int{1, 2, 3, 5} {
		if fs[i].Pos.Line != line {
			t.Errorf("finding %d stands on line %d, want %d", i, fs[i].Pos.Line, line)
		}
	}
	if _, fs := Parse("a.cue", []byte(strings.Repeat("_a: 1\n", 500)), CUE, schemaPath); len(fs) == 0 || len(fs) > maxFindings {
		t.Errorf("%d findings, allowed: 1 to %d", len(fs), maxFindings)
	}
}
