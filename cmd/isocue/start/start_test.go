package start

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"cuelang.org/go/cue/format"

	"isocue.example/compiler"
	"isocue.example/compiler/files"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/tree"
)

func engine(t *testing.T) *compiler.Compiler {
	t.Helper()
	c, err := compiler.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// formatted demands the text that `cue fmt` writes: a folder whose files move when an editor saves them is no good start.
func formatted(t *testing.T, name string, src []byte) {
	t.Helper()
	out, err := format.Source(src)
	if err != nil {
		t.Errorf("%s: %v", name, err)
	} else if string(out) != string(src) {
		t.Errorf("%s is not as cue fmt writes it, which is:\n%s", name, out)
	}
}

// A protocol starts with the numbers of its standard, the same in every notation, and in CUE as cue fmt writes it.
func TestProtocolStarts(t *testing.T) {
	c := engine(t)
	for _, m := range record.Modalities {
		std := c.Standard(From[m]).Protocols[0].Node
		if std.Get("modality").Text() != string(m) {
			t.Fatalf("%s starts from %s, a protocol of another modality", m, From[m])
		}
		var first *tree.Node
		for _, ending := range []string{".cue", ".yaml", ".json"} {
			to, _ := load.FormatOf(ending)
			b, err := Protocol(std, "ours", "Ours", to)
			if err != nil {
				t.Fatal(err)
			}
			if ending == ".cue" {
				formatted(t, string(m), b)
				if !strings.Contains(string(b), "schema."+definition(string(m))+" &") {
					t.Errorf("%s: the start is not behind its own definition", m)
				}
			}
			f := c.Reader.Bytes("ours"+ending, b)
			if len(f.Findings) > 0 || len(f.Protocols) != 1 {
				t.Fatalf("%s%s: %v\n%s", m, ending, f.Findings, b)
			}
			n := f.Protocols[0].Node
			if first == nil {
				first = n
			} else if !tree.Equal(first, n) {
				t.Errorf("%s%s holds other data than .cue:\n%s", m, ending, b)
			}
			for _, k := range n.Keys {
				if k != "id" && k != "title" && !tree.Equal(n.Get(k), std.Get(k)) {
					t.Errorf("%s%s: %s is not that of %s", m, ending, k, From[m])
				}
			}
		}
	}
}

// Every CUE file of a clinic's folder is as cue fmt writes it, and no hole is left in any.
func TestClinicIsWhole(t *testing.T) {
	c := engine(t)
	files, err := Clinic(c.Check.Base, func(id string) *tree.Node { return c.Standard(id).Protocols[0].Node }, time.Date(2027, 1, 3, 9, 0, 0, 0, time.UTC))
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	for _, f := range files {
		if seen[f.Name] {
			t.Errorf("%s is written twice", f.Name)
		}
		seen[f.Name] = true
		if strings.HasSuffix(f.Name, ".cue") && !strings.HasPrefix(f.Name, Copy) {
			formatted(t, f.Name, f.Data)
		}
		if !strings.HasPrefix(f.Name, "hooks/") && strings.Contains(string(f.Data), "${") {
			t.Errorf("%s has a hole that nothing filled", f.Name)
		}
		client := strings.HasPrefix(f.Name, Clients+"/") && f.Name != Clients+"/"+RecordsName
		if client != (f.Mode == 0o600) {
			t.Errorf("%s has mode %o; client data has 0600, nothing else", f.Name, f.Mode)
		}
	}
	if last := files[len(files)-1].Name; last != Module {
		t.Errorf("%s is written last, allowed: %s, which tells a clinic's folder", last, Module)
	}
	if n := strings.Count(string(find(files, "README.md").Data), "\n"); n > 14 {
		t.Errorf("README.md has %d lines, allowed: about ten", n)
	}
	b, err := Rule(c.Check.Base, c.Standard(From[record.Handgrip]).Protocols[0].Node, "clinic-ours")
	if err != nil {
		t.Fatal(err)
	}
	formatted(t, "rule.cue", b)
}

func find(all []files.File, name string) files.File {
	for _, f := range all {
		if f.Name == name {
			return f
		}
	}
	return files.File{}
}

// A hole that nothing fills is an error, never an empty place in a record.
func TestHoles(t *testing.T) {
	if _, err := text("client.yaml", values(map[string]string{"id": "x"})); err == nil || !strings.Contains(err.Error(), "nothing fills ${") {
		t.Errorf("an unfilled hole gives %v", err)
	}
	if _, ok := dated(time.Now(), nil, nil)("day-0"); ok {
		t.Error("day-0 is filled: today in one zone is tomorrow's date in another")
	}
}

var commented = regexp.MustCompile(`(?m)^( *)# ([a-zA-Z]+: \S.*|\{.*\},|- \{.*\})$`)

// Whoever takes the # off an example of a record has a record, whatever else is still commented out; and off all of them too.
func TestExamplesAreUncommented(t *testing.T) {
	c, now := engine(t), time.Date(2027, 1, 3, 9, 0, 0, 0, time.UTC)
	b, err := Client(c.Check.Base, now, "heron-07", load.YAML)
	if err != nil {
		t.Fatal(err)
	}
	src := strings.NewReplacer("zone:\n", "zone: Europe/Lisbon\n", "dominantHand:\n", "dominantHand: right\n", "  by:\n", "  by: L. Holt\n",
		"kgf or lbf or N", "kgf", "the smallest difference,", "0.5,", "the day of the last check", "2027-01-02").Replace(string(b))
	found := commented.FindAllStringSubmatchIndex(src, -1)
	shape := func(src string) (out []string) {
		for _, f := range c.Lint(c.Reader.Bytes("heron-07.yaml", []byte(src)), now) {
			if f.Verdict == finding.Malformed {
				out = append(out, f.Message)
			}
		}
		return out
	}
	tried, all := 0, src
	for i := len(found) - 1; i >= 0; i-- {
		m := found[i]
		line, text := src[m[0]:m[1]], src[m[4]:m[5]]
		open := func(s string, at [2]int) string { return s[:at[0]] + strings.Replace(line, "# ", "", 1) + s[at[1]:] }
		one := open(src, [2]int{m[0], m[1]})
		if !strings.HasPrefix(text, "- ") {
			one = strings.Replace(one, "  grip:\n", "  grip: []\n", 1)
		}
		if fs := shape(one); len(fs) > 0 {
			t.Errorf("%s: %q", line, fs)
		}
		all = open(all, [2]int{m[0], m[1]})
		tried++
	}
	if fs := shape(all); len(fs) > 0 || tried < 18 {
		t.Errorf("all %d together: %q", tried, fs)
	}
	for _, field := range []string{"squat: [", "# limits: ", "# weightKg: ", "# heightCm: ", "maternityUnit: ", "away: [", "# inspiratory: [{id"} {
		if !strings.Contains(string(b), field) {
			t.Errorf("the form asks for what the record has no place for: %s", field)
		}
	}
}

// What leads an editor to the records is ours to the last byte, whatever the records are called; a byte more and it is not.
func TestRecords(t *testing.T) {
	for _, row := range []struct{ names, want []string }{
		{nil, nil}, {[]string{"plover-12.yaml"}, []string{"plover-12.yaml"}},
		{[]string{"c.yml", "b.json", "a.json"}, []string{"a.json", "b.json", "c.yml"}},
		{[]string{`od"d \\name.yaml`, "naïve.yaml"}, []string{"naïve.yaml", `od"d \\name.yaml`}},
		{[]string{"record.cue", "note.txt"}, nil},
		{[]string{"a.yaml", "a.diary.yaml"}, []string{"a.diary.yaml", "a.yaml"}},
	} {
		b := Records(row.names)
		formatted(t, RecordsName, b)
		if got, ok := Listed(b); !ok || !slices.Equal(got, row.want) {
			t.Errorf("%q: listed as %q, ours %v", row.names, got, ok)
		}
		if got, ok := Listed(records(row.names, false)); !ok || !slices.Equal(got, row.want) {
			t.Errorf("%q: as it was before there were diaries, listed as %q, ours %v", row.names, got, ok)
		}
		if _, ok := Listed(append(b, "x: 1\n"...)); ok {
			t.Errorf("%q: a line more is taken for ours", row.names)
		}
		if _, ok := Listed([]byte(strings.Replace(string(b), "schema.#Client", "_", 1))); ok {
			t.Errorf("%q: another definition is taken for ours", row.names)
		}
	}
}

func TestID(t *testing.T) {
	for _, row := range []struct{ file, prefix, want, why string }{
		{"clients/heron-07.yaml", "", "heron-07", "the file's name"},
		{`clients\heron-07.yaml`, "", "heron-07", "a path of Windows"},
		{"-", "", "other", "standard output has no name"},
		{"Ines Marlow.yaml", "", "other", "a name that is no id, and may be a person's"},
		{strings.Repeat("a", 49) + ".cue", "", "other", "longer than an id may be"},
		{"clinic-days.cue", "clinic-", "clinic-days", "a rule of the clinic's"},
		{"days.cue", "clinic-", "other", "a rule without the prefix"},
		{"clinic.cue", "clinic-", "other", "the prefix alone"},
	} {
		if got := ID(row.file, row.prefix, "other"); got != row.want {
			t.Errorf("%s (%s): %q, want %q", row.file, row.why, got, row.want)
		}
	}
}

// Whoever leaves a name or number of our templates, or of the made-up client, in a record is told: each is one that belongs to nobody.
func TestOurExamplesBelongToNobody(t *testing.T) {
	c := engine(t)
	now := time.Date(2027, 1, 3, 9, 0, 0, 0, time.UTC)
	template, err := Client(c.Check.Base, now, "a-1", load.YAML)
	if err != nil {
		t.Fatal(err)
	}
	clinic, err := Clinic(c.Check.Base, func(id string) *tree.Node { return c.Standard(id).Protocols[0].Node }, now)
	if err != nil {
		t.Fatal(err)
	}
	texts := []string{string(template), string(find(clinic, Clients+"/"+example).Data)}
	for _, name := range []string{"demo", "follow"} {
		b, err := os.ReadFile(filepath.Join("..", "..", "..", "testdata", name, "client.yaml"))
		if err != nil {
			t.Fatal(err)
		}
		texts = append(texts, string(b))
	}
	number, person := regexp.MustCompile(`"(\+[0-9 ]+)"`), regexp.MustCompile(`(?m)(?:\bby|\bprescriber|^name): "?([^",}\n]+)"?`)
	names, numbers := map[string]bool{}, 0
	for _, s := range texts {
		for _, m := range number.FindAllStringSubmatch(s, -1) {
			if numbers++; !c.Check.Base.MadeUp.Number(m[1]) {
				t.Errorf("%s of our examples is not known as one", m[1])
			}
		}
		for _, m := range person.FindAllStringSubmatch(s, -1) {
			if names[m[1]] = true; !c.Check.Base.MadeUp.Name(m[1]) {
				t.Errorf("%s of our examples is not known as one", m[1])
			}
		}
	}
	for _, name := range c.Check.Base.MadeUp.Names {
		if !names[name] {
			t.Errorf("%s is in schema/base/examples.cue and in no example", name)
		}
	}
	if numbers < 8 {
		t.Errorf("only %d numbers were seen", numbers)
	}
	for _, c2 := range []struct {
		number string
		nobody bool
		why    string
	}{
		{"+44 7700 900461", true, "a mobile of the drama ranges"}, {"07700 900123", true, "the same inside the country"}, {"07700 901123", false, "the next thousand"},
		{"020 7946 0999", true, "London's last"}, {"+44 20 7946 0999", true, "from abroad"}, {"020 7947 0999", false, "another exchange"}, {"+49 30 2079460", false, "another country"},
		{"(555) 555-0199", true, "the last of North America's"}, {"555-0200", false, "the next one"}, {"0000000", true, "typed to fill a field"}, {"1234567", true, "likewise"},
		{"000", false, "Australia's emergency number"}, {"112", false, "Europe's"}, {"+351 210 000 001", false, "one that may be somebody's"},
	} {
		if c.Check.Base.MadeUp.Number(c2.number) != c2.nobody {
			t.Errorf("%s belongs to nobody: %v, want %v: %s", c2.number, !c2.nobody, c2.nobody, c2.why)
		}
	}
}
