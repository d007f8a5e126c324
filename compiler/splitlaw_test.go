package compiler

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
)

// longer are rules about one session of which a day has its own, larger, limit: a session that breaks one of them may be trained as
// several, if their day keeps to its limit. Breathing was trained as two sessions of thirty minutes, light loads once or twice a day;
// short walks may be added up, and grow by the week.
var longer = []string{"breath-minutes-session", "inspiratory-light-minutes", "walking-minutes-session", "walking-session-step"}

// either are limits of light loaded breaths, which trials counted up to sixty a day or timed from ten minutes up: a dose that is
// outside of one of the two families may lie within the other. Nothing that is unsafe is among them.
var either = []string{"inspiratory-breaths-day", "inspiratory-light-minutes"}

// doseOf is what the rules about a dose say of some protocols that one client trains together.
func doseOf(t *testing.T, c *Compiler, ds []drawn, name func(i int) string) ([]finding.Finding, []*load.Protocol) {
	t.Helper()
	var b strings.Builder
	for i, d := range ds {
		b.WriteString(piece{d, name(i)}.String())
	}
	f := c.Reader.Bytes("pieces.cue", []byte(b.String()))
	if len(f.Findings) > 0 {
		t.Fatalf("%v\n%s", f.Findings, b.String())
	}
	in := demo(t, c)
	for i := range f.Protocols {
		in.Protocols = append(in.Protocols, &f.Protocols[i])
	}
	g := c.programme(in)
	return append(g.checkProtocols(), c.Check.Together(g.trains())...), in.Protocols
}

// without is findings without those of some rules; what stood behind one of these is told in its place.
func without(fs []finding.Finding, rules []string) (out []finding.Finding) {
	for _, f := range fs {
		if slices.Contains(rules, f.Rule) {
			out = append(out, without(f.Covers, rules)...)
		} else {
			out = append(out, f)
		}
	}
	return out
}

// gravest is the rank of the gravest finding that rejects; that of a caution where none does.
func gravest(fs []finding.Finding) int {
	rank := finding.Caution.Rank()
	for _, f := range fs {
		if f.Rejects() {
			rank = min(rank, f.Verdict.Rank())
		}
	}
	return rank
}

func plainly(i int) string { return fmt.Sprintf("piece-%d", i) }

// splitLaw: a dose that is refused whole is refused as gravely in pieces, whichever way it is split. It says which ways it tried.
func splitLaw(t *testing.T, c *Compiler, seed uint64) (tried []string) {
	t.Helper()
	r := rand.New(rand.NewPCG(seed, 17))
	d := draw(r)
	whole, _ := doseOf(t, c, []drawn{d}, plainly)
	rank := gravest(whole)
	if rank == finding.Caution.Rank() {
		return nil
	}
	for _, way := range splits {
		pieces, ok := way.of(r, d)
		if !ok {
			continue
		}
		judged := whole
		if strings.Contains(way.name, "sessions of a day") {
			judged = without(whole, longer)
		}
		if strings.HasPrefix(way.name, "told") && strings.Contains(d.rest, "0.25") {
			judged = without(whole, either)
		}
		tried = append(tried, way.name)
		fs, protocols := doseOf(t, c, pieces, plainly)
		if got := gravest(fs); got > gravest(judged) {
			t.Errorf("seed %d: refused whole, milder split %s: %v\n%v\nin pieces\n%v\n%v", seed, way.name, whole, piece{d, "whole"}, protocols, fs)
		}
	}
	return tried
}

func FuzzSplit(f *testing.F) {
	c := engine(f)
	for i := range uint64(20) {
		f.Add(i)
	}
	f.Fuzz(func(t *testing.T, seed uint64) { splitLaw(t, c, seed) })
}

func TestSplitDoseIsNoMilder(t *testing.T) {
	c, n, doses := engine(t), uint64(80), 0
	if full {
		n = 2000
	}
	tried := map[string]int{}
	for seed := range n {
		ways := splitLaw(t, c, seed)
		if doses++; len(ways) == 0 {
			doses--
		}
		for _, w := range ways {
			tried[w]++
		}
	}
	if doses < int(n)/2 {
		t.Errorf("only %d of %d doses were refused whole", doses, n)
	}
	for _, way := range splits {
		if tried[way.name] == 0 {
			t.Errorf("no dose was split %s", way.name)
		}
	}
	t.Logf("%d doses: %v", doses, tried)
}

// Which protocol is called what, and which comes first, changes nothing: rules, verdicts and values are the same.
func TestNamesAndOrderOfProtocols(t *testing.T) {
	c, r, sums := engine(t), rand.New(rand.NewPCG(7, 7)), 0
	answer := func(fs []finding.Finding) (out []string) {
		for _, f := range fs {
			out = append(out, f.Rule+" "+string(f.Verdict)+" "+f.Found)
		}
		slices.Sort(out)
		return out
	}
	n := 20
	if full {
		n = 300
	}
	for range n {
		ds := []drawn{draw(r)}
		for len(ds) < 3 {
			if d := draw(r); d.modality == ds[0].modality || r.IntN(6) == 0 {
				ds = append(ds, d)
			}
		}
		fs, _ := doseOf(t, c, ds, plainly)
		want := answer(fs)
		if slices.ContainsFunc(fs, func(f finding.Finding) bool { return strings.Contains(f.Message, "together: ") }) {
			sums++
		}
		for range 5 {
			r.Shuffle(len(ds), func(i, j int) { ds[i], ds[j] = ds[j], ds[i] })
			names := r.Perm(26)
			again, _ := doseOf(t, c, ds, func(i int) string { return string(rune('a'+names[i])) + "-dose" })
			if got := answer(again); !slices.Equal(got, want) {
				t.Errorf("%v\nand in another order\n%v\n%v", want, got, ds)
			}
		}
	}
	if sums < n/2 {
		t.Errorf("only %d of %d programmes made a finding together", sums, n)
	}
}
