package check_test

import (
	"strings"
	"testing"

	"isocue.example/compiler/rule"
)

// The examples of a rule about texts say which words are found in them; the words of the rule base find the same.
func TestTextExamples(t *testing.T) {
	c, n := engine(t), 0
	for _, r := range c.Check.Base.All() {
		if r.About != "text" || strings.HasPrefix(r.ID, "text-fall-") {
			continue
		}
		for _, ex := range append(r.Example.Pass, r.Example.Fail...) {
			n++
			text, want := ex.Get("text").Text(), ex.Get(r.At).Text()
			if got := said(c.Check.Base, r.At, text); got != want {
				t.Errorf("%s: %q says %q, want %q", r.ID, text, got, want)
			}
		}
	}
	if n < 15 {
		t.Errorf("only %d examples", n)
	}
}

// said is what a text says of one fact, each in turn.
func said(b *rule.Base, fact, text string) string {
	var out []string
	for _, f := range b.Texts().Find(text) {
		if f.Fact == fact {
			out = append(out, f.Words)
		}
	}
	return strings.Join(out, " ... ")
}

// What turns a text. Sources: the lines drawn in testdata/corpus/README.md; the sentences are not from there.
func TestTextTurns(t *testing.T) {
	b := engine(t).Check.Base
	for _, x := range []struct{ why, fact, text, want string }{
		{"plain", "medicine", "Halve your tablets in week two", "Halve your tablets"},
		{"negated", "medicine", "Never halve your tablets", ""},
		{"negated over a list", "medicine", "Do not halve, split or skip your tablets", ""},
		{"a comma ends what is negated", "medicine", "Do not worry, skip your tablets", "skip your tablets"},
		{"negated twice", "medicine", "There is no reason not to skip your tablets", "no reason not to skip your tablets"},
		{"asked", "medicine", "Should I skip my tablets?", ""},
		{"why not is advice", "medicine", "Why not skip your tablets?", "Why not skip your tablets"},
		{"left to whoever prescribes", "medicine", "Skip a tablet only if your doctor says so", ""},
		{"a slip", "medicine", "Reduce your medcation", "Reduce your medcation"},
		{"a generic name", "medicine", "Setzen Sie Ramipril ab", "Setzen Sie Ramipril ab"},
		{"between the words", "medicine", "Setzen Sie die Tabletten nicht ab", ""},
		{"a tablet with a screen", "medicine", "Put the tablet where you see its screen", ""},
		{"for whom", "medicine", "For people without medication", ""},
		{"behind the word", "promise", "Wir versprechen Ihnen nichts", ""},
		{"promised", "promise", "Wir versprechen Ihnen gute Werte", "versprechen"},
		{"the sign of a log, over a full stop", "danger", "Chest hurts? That is normal", "Chest hurts? That is normal"},
		{"what to do", "danger", "Chest hurts? Stop at once and call us", ""},
		{"disguised letters", "promise", "It is guar\u200bаnteed", "guaranteed"},
		{"two places", "promise", "It cures. We guarantee it", "cures ... guarantee"},
	} {
		if got := said(b, x.fact, x.text); got != x.want {
			t.Errorf("%s: %q says %q, want %q", x.why, x.text, got, x.want)
		}
	}
}
