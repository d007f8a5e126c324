package compiler

import (
	"bytes"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"go.yaml.in/yaml/v3"

	"isocue.example/compiler/diary"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// measured is what was answered to every case of a first visit when that was last written; docs/evidence.md prints it.
const measured = "../testdata/cases/measured.md"

// verdicts are how an answer stands to the one that was expected, as columns of the table.
var verdicts = []string{"right", "too lax", "too strict", "closed otherwise", "unread"}

// cleared is a record with a clearance of the day for all that might ask for one.
func cleared(r map[string]any, m record.Modality, c *Compiler) map[string]any {
	gates := []any{"pressure", "pulse", "age", "alert-in-log"}
	answers := r["screening"].(map[string]any)["answers"].(map[string]any)
	for _, q := range c.Check.Base.Questions() {
		if answers[q.ID] == "yes" {
			gates = append(gates, q.ID)
		}
	}
	ms, _ := r["medicines"].([]any)
	for _, x := range ms {
		gates = append(gates, x.(map[string]any)["class"])
	}
	have, _ := r["clearances"].([]any)
	list := slices.Clone(have)
	for _, g := range gates {
		list = append(list, map[string]any{"for": []any{g, string(m)}, "by": "I. Castell", "role": "physician", "date": "2027-01-03", "until": "2027-12-31"})
	}
	return over(r, map[string]any{"clearances": list})
}

// caseProtocol is the standard protocol of a modality with what a case has different: a list or a load takes the place of the whole, and an
// empty list leaves the field out.
func caseProtocol(t *testing.T, c *Compiler, m record.Modality, on map[string]any) *load.File {
	t.Helper()
	p := c.Standard(casesOf[string(m)])
	if on == nil {
		return p
	}
	b, err := p.Protocols[0].Node.MarshalJSON()
	if err != nil {
		t.Fatal(err)
	}
	var n map[string]any
	if err := yaml.Unmarshal(b, &n); err != nil {
		t.Fatal(err)
	}
	for k, v := range on {
		if list, is := v.([]any); is && len(list) == 0 {
			delete(n, k)
			continue
		}
		n[k] = v
	}
	if b, err = yaml.Marshal(n); err != nil {
		t.Fatal(err)
	}
	return c.Reader.Bytes("p.yaml", b)
}

// answer is what the program says to a record: open, refused, or unread, and the rules that refuse.
func answer(t *testing.T, c *Compiler, r map[string]any, p *load.File) (string, []string) {
	t.Helper()
	src, err := yaml.Marshal(asDays(r))
	if err != nil {
		t.Fatal(err)
	}
	f := c.Reader.Bytes("client.yaml", src)
	if f.Client == nil || finding.Rejected(f.Findings) || len(p.Protocols) != 1 {
		return "unread", refusing(append(f.Findings, p.Findings...))
	}
	start, _ := unit.ParseDate("2027-01-04")
	res, err := c.Compile(Input{Client: f.Client, Now: time.Date(2027, 1, 3, 22, 0, 0, 0, time.UTC), Start: start, Protocols: []*load.Protocol{&p.Protocols[0]}, Diary: diary.Of(nil)})
	if err != nil {
		t.Fatal(err)
	}
	if res.Plan != nil {
		return "open", nil
	}
	return "refused", refusing(res.Findings)
}

// refusing are the rules of findings that refuse, each once.
func refusing(fs []finding.Finding) (out []string) {
	for _, f := range fs {
		if f.Rejects() && !slices.Contains(out, f.Rule) {
			out = append(out, f.Rule)
		}
	}
	slices.Sort(out)
	return out
}

// compared says how an answer stands to the one that was expected.
func compared(want, got string) string {
	open := func(s string) bool { return s == "open" || s == "caution" }
	switch {
	case got == "unread":
		return "unread"
	case open(want) && !open(got):
		return "too strict"
	case !open(want) && open(got):
		return "too lax"
	case !open(want) && got != want:
		return "closed otherwise"
	}
	return "right"
}

// judged are the answers to a case: how many stand how by modality, and a line for each that is not right.
func judged(t *testing.T, c *Compiler, base map[string]any, x aCase, count map[record.Modality]map[string]int) (lines []string) {
	t.Helper()
	r := personOf(base, x)
	for _, m := range record.Modalities {
		p, want := caseProtocol(t, c, m, x.Protocols[string(m)]), x.Expect[string(m)]
		got, by := answer(t, c, r, p)
		if got == "refused" {
			got = "shut"
			if again, _ := answer(t, c, cleared(r, m, c), p); again == "open" {
				got = "clearance"
			}
		}
		v := compared(want, got)
		if count[m] == nil {
			count[m] = map[string]int{}
		}
		count[m][v]++
		if v != "right" {
			lines = append(lines, fmt.Sprintf("- %s: `%s/%s`, %s: %s, expected %s (%s)", v, strings.TrimSuffix(x.file, ".yaml"), x.ID, m, got, want, strings.Join(by, ", ")))
		}
	}
	return lines
}

// Nobody who should not train is let in, and an answer that was right stays right: what is answered to each case is what stands in
// testdata/cases/measured.md, which ISOCUE_UPDATE=1 writes anew under the tag full. The quick check takes every eighth case.
func TestCases(t *testing.T) {
	c := engine(t)
	base, all := readCases(t)
	src, err := os.ReadFile(measured)
	if err != nil && os.Getenv("ISOCUE_UPDATE") == "" {
		t.Fatal(err)
	}
	count, asked := map[record.Modality]map[string]int{}, 0
	var lines []string
	for i, x := range all {
		if !x.Today.IsZero() || !full && i%8 != 0 {
			continue
		}
		asked++
		mine := judged(t, c, base, x, count)
		for _, l := range mine {
			if strings.HasPrefix(l, "- too lax") {
				t.Error(l)
			}
			if !strings.Contains(string(src), l+"\n") && (!full || os.Getenv("ISOCUE_UPDATE") == "") {
				t.Errorf("was right, or stood otherwise: %s", l)
			}
		}
		lines = append(lines, mine...)
	}
	if want := 25; asked < want {
		t.Errorf("%d cases, want at least %d", asked, want)
	}
	if !full {
		return
	}
	got := table(count, asked, lines)
	if os.Getenv("ISOCUE_UPDATE") != "" {
		if err := os.WriteFile(measured, got, 0o644); err != nil {
			t.Fatal(err)
		}
	} else if !bytes.Equal(got, src) {
		t.Errorf("the cases are answered otherwise than %s says; read the diff of ISOCUE_UPDATE=1 go test -tags full ./compiler -run TestCases", measured)
	}
}

// table is the counts by modality and the answers that are not right.
func table(count map[record.Modality]map[string]int, asked int, lines []string) []byte {
	var w bytes.Buffer
	fmt.Fprintf(&w, "%d people at a first visit, each with every modality.\n\n| modality | %s |\n|---|%s\n", asked, strings.Join(verdicts, " | "), strings.Repeat("---|", len(verdicts)))
	for _, m := range record.Modalities {
		fmt.Fprintf(&w, "| %s |", m)
		for _, v := range verdicts {
			fmt.Fprintf(&w, " %d |", count[m][v])
		}
		w.WriteString("\n")
	}
	w.WriteString("\n")
	slices.Sort(lines)
	for _, l := range lines {
		w.WriteString(l + "\n")
	}
	return w.Bytes()
}
