package check_test

import (
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"isocue.example/compiler/internal/testkit"
	"isocue.example/compiler/load"
	"isocue.example/compiler/tree"
)

// answer is the label of the corpus that a rule's finding gives, "" for a rule about something else. A fall beyond the pooled studies and a
// claim about 24 hours are promises.
func answer(rule string) string {
	switch {
	case rule == "text-medicine":
		return "medicine"
	case rule == "text-danger", rule == "text-to-failure":
		return "danger"
	case strings.HasPrefix(rule, "text-"):
		return "promise"
	}
	return ""
}

func corpus(name string) string { return filepath.Join("..", "..", "testdata", "corpus", name) }

// count is how many texts with a label there are, how many are answered so, and for how many harmless ones the label is given.
type count struct{ texts, right, false int }

// measured counts by half and label. The words of schema/base/texts.cue were made with sight of the odd rows alone.
func measured(t *testing.T) map[[2]string]*count {
	c := engine(t)
	std := c.Standard("handgrip-alternating").Protocols[0]
	out := map[[2]string]*count{}
	for _, half := range halves {
		for _, label := range labels {
			out[[2]string{half, label}] = &count{}
		}
	}
	for i, r := range testkit.Rows(t, corpus("texts-blind.csv")) {
		p := load.Protocol{Node: std.Node.Borrow(), Record: std.Record}
		p.Node.Set("note", tree.Str(r[0]))
		half, want := halves[i%2], r[2]
		got := map[string]bool{}
		for _, f := range c.Check.Protocol(&p) {
			if f.Path == "note" && answer(f.Rule) != "" {
				got[answer(f.Rule)] = true
			}
		}
		n := out[[2]string{half, want}]
		n.texts++
		if got[want] || want == "none" && len(got) == 0 {
			n.right++
		}
		if want == "none" {
			for label := range got {
				out[[2]string{half, label}].false++
			}
		}
	}
	return out
}

var (
	halves = []string{"seen", "blind"}
	labels = []string{"medicine", "promise", "danger", "none"}
)

// How the words of texts do on the corpus is what stands beside it, from where docs/evidence.md has it. The counts may be written anew,
// with ISOCUE_UPDATE=1, but never where the blind half loses a right answer or gains a false alarm.
func TestCorpus(t *testing.T) {
	now := measured(t)
	stepsBack := false
	was := map[[2]string]count{}
	for _, r := range testkit.Rows(t, corpus("texts-reached.csv")) {
		var n [3]int
		for i := range n {
			x, err := strconv.Atoi(r[2+i])
			if err != nil {
				t.Fatal(err)
			}
			n[i] = x
		}
		was[[2]string{r[0], r[1]}] = count{n[0], n[1], n[2]}
	}
	for _, label := range labels {
		k := [2]string{"blind", label}
		if now[k].texts != was[k].texts || now[k].right < was[k].right || now[k].false > was[k].false {
			t.Errorf("blind %s: %d of %d right and %d false alarms, before %d of %d and %d", label, now[k].right, now[k].texts, now[k].false, was[k].right, was[k].texts, was[k].false)
			stepsBack = true
		}
	}
	if len(was) != len(now) {
		t.Fatalf("%d counts, want %d", len(was), len(now))
	}
	var b strings.Builder
	b.WriteString("half,label,texts,right,false\n")
	same := true
	for _, half := range halves {
		for _, label := range labels {
			k := [2]string{half, label}
			n := now[k]
			same = same && *n == was[k]
			b.WriteString(strings.Join([]string{half, label, strconv.Itoa(n.texts), strconv.Itoa(n.right), strconv.Itoa(n.false)}, ",") + "\n")
		}
	}
	switch {
	case same || stepsBack:
	case os.Getenv("ISOCUE_UPDATE") == "1":
		if err := os.WriteFile(corpus("texts-reached.csv"), []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	default:
		t.Errorf("the counts moved; with ISOCUE_UPDATE=1 they are written anew:\n%s", b.String())
	}
}
