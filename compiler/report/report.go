// Package report is what every printed form has in common: how text that somebody else wrote is made harmless, how JSON looks, that
// no view of a plan stands without its cautions, and how a form is found by its name.
//
// What is printed has a room for each family: judged for findings and rules, plans for plans and rosters, followup for follow-ups.
package report

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/record"
)

// Form is one way to print a T.
type Form[T any] struct {
	Name  string
	Write func(io.Writer, T) error
}

// Forms is a family: all ways to print a T, in the order of help texts.
type Forms[T any] []Form[T]

// Names lists the forms.
func (fs Forms[T]) Names() (out []string) {
	for _, f := range fs {
		out = append(out, f.Name)
	}
	return out
}

// Write prints x in the form of that name, which the caller has held to Names.
func (fs Forms[T]) Write(w io.Writer, name string, x T) error {
	i := slices.IndexFunc(fs, func(f Form[T]) bool { return f.Name == name })
	if i < 0 {
		panic(finding.Bug{What: fmt.Sprintf("no form of %T is called %q", x, name)})
	}
	return fs[i].Write(w, x)
}

// ErrNoCautions is returned by every view that would have to print without cautions.
var ErrNoCautions = errors.New("the caution text is missing, allowed: at least one caution, none of them empty; restore schema/base/cautions.cue")

// CheckCautions refuses what is to be printed where its cautions are missing: a page that looks like advice must never stand alone.
func CheckCautions(cs []record.Caution) error {
	if len(cs) == 0 || slices.ContainsFunc(cs, func(c record.Caution) bool { return strings.TrimSpace(c.Text) == "" }) {
		return ErrNoCautions
	}
	return nil
}

// Clean drops control characters and direction controls from text that somebody else wrote.
func Clean(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\t':
			return ' '
		case Hidden(r):
			return -1
		}
		return r
	}, strings.ToValidUTF8(s, "?"))
}

// Hidden is what changes what a reader sees, and shows nothing; a byte order mark does too.
func Hidden(r rune) bool { return finding.Obeyed(r) || r == 0xfeff }

// Plural is the word for one or for more.
func Plural(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

// Indented writes v as JSON for programs, as every --format json does. What a terminal would obey is escaped: in JSON, such
// characters stand in texts alone.
func Indented(w io.Writer, v any) error {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(v); err != nil {
		return err
	}
	_, err := w.Write(Escaped(b.Bytes()))
	return err
}

// Escaped is a JSON text with the control and direction characters escaped that its encoder lets through.
func Escaped(src []byte) []byte {
	obeyed := func(r rune) bool { return r != '\n' && Hidden(r) }
	if !slices.ContainsFunc(src, func(b byte) bool { return b != '\n' && (b < ' ' || b > '~') }) { // nearly all of it, and fast to see
		return src
	}
	if !bytes.ContainsFunc(src, obeyed) {
		return src
	}
	var out []byte
	for _, r := range string(src) {
		if obeyed(r) {
			out = fmt.Appendf(out, `\u%04x`, r)
		} else {
			out = utf8.AppendRune(out, r)
		}
	}
	return out
}
