package clinic

import (
	"bytes"
	"fmt"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"isocue.example/compiler/files"
	"isocue.example/compiler/load"
	"isocue.example/compiler/near"
)

// maybe is what stands in a folder, is not read, and may be a client's log.
type maybe struct {
	file string
	what calling
}

// plain is a name as a person reads it: in small letters, without what cannot be seen, every dash, space and low line a hyphen, and
// letters and digits of other alphabets as the Latin ones that they look like.
func plain(name string) string {
	return strings.TrimLeft(strings.Map(func(r rune) rune {
		switch {
		case r >= 0xFF01 && r <= 0xFF5E: // full width
			r -= 0xFEE0
		case r == 0xAD, unicode.Is(unicode.Cf, r), unicode.Is(unicode.Mn, r):
			return -1
		case unicode.Is(unicode.Pd, r), r == 0x2212, r == 0x00B7, unicode.IsSpace(r):
			return '-'
		case unicode.Is(unicode.Nd, r) && r > 0x7F:
			return digit(r)
		}
		if r = unicode.ToLower(r); r == '_' || r == '-' {
			return '-'
		}
		if i := strings.IndexRune(alike, r); i >= 0 {
			return rune(looksLike[utf8.RuneCountInString(alike[:i])])
		}
		return r
	}, name), ".#~$-")
}

// alike are letters of Cyrillic and Greek, and under each in looksLike the Latin one that a reader takes it for.
const (
	alike     = "аβвсԁеёһіїјкӏмнопрԛѕтυѵԝхуαεικνορτχ"
	looksLike = "abbcdeehiijklmhonpqstuvwxyaeiknoptx"
)

// digit is a decimal digit of any alphabet as ours.
func digit(r rune) rune {
	n := rune(0)
	for n < 9 && unicode.Is(unicode.Nd, r-n-1) {
		n++
	}
	return '0' + n
}

// compact is a plain name without what is no letter and no digit.
func compact(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return r
		}
		return -1
	}, s)
}

// seeming are the records to which a log or a diary of a name that is not read may belong. One whose id or file the name begins with
// goes before those that are a slip away, and one beside it before one in another folder.
func (k *registry) seeming(file string) []string {
	dir, name := filepath.Dir(file), plain(filepath.Base(file))
	if f := k.begins(dir, name); f != "" {
		return []string{f}
	}
	if fs := k.compact[compact(firstPart(name))]; len(fs) > 0 {
		return fs
	}
	word := firstPart(name)
	for {
		short := logTail.ReplaceAllString(word, "")
		if short == word || short == "" {
			break
		}
		word = short
	}
	hint := near.Match(word, k.list)
	if hint == "" {
		var has []string // 12.log.csv, where one id alone ends so
		for _, id := range k.list {
			if len(word) > 1 && slices.Contains(strings.Split(id, "-"), word) {
				has = append(has, k.elsewhere[id])
			}
		}
		if len(has) == 1 {
			return has
		}
		return nil
	}
	var out []string
	for _, id := range k.list {
		if near.Distance(word, id) <= near.Distance(word, hint) {
			out = append(out, k.elsewhere[id])
		}
	}
	return out
}

// logTail is what a person puts behind an id in the name of a log.
var logTail = regexp.MustCompile(`[^a-z0-9](logs?|sessions?|diary)$`)

func firstPart(name string) string {
	first, _, _ := strings.Cut(name, ".")
	return first
}

// begins is the record that a plain name begins with, "" for none.
func (k *registry) begins(dir, name string) string {
	for _, of := range []map[string]string{k.ids, k.stems} {
		if f := nearest(dir, name, of); f != "" {
			return f
		}
	}
	return nearest("", name, k.elsewhere)
}

// paper is what the name of a document says that is about something else than readings.
var paper = regexp.MustCompile(`consent|letter|invoice|referral|contract|receipt|einwilligung|anamnese|rechnung|vertrag|einverst|quittung|[^a-z](report|brief)`)

// pressures is a text that may hold readings: two numbers as a pressure is written, or a word for one.
var pressures = regexp.MustCompile(`(?i)\b[0-9]{2,3}\s*(/|over|zu|,|;|\t)\s*[0-9]{2,3}\b|systol|diastol|blutdruck|blood pressure|mm ?hg|pulse?\b`)

// refuses says why a client is not compiled while this stands there, "" where it is only told. This function alone decides it.
func (m maybe) refuses(b *belongings) (why, remedy string) {
	base := filepath.Base(m.file)
	name := plain(base)
	const passed = "where it holds no reading, give it another name or move it out of this folder"
	switch m.what {
	case aLog, toRead: // a link, a pipe, a folder
		if m.what == toRead && !load.IsDiaryName(base) {
			return "", ""
		}
		return "cannot be read", "put a file in its place, or delete it"
	case leftover:
		of := b.real(name)
		if mention.MatchString(name) && !logWord.MatchString(name) && !strings.Contains(name, ".csv") || of != "" { // of the record, or beside the log
			return "", ""
		}
		return "may be a copy of a log, and the log itself is not beside it", "give it the log's name where it is the one that counts; else delete it"
	case document, aTable, unknown, ordinary:
		end := strings.ToLower(filepath.Ext(base))
		if slices.Contains(leftoverEnds, end) || strings.HasSuffix(base, "~") {
			return maybe{m.file, leftover}.refuses(b)
		}
		if m.what != document && m.what != unknown && !slices.Contains(tableEnds, end) && end != ".md" || m.what != aTable && paper.MatchString(name) {
			return "", ""
		}
		src, err := files.Fetch(m.file, load.MaxBytes)
		readable := err == nil && utf8.Valid(src) && bytes.IndexByte(src, 0) < 0
		switch {
		case readable && files.Ours(src[:min(len(src), 4096)]): // a letter or a report that isocue wrote
			return "", ""
		case m.what != document && readable && !pressures.Match(src):
			return "", ""
		}
		return "may hold readings and is not read", "save its readings as CSV under that name; " + passed
	}
	return "", ""
}

// real is the file of this client that a copy of the name would be a copy of.
func (b *belongings) real(name string) string {
	switch {
	case strings.Contains(name, "diary"):
		return b.diary
	case strings.Contains(name, "session"):
		return b.sessions
	case strings.Contains(name, "log"):
		return b.log
	}
	return b.log + b.sessions + b.diary
}

// give gives what may be a log to its client, as trouble.
func (m maybe) give(k *registry, of map[string]*belongings) {
	name := plain(filepath.Base(m.file))
	mine := k.begins(filepath.Dir(m.file), name)
	all := k.compact[compact(firstPart(name))]
	switch {
	case mine != "":
		all = []string{mine}
	case len(all) == 0 && (m.what == aLog || m.what == leftover && logWord.MatchString(name)):
		all = k.seeming(m.file)
	}
	for _, file := range all {
		why, remedy := m.refuses(of[file])
		if why == "" {
			continue
		}
		id, should := k.idOf[file], "a log named by the id of its record"
		if id != "" {
			should = meant(name, id)
		}
		of[file].trouble = append(of[file].trouble, stray(m.file, fmt.Sprintf("%s is called as what belongs to the record in %s, and %s, allowed: %s", filepath.Base(m.file), filepath.Base(file), why, should), remedy))
	}
}
