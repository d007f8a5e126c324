// Package say holds the sentences that a client reads, and the forms in which a language writes numbers, spans and days. Cautions
// and expectations have theirs in the schema, a protocol's titles in its file.
//
// A Language is one catalogue of sentences. Calendar, sheet and session page take their words from it and from nowhere else,
// so that the three never say the same thing in two ways. The words are those of a client of seventy: squeeze, relax, breathe
// in, pause, breathe out, your reading. No sentence holds a number of its own: numbers come from the plan, and its cautions
// with it.
package say

import (
	"cmp"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// Noun is a word for one thing and for another number of them.
type Noun struct{ One, Other string }

// Language is a catalogue with the forms of its language. It must not be changed.
type Language struct {
	Tag     string // BCP 47
	Decimal string // between whole and tenths
	Words   Words
	Days    Days
	Gate    Gate
	Session Session
	Steps   Steps
	Entry   Entry
	Frame   Frame
	Sheet   Sheet
	Page    Page

	Companion Companion
}

// Words are the smallest parts.
type Words struct {
	Second, Minute, Day, Reading, Squeeze, Squat, Set, Breath, Time Noun
	Small                                                           []string // no, one, two, ...
	And                                                             string   // between the last two of a list
	Right, Left                                                     string   // hands
	To                                                              string   // between the ends of a range, with its spaces
}

// English is the catalogue that is always there.
func English() *Language { return &english }

// In is the catalogue of a tag such as en; ok is false where there is none.
func In(tag string) (l *Language, ok bool) {
	for _, l := range languages {
		if l.Tag == tag {
			return l, true
		}
	}
	return nil, false
}

// Of is the language that a plan is in. The error says that this program has none of its tag.
func Of(p *record.Plan) (*Language, error) {
	l, ok := In(cmp.Or(p.Language, english.Tag))
	if !ok {
		return nil, fmt.Errorf("the plan's language is %q, allowed: %s", p.Language, strings.Join(Tags(), ", "))
	}
	return l, nil
}

// Tags lists the languages.
func Tags() (out []string) {
	for _, l := range languages {
		out = append(out, l.Tag)
	}
	return out
}

var languages = []*Language{&english, &german}

// Plural is the form of a noun for n. The languages here know one and other, as CLDR names them.
func (l *Language) Plural(n int, noun Noun) string {
	if n == 1 {
		return noun.One
	}
	return noun.Other
}

// Count is a number with its noun: 2 readings.
func (l *Language) Count(n int, noun Noun) string { return fmt.Sprintf("%d %s", n, l.Plural(n, noun)) }

// InWords spells the few numbers that stand in the middle of a sentence.
func (l *Language) InWords(n int) string {
	if n >= 0 && n < len(l.Words.Small) {
		return l.Words.Small[n]
	}
	return fmt.Sprint(n)
}

// Number is d as people write it here.
func (l *Language) Number(d unit.Dec) string { return strings.Replace(d.String(), ".", l.Decimal, 1) }

// Tenths is a span in seconds as a bare number: 5, 2.5.
func (l *Language) Tenths(t unit.Tenths) string { return l.Number(t.Dec()) }

// Span says a time as people do: 30 seconds, 2 minutes, 2 minutes 30 seconds.
func (l *Language) Span(t unit.Tenths) string {
	minutes, rest := int(t/600), t%600
	seconds := l.Tenths(rest) + " " + l.Words.Second.Other
	if rest == unit.Seconds(1) {
		seconds = "1 " + l.Words.Second.One
	}
	switch {
	case minutes == 0:
		return seconds
	case rest == 0:
		return l.Count(minutes, l.Words.Minute)
	}
	return l.Count(minutes, l.Words.Minute) + " " + seconds
}

func (l *Language) seconds(n int) string { return l.Span(unit.Seconds(n)) }

// List joins parts as a sentence does: a, b and c.
func (l *Language) List(parts []string) string {
	if n := len(parts) - 1; n > 0 {
		return strings.Join(parts[:n], ", ") + l.Words.And + parts[n]
	}
	return strings.Join(parts, "")
}

// HandName is right or left.
func (l *Language) HandName(h record.Hand) string {
	if h == record.Left {
		return l.Words.Left
	}
	return l.Words.Right
}

// Upper begins s with a capital letter.
func Upper(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if n == 0 {
		return s
	}
	return string(unicode.ToUpper(r)) + s[n:]
}

// sentence begins s with a capital letter and ends it with a full stop.
func sentence(s string) string { return Upper(s) + "." }
