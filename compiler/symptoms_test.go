package compiler

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"isocue.example/compiler/load"
	"isocue.example/compiler/phrase"
	"isocue.example/compiler/record"
)

func lexicon(t testing.TB) (*phrase.Lexicon, []record.Symptom) {
	b := engine(t).Check.Base
	return b.Lexicon(), b.Symptoms()
}

func has(l *phrase.Lexicon, text, id string) bool {
	found, _ := l.Recognise(text)
	return slices.ContainsFunc(found, func(s record.Symptom) bool { return s.ID == id })
}

// spelt is every way in which an entry of the table may stand in a log: each form of each word, its parts in either order, with
// words between them, umlauts in each spelling.
func spelt(entry string) (out []string) {
	parts := strings.Fields(entry)
	forms := make([][]string, len(parts))
	for i, p := range parts {
		forms[i] = []string{""}
		for w := range strings.SplitSeq(p, "+") {
			var next []string
			for _, was := range forms[i] {
				for f := range strings.SplitSeq(w, "|") {
					for _, x := range stars(f) {
						next = append(next, strings.TrimSpace(was+" "+x))
					}
				}
			}
			forms[i] = next
		}
	}
	var join func(so string, rest [][]string)
	join = func(so string, rest [][]string) {
		if len(rest) == 0 {
			out = append(out, so)
			return
		}
		for i := range rest {
			left := slices.Delete(slices.Clone(rest), i, i+1)
			for _, f := range rest[i] {
				if so == "" {
					join(f, left)
				} else {
					join(so+" in der linken "+f, left)
				}
			}
		}
	}
	join("", forms)
	return out
}

func stars(f string) []string {
	x := strings.Trim(f, "*")
	out := []string{x}
	if strings.HasSuffix(f, "*") {
		out = append(out, x+"en")
	}
	if strings.HasPrefix(f, "*") {
		out = append(out, "dauer"+x)
	}
	return out
}

// Every German entry of the table is found in each way in which people write it, whatever stands before it that is no plain
// denial, and also behind another symptom; a plain denial of one word takes it back.
func TestGermanSymptoms(t *testing.T) {
	l, all := lexicon(t)
	spellings := []func(string) string{
		func(s string) string { return s },
		strings.ToUpper,
		strings.NewReplacer("ä", "ae", "ö", "oe", "ü", "ue", "ß", "ss").Replace,
		strings.NewReplacer("ä", "a", "ö", "o", "ü", "u", "ß", "ss").Replace,
		strings.NewReplacer("ä", "a\u0308", "ö", "o\u0308", "ü", "u\u0308").Replace,
	}
	r := rand.New(rand.NewPCG(1, 2))
	texts := 0
	for _, s := range all {
		if len(s.German) == 0 {
			t.Errorf("%s has no German", s.ID)
		}
		for _, e := range s.German {
			ways := spelt(e)
			r.Shuffle(len(ways), func(i, j int) { ways[i], ways[j] = ways[j], ways[i] })
			for i, w := range ways[:min(len(ways), 12)] {
				w = spellings[i%len(spellings)](w)
				for _, x := range []string{w, "heute " + w, "nicht nur " + w, "nicht geschlafen wegen " + w, "keine Besserung, " + w, "kein Husten und " + w, "nicht ohne " + w,
					"Kopfweh/" + w, "dizzy; " + w, "es war " + w + ".", "Training ok aber " + w, "fast " + w, w + " keine Besserung"} {
					texts++
					if !has(l, x, s.ID) && !graver(l, x, s) {
						t.Errorf("%q is not read as %s", x, s.ID)
					}
				}
				if strings.ContainsAny(e, " +") {
					continue
				}
				for _, x := range []string{"kein " + w, "keine " + w, "ohne " + w, "nicht " + w, "weder Husten noch " + w} {
					if has(l, x, s.ID) {
						t.Errorf("%q is read as %s", x, s.ID)
					}
				}
			}
		}
	}
	if texts < 15000 {
		t.Errorf("%d texts", texts)
	}
}

// graver says whether a text is read as another symptom that covers a milder one: a severe headache.
func graver(l *phrase.Lexicon, text string, s record.Symptom) bool {
	found, _ := l.Recognise(text)
	return slices.ContainsFunc(found, func(o record.Symptom) bool { return slices.Contains(o.Milder, s.ID) })
}

// Two symptoms in one text are both found, whatever joins them, so that no word of one takes away another.
func TestSymptomsBesideEachOther(t *testing.T) {
	l, all := lexicon(t)
	r := rand.New(rand.NewPCG(3, 4))
	pick := func() (record.Symptom, string) {
		s := all[r.IntN(len(all))]
		if r.IntN(3) == 0 {
			return s, s.Words[r.IntN(len(s.Words))]
		}
		ways := spelt(s.German[r.IntN(len(s.German))])
		return s, ways[r.IntN(len(ways))]
	}
	for range 4000 {
		a, x := pick()
		b, y := pick()
		text := x + []string{", ", "; ", " und ", " and ", " aber ", "/", ". "}[r.IntN(7)] + y
		for _, s := range []record.Symptom{a, b} {
			if !has(l, text, s.ID) && !graver(l, text, s) {
				t.Errorf("%q is not read as %s", text, s.ID)
			}
		}
	}
}

// A log in German is judged as one in English: each symptom calls the same people, as soon.
func TestGermanLogTellsTheSame(t *testing.T) {
	c := engine(t)
	now, err := time.Parse(time.RFC3339, wednesday)
	if err != nil {
		t.Fatal(err)
	}
	tells := func(words string) (out []string) {
		cl := tomas(t, c, nil)
		span, err := c.LogSpan(cl.Record, now)
		if err != nil {
			t.Fatal(err)
		}
		in := Following{Client: cl, Plan: aCourse(t, c, "handgrip-alternating"), Now: now}
		if in.Sessions, err = load.SessionLog("sessions.csv", []byte("at,uid,outcome,symptoms\n2027-02-10T07:00,"+in.Plan.Sessions[0].UID+",stopped,"+words+"\n"), span); err != nil {
			t.Fatal(err)
		}
		for _, x := range c.Follow(in).Tells {
			out = append(out, x.Rule+" "+x.Who+" "+x.HowSoon)
		}
		return out
	}
	for _, s := range c.Check.Base.Symptoms() {
		want := tells(s.Words[0])
		if got := tells(spelt(s.German[0])[0]); !slices.Equal(got, want) {
			t.Errorf("%s in German tells %v, in English %v", s.ID, got, want)
		}
	}
}

// Whatever a client writes before it, a danger sign in a clause of its own is found, and the reader neither fails nor hangs.
func FuzzDangerSignIsNeverLost(f *testing.F) {
	l, _ := lexicon(f)
	for _, s := range []string{"", "kein Schwindel", "weder Schwindel noch", "nicht", "no", "without", "keine Luft", "a\u0308\u0308", "Brust: ", "(", "er sagte nie", "\xff", "im li. Arm"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		for text, id := range map[string]string{s + "; Brustschmerz": "chest-pain", s + ", chest pain": "chest-pain", s + "; ich bekam keine Luft": "breathlessness", s + "\nohnmächtig": "faint"} {
			if !has(l, text, id) {
				t.Errorf("%q is not read as %s", text, id)
			}
		}
	})
}

// A text takes time by its length alone: the longer one takes eight times as long a run. The hostile logs of cmd/isocue/hostile hold a
// note of two megabytes to a second.
func BenchmarkRecognise(b *testing.B) {
	c := engine(b)
	l := c.Check.Base.Lexicon()
	for _, w := range []string{"starke Kopfschmerzen ", "noch ", "weder noch ", "kein Schwindel oder "} {
		for _, n := range []int{500, 4000} {
			s := strings.Repeat(w, n)
			b.Run(fmt.Sprintf("%s/%d", strings.Fields(w)[0], n), func(b *testing.B) {
				for b.Loop() {
					l.Recognise(s)
				}
			})
		}
	}
}

// A note of megabytes is read in parts, to its last word and where two parts meet. Source: the longest log that is read is one cell.
func TestALongNoteIsReadToItsEnd(t *testing.T) {
	l, _ := lexicon(t)
	for _, before := range []int{0, 1, 2846, 2847, 2848, 2849, 2850, 2851, 2852, 2853, 2854, 2855, 2856, 2857, 2858, 50_000} {
		if found, _ := l.Recognise(strings.Repeat("garden ", before) + "chest pain" + strings.Repeat(" garden", 4000)); len(found) != 1 || found[0].ID != "chest-pain" {
			t.Errorf("after %d words: %v", before, found)
		}
	}
	if found, _ := l.Recognise(strings.Repeat("no chest pain today. ", 5000)); len(found) > 0 {
		t.Errorf("what is denied counts: %v", found)
	}
}
