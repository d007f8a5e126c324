package clinic

import (
	"bytes"
	"crypto/rand"
	"encoding/base32"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"time"

	"isocue.example/compiler"
	"isocue.example/compiler/bound"
	"isocue.example/compiler/dated"
	"isocue.example/compiler/diary"
	"isocue.example/compiler/files"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
	"isocue.example/compiler/zone"
)

// Entering is an entry on its way into a diary.
type Entering struct {
	Diary    string            // the file
	Line     string            // the entry as it stands there; "" where no line could be made of what was typed
	Client   string            // the id
	Entry    *record.Entry     // nil where the line cannot be read
	Findings []finding.Finding // about the entry; where one rejects, nothing was written
	Begun    bool              // there was no diary before
	Now      unit.Local        // on the client's clock
	Mended   bool              // a line that was left half told has become a comment
}

// Enter makes an entry of what was typed, judges it by its shape, by the record and by the diary, and appends it. A record that is
// malformed stops nobody from saying what happened. An error that is a diary.Question can be answered.
func (f Front) Enter(c *compiler.Compiler, name string, t diary.Typed, now time.Time) (*Entering, error) {
	r, err := readPath(c, filepath.Clean(name))
	if err != nil {
		return nil, err
	}
	if r.Kind != load.IsClient && !(r.Node == nil && r.Kind == load.IsUnknown) {
		return nil, fmt.Errorf("%s is %s, allowed here: %s", name, r.Kind.Words(), load.IsClient.Words())
	}
	id, err := idOf(r)
	if err != nil {
		return nil, err
	}
	e := &Entering{Client: id, Diary: filepath.Join(filepath.Dir(r.Name), id+load.DiaryEnd)}
	before, err := c.Reader.Path(e.Diary)
	if errors.Is(err, fs.ErrNotExist) {
		before, err, e.Begun = c.Reader.Bytes(e.Diary, nil), nil, true
	}
	if err != nil {
		return nil, fmt.Errorf("cannot read: %w", files.Short(err))
	}
	if t.ID == "" {
		t.ID = newID()
	}
	k := known(c, r, before, now)
	e.Now = unit.At(k.Today, k.Now)
	k.Trains = trains(c, filepath.FromSlash(e.Pack(name)), id, before)
	if e.Line, err = diary.Line(t, k); err != nil {
		return e, err
	}
	if e.judge(c, r.Client, before, now); finding.Rejected(e.Findings) {
		return e, nil
	}
	if err := Writable(filepath.Dir(e.Diary)); err != nil {
		return e, err
	}
	if err := diary.Of(before.Diary.Of()).Twice(e.Entry); err != nil && !t.Sure {
		return e, err
	}
	return e, e.add()
}

// Ahead says whether the entry has a time of today that has not come on the client's clock.
func (e *Entering) Ahead() bool {
	return e.Entry.Time != nil && e.Entry.Date == e.Now.Date() && *e.Entry.Time > e.Now.Clock()
}

// judge reads the line as it will be read from the diary, and keeps what is found about it.
func (e *Entering) judge(c *compiler.Compiler, cl *load.Client, before *load.File, now time.Time) {
	line := bytes.Count(before.Source, []byte("\n")) + 1
	if n := len(before.Source); n > 0 && before.Source[n-1] != '\n' {
		line++
	}
	defer func() {
		for i := range e.Findings {
			e.Findings[i].Pos.Line = line
		}
	}()
	f := c.Reader.Bytes(e.Diary, []byte(e.Line+"\n"))
	e.Findings = f.Findings
	if len(f.Diary.Entries) == 0 {
		return
	}
	mine := f.Diary.Entries[0]
	mine.Line = line
	e.Entry = &mine.Entry
	all := &load.File{Name: e.Diary, Diary: &load.Diary{Entries: append(slices.Clone(before.Diary.Entries), mine)}}
	type told struct {
		rule, message string
		pos           finding.Pos
	}
	was := map[told]bool{}
	for _, x := range c.LintDiary(before, cl, now) {
		was[told{x.Rule, x.Message, x.Pos}] = true
	}
	for _, x := range c.LintDiary(all, cl, now) {
		if !was[told{x.Rule, x.Message, x.Pos}] {
			e.Findings = append(e.Findings, x)
		}
	}
}

// anew is what to do with a diary that is full.
const anew = "keep it elsewhere, and begin a new one with what still goes on"

// add appends the line, and tells the editor of a diary that was begun.
func (e *Entering) add() error {
	err := files.Append(files.Growing{Name: e.Diary, What: "diary", Most: load.MaxDiary, Full: anew}, func(have []byte) (files.Addition, error) {
		if n := diary.Entries(have); n >= load.MaxEntries {
			return files.Addition{}, &bound.Over{What: e.Diary + " would have", Has: n + 1, Of: "entries", Most: load.MaxEntries, Then: anew}
		}
		end, text := diary.Addition(have, e.Line)
		e.Mended = strings.HasPrefix(string(text), "#")
		return files.Addition{End: end, Text: text}, nil
	})
	if err == nil && e.Begun {
		err = ListRecord(e.Diary)
	}
	return err
}

// idOf is the id of a client record, also of one that cannot be read: what is plain in it is enough to say whose diary it is.
func idOf(f *load.File) (string, error) {
	id := f.Node.Get("id").Text()
	if id == "" {
		if m := idLine.FindAllSubmatch(f.Source, 2); len(m) == 1 {
			id = string(m[0][1])
		}
	}
	if !soundID.MatchString(id) {
		return "", fmt.Errorf("the id of the record in %s cannot be read, so that nobody can tell whose diary it is; write id: and an id such as heron-07", f.Name)
	}
	return id, nil
}

// soundID keeps what is called by an id in its folder, whatever stands in the record.
var soundID = regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`)

// known is what the words of an entry may refer to.
func known(c *compiler.Compiler, r, d *load.File, now time.Time) diary.Known {
	k := diary.Known{Medicines: map[string]string{}, QuestionSet: c.Check.Base.QuestionSet(), Opens: c.Check.Base.Roles.Opens, Openers: c.Check.Base.Roles.For}
	here := now.In(zoneOf(r, d, now))
	k.Today, k.Now = unit.DateOf(here), unit.Clock(here.Hour()*60+here.Minute())
	if r.Client != nil {
		k.Gauges = slices.Clone(r.Client.Record.Gauges)
	}
	for _, e := range d.Diary.Entries {
		if e.Device != nil && e.Device.Gauge != nil {
			k.Gauges = slices.DeleteFunc(k.Gauges, func(g record.Gauge) bool { return g.ID == e.Device.Instead || g.ID == e.Device.Gauge.ID })
			k.Gauges = append(k.Gauges, *e.Device.Gauge)
		}
	}
	for class, m := range c.Check.Base.Medicines {
		k.Classes = append(k.Classes, class)
		for _, g := range m.Generics {
			k.Medicines[g] = class
		}
	}
	slices.Sort(k.Classes)
	for _, q := range c.Check.Base.Questions() {
		if q.Symptom {
			k.Symptoms = append(k.Symptoms, q.ID)
		}
	}
	return k
}

// zoneLine is how a zone stands in a record in plain YAML.
var zoneLine = regexp.MustCompile(`(?m)^zone[ \t]*:[ \t]*["']?([A-Za-z0-9_+/-]+)`)

// zoneOf is the zone in which the client lives by now, as zoneName says.
func zoneOf(r, d *load.File, now time.Time) *time.Location {
	loc, err := zone.Load(zoneName(r, diary.Of(d.Diary.Of()), now))
	if err != nil {
		panic(finding.Bug{What: err.Error()})
	}
	return loc
}

// zoneName is where the client lives by now: by the last move in the diary, else by the record, also where that cannot be read as a
// whole; else nowhere but by the world's clock.
func zoneName(r *load.File, d *diary.Diary, now time.Time) string {
	name := r.Node.Get("zone").Text()
	if m := zoneLine.FindSubmatch(r.Source); name == "" && m != nil {
		name = string(m[1])
	}
	if _, err := zone.Load(name); err != nil || name == "" {
		name = "UTC"
	}
	return dated.Zone(name, d, now)
}

// newID is a new name for an entry: short enough to type, and drawn from a million million, so that two trainers on two machines
// draw the same one only by a wonder, which lint would tell.
func newID() string {
	var b [5]byte
	rand.Read(b[:]) // never fails
	return strings.ToLower(base32.StdEncoding.EncodeToString(b[:]))
}
