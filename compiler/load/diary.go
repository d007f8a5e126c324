package load

import (
	"fmt"
	"regexp"
	"strings"

	"isocue.example/compiler/bound"
	"isocue.example/compiler/internal/guard"
	"isocue.example/compiler/near"
	"isocue.example/compiler/record"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// Bounds of a diary, which are not those of other files.
const (
	MaxDiary   = bound.Diary
	MaxEntries = bound.DiaryEntries
)

// DiaryEnd is how the name of a diary ends.
const DiaryEnd = ".diary.yaml"

// Diary is what could be read of a diary: entries that cannot be read are findings, and the others are here all the same.
type Diary struct{ Entries []DiaryEntry }

// DiaryEntry is one entry.
type DiaryEntry struct{ record.Entry }

// Node is the entry with the places of its values.
func (e *DiaryEntry) Node() *tree.Node { return EntryNode(&e.Entry) }

// EntryNode is an entry with the places of its values.
func EntryNode(e *record.Entry) *tree.Node {
	g := guard.Entry{Text: e.Text, Line: e.Line}
	g.Read(e.File)
	return g.Root
}

// Of are the entries alone.
func (d *Diary) Of() (out []record.Entry) {
	for i := range d.Entries {
		out = append(out, d.Entries[i].Entry)
	}
	return out
}

// diaryHead is how a diary begins, behind comments: with an entry, which has a date and who wrote it.
var diaryHead = regexp.MustCompile(`^(?:\x{feff})?(?:(?:#[^\n]*|---|[ \t\r]*)\n)*-[ \t\n](?:[^\n]*|[^\n]*\n[ \t]+[^\n]*)\b(date|by)"?[ \t]*:`)

// IsDiaryName says whether a file is a diary by its name alone.
func IsDiaryName(name string) bool { return strings.HasSuffix(strings.ToLower(name), DiaryEnd) }

// isDiary says whether a text is a diary: by its name, in which case it may be empty or spoiled, or by how it begins.
func isDiary(name string, src []byte) bool {
	format, known := guard.FormatOf(name)
	return IsDiaryName(name) || (!known || format == guard.YAML) && BeginsDiary(src)
}

// BeginsDiary says whether a text begins as a diary does, whatever it is called.
func BeginsDiary(src []byte) bool { return diaryHead.Match(src[:min(len(src), 4<<10)]) }

// diary reads a diary.
func (r *Reader) diary(f *File) {
	f.Kind, f.Diary, f.Node = IsDiary, &Diary{}, tree.At(top(f.Name))
	if len(f.Source) > MaxDiary {
		f.Findings = append(f.Findings, f.tooLarge(&bound.Over{What: "the diary has", Has: MaxDiary, AtLeast: true, Of: "bytes", Most: MaxDiary}))
		return
	}
	es, fs := guard.Entries(f.Name, f.Source, MaxEntries)
	f.Findings = append(f.Findings, fs...)
	if len(es) > MaxEntries {
		f.Findings = append(f.Findings, f.tooLarge(&bound.Over{What: "the diary has", Has: MaxEntries, AtLeast: true, Of: "entries", Most: MaxEntries}))
		return
	}
	f.Diary.Entries = make([]DiaryEntry, 0, len(es))
	f.loose()
	for _, e := range es {
		e.Read(f.Name)
		f.Findings = append(f.Findings, e.Findings...)
		if e.Root != nil {
			one := &File{Name: f.Name, Kind: f.Kind, Diary: f.Diary} // what is told of one entry is told beside nothing of another
			r.entry(one, e, len(f.Findings) < maxTold)
			f.Findings = append(f.Findings, one.Findings...)
		} else {
			f.unread(e.Text, torn(e.Text), e.Line, 0, f.newest())
		}
	}
	for i := range f.Findings {
		f.Findings[i].Private = true
	}
}

// entry reads one entry. One that has a fault beside what happened is kept: an illness with a slip in its note is an illness.
// full says that what is wrong with it is told in full.
func (r *Reader) entry(f *File, from guard.Entry, full bool) {
	n, unsure := from.Root, false
	if s := r.diaries(); full {
		r.shape(f, s, "#EntryFields", n)
	} else if fits, _ := s.Fits("#EntryFields", n); !fits { // nobody repairs more at once, and saying what is wrong takes long
		unsure = true
		f.add(n, Shape, "the entry is malformed, allowed: what docs/fields.md lists", "repair the entries above first")
	}
	var keys []record.Happening
	for _, k := range record.Happenings {
		if n.Get(string(k)) != nil {
			keys = append(keys, k)
		}
	}
	if len(keys) != 1 {
		f.happenings(n, keys)
	}
	e := record.Entry{Date: f.date(n.Get("date")), By: n.Get("by").Text(), Note: n.Get("note").Text(), ID: n.Get("id").Text(), File: f.Name, Line: n.Pos.Line, Text: from.Text}
	e.Time = f.clock(n.Get("time"))
	e.Digest = digestOf(n)
	if e.Named = e.ID != ""; !e.Named {
		e.ID = e.Digest[:8]
	}
	had := len(f.Diary.Entries)
	for _, k := range keys {
		one := e
		if one.What = k; k == record.HasMedicine {
			r.classed(f, n.Get(string(k)))
		}
		f.happened(n.Get(string(k)), &one)
		sound := one.Date != 0 && len(keys) == 1 && !unsure && !f.faultIn(n, string(k), "date", "time")
		if sound || one.Date != 0 && closes(k) { // what closes training is never lost for a fault beside it
			f.Diary.Entries = append(f.Diary.Entries, DiaryEntry{one})
		}
	}
	if len(f.Findings) > 0 {
		f.unread(from.Text, leftOver(n, len(f.Diary.Entries) == had), n.Pos.Line, e.Date, f.newest())
	}
}

// newest is the day of the last entry that was read, 0 for none.
func (f *File) newest() unit.Date {
	if n := len(f.Diary.Entries); n > 0 {
		return f.Diary.Entries[n-1].Date
	}
	return 0
}

// closes says whether an entry of that kind closes training whatever else stands in it.
func closes(k record.Happening) bool {
	return k == record.Ill || k == record.Felt || k == record.Stop
}

// faultIn says whether one of the findings lies in one of the named fields of an entry.
func (f *File) faultIn(n *tree.Node, names ...string) bool {
	for _, x := range f.Findings {
		for _, name := range names {
			v := n.Get(name)
			if v != nil && (x.Path == v.Path() || strings.HasPrefix(x.Path, v.Path()+".") || strings.HasPrefix(x.Path, v.Path()+"[")) {
				return true
			}
		}
	}
	return false
}

// happenings reports an entry that says nothing, or several things.
func (f *File) happenings(n *tree.Node, keys []record.Happening) {
	var all []string
	for _, k := range record.Happenings {
		all = append(all, string(k))
	}
	if len(keys) > 1 {
		f.add(n.Get(string(keys[1])), Shape, fmt.Sprintf("the entry says both %s and %s, allowed: one thing", keys[0], keys[1]), "write an entry for each")
		return
	}
	for _, k := range n.Keys { // the name that is not known is probably it, and is told already with what was meant
		if near.Match(k, all) != "" && n.Get(k) != nil && !knownField(k) {
			return
		}
	}
	f.add(n, Shape, "the entry does not say what happened, allowed: one of "+strings.Join(all, ", "), "add what happened, such as ill: \"fever\"")
}

func knownField(k string) bool {
	switch k {
	case "date", "by", "id", "time", "note":
		return true
	}
	return false
}
