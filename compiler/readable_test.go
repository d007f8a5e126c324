package compiler

import (
	"regexp"
	"strings"
	"testing"

	"isocue.example/compiler/handout"
	"isocue.example/compiler/record"
)

// prose is the sentences of a sheet: paragraphs, points of lists, what stands under a heading; no heading, no table.
var prose = regexp.MustCompile(`(?s)<(p|li|dd)>(.*?)</(?:p|li|dd)>`)

// measure counts sentences, words, syllables, words of three syllables and more, of more than six letters, and of one syllable.
// A sentence ends at a full stop or a question mark; not at a colon or a semicolon, so that the figure is rather too high.
func measure(text string, syllables func(string) int) (sentences, words, all, many, long, one float64) {
	for _, s := range regexp.MustCompile(`[.?!](?:\s|$)`).Split(text, -1) {
		in := false
		for _, w := range regexp.MustCompile(`[\p{L}]+(?:['-]\p{L}+)*`).FindAllString(s, -1) {
			in = true
			n := max(syllables(strings.ToLower(w)), 1)
			words++
			all += float64(n)
			if n >= 3 {
				many++
			}
			if n == 1 {
				one++
			}
			if len([]rune(w)) > 6 {
				long++
			}
		}
		if in {
			sentences++
		}
	}
	return
}

// groups of vowels; a final e of English is silent, except behind l.
func englishSyllables(w string) int {
	n := len(regexp.MustCompile(`[aeiouy]+`).FindAllString(w, -1))
	if n > 1 && regexp.MustCompile(`[^aeiouyl]e$|[^td]ed$`).MatchString(w) {
		n--
	}
	return n
}

// groups of vowels, where German writes one sound with two letters.
func germanSyllables(w string) int {
	return len(regexp.MustCompile(`ie|ei|ai|au|eu|äu|aa|ee|oo|[aeiouyäöü]`).FindAllString(w, -1))
}

// The sheet is read by a person of about twelve years. English: the grade of Kincaid, Fishburne, Rogers and Chissom 1975
// (Derivation of new readability formulas, Naval Technical Training Command, report 8-75), and five years; German: the first
// Wiener Sachtextformel of Bamberger and Vanecek 1984 (Lesen, Verstehen, Lernen, Schreiben), a school grade too, and six years.
// Both are approximate: syllables are counted by rule.
func TestSheetIsEasyToRead(t *testing.T) {
	sheets(t, func(t *testing.T, p *record.Plan, in handout.Input, page string) {
		expected := map[string]bool{}
		for _, text := range in.Expected {
			expected[text] = true
		}
		var all []string
		for _, m := range prose.FindAllStringSubmatch(page, -1) {
			s := strings.TrimSpace(blank.ReplaceAllString(read(m[2]), " "))
			told := false
			for e := range expected {
				told = told || strings.Contains(s, e)
			}
			if !told { // the trials' own terms
				all = append(all, s+".")
			}
		}
		text := strings.Join(all, " ")
		var age float64
		if in.Language.Tag == "de" {
			s, w, _, many, long, one := measure(text, germanSyllables)
			age = 0.1935*100*many/w + 0.1672*w/s + 0.1297*100*long/w - 0.0327*100*one/w - 0.875 + 6
		} else {
			s, w, syl, _, _, _ := measure(text, englishSyllables)
			age = 0.39*w/s + 11.8*syl/w - 15.59 + 5
		}
		t.Logf("reading age %.1f, %d sentences", age, len(all))
		if age > 12.5 || len(all) < 20 {
			t.Errorf("reading age %.1f of %d pieces, want about 12 at most", age, len(all))
		}
	})
}

// Sentences of a known grade: the formulas are written down right.
func TestReadingFormulas(t *testing.T) {
	s, w, syl, _, _, _ := measure("The cat sat on the mat.", englishSyllables)
	if g := 0.39*w/s + 11.8*syl/w - 15.59; s != 1 || w != 6 || syl != 6 || g > -1.4 || g < -1.5 { // -1.45, by hand
		t.Errorf("%v sentences, %v words, %v syllables, grade %.2f", s, w, syl, g)
	}
	for w, n := range map[string]int{"breathing": 2, "minute": 2, "squeeze": 1, "seconds": 2, "load": 1, "table": 2} {
		if got := englishSyllables(w); got != n {
			t.Errorf("%s: %d syllables, want %d", w, got, n)
		}
	}
	for w, n := range map[string]int{"atmen": 2, "drücken": 2, "einheit": 2, "minuten": 3, "blutdruck": 2, "arztpraxis": 3} {
		if got := germanSyllables(w); got != n {
			t.Errorf("%s: %d syllables, want %d", w, got, n)
		}
	}
}
