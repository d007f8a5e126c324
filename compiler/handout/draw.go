package handout

import (
	"fmt"

	"isocue.example/compiler/record"
	"isocue.example/compiler/say"
	"isocue.example/compiler/unit"
)

// drawing is a line cut into the steps of a session, or into the phases of one breath: as wide as each is long. What is
// worked is black, what is rested white, what lies between grey; so it prints on any printer and says nothing by colour.
type drawing struct {
	Title, Desc   string
	Width, Height int
	Small         bool // one breath: it needs no more than half a line
	Boxes         []box
	Ticks         []tick
	Rows          [][]stepRow // the same as a table, in columns of few rows
}

// stepRow is one step: when it begins, what, how long.
type stepRow struct{ From, What, Long string }

// maxRows is how many steps a table has before it goes on beside itself.
const maxRows = 12

type box struct {
	X, W, Middle string
	Class        string // work, rest or between
	Label        string // "" where there is no room
}

type tick struct{ X, Text string }

const (
	drawWidth, drawHeight = 680, 46
	letterWidth           = 8 // of a label's letter, generously
	// Beside a table: no wider, or its letters print too small to read; and without times below, which the table has.
	breathWidth, breathHeight = 420, 28
)

// sessionDrawing is the session as a line; ok is false where it is one step and there is nothing to see.
func sessionDrawing(l *say.Language, k *record.Kind) (d drawing, ok bool) {
	d = drawing{Title: l.PictureOf(k.Title, k.WorkSeconds), Desc: l.Sheet.Key, Width: drawWidth, Height: drawHeight}
	var at unit.Tenths
	var rows []stepRow
	for _, s := range k.Steps {
		class := "rest"
		switch s.Kind {
		case record.Squeeze, record.Squat, record.Breathe, record.Walk, record.Exercise:
			class = "work"
		case record.ChangeHand, record.Sit:
			class = "between"
		}
		d.box(at, s.Seconds, k.WorkSeconds, class, l.StepLabel(s))
		rows = append(rows, stepRow{clock(at), l.StepRow(s), l.Short(s.Seconds)})
		at += s.Seconds
	}
	every := max(unit.Tenths(600), (k.WorkSeconds/8+599)/600*600) // whole minutes, about eight
	for m := unit.Tenths(0); m < k.WorkSeconds; m += every {
		d.tick(m, k.WorkSeconds, clock(m))
	}
	d.table(rows)
	return d, len(k.Steps) > 1
}

// breathDrawing is one breath as a line.
func breathDrawing(l *say.Language, b *record.Breath) drawing {
	d := drawing{Title: fmt.Sprintf(l.Sheet.OneBreath, l.Tenths(b.Cycle())), Desc: l.Pattern(*b), Small: true, Width: breathWidth, Height: breathHeight}
	var at unit.Tenths
	var rows []stepRow
	for _, x := range []struct {
		name, class string
		long        unit.Tenths
	}{{l.Page.BreatheIn, "work", b.Inhale}, {l.Page.Pause, "between", b.Pause}, {l.Page.BreatheOut, "rest", b.Exhale}, {l.Page.Relax, "between", b.Rest}} {
		if x.long > 0 {
			d.box(at, x.long, b.Cycle(), x.class, x.name+" "+l.Short(x.long))
			rows = append(rows, stepRow{l.Short(at), x.name, l.Short(x.long)})
			at += x.long
		}
	}
	d.table(rows)
	return d
}

func (d *drawing) table(rows []stepRow) {
	for len(rows) > maxRows {
		d.Rows, rows = append(d.Rows, rows[:maxRows]), rows[maxRows:]
	}
	d.Rows = append(d.Rows, rows)
}

// pattern is the one pace of a kind's breathing, nil where there is none.
func pattern(k *record.Kind) *record.Breath {
	for _, s := range k.Steps {
		if s.Pattern != nil {
			return s.Pattern
		}
	}
	return nil
}

// place is where a moment stands on the line, in tenths of a unit, so that no float is printed.
func (d *drawing) place(at, all unit.Tenths) string {
	return unit.Ratio(int64(at)*int64(d.Width), int64(all)).Text(1)
}

func (d *drawing) box(at, long, all unit.Tenths, class, label string) {
	w := unit.Ratio(int64(long)*int64(d.Width), int64(all))
	b := box{X: d.place(at, all), W: w.Text(1), Class: class, Middle: d.place(at+long/2, all)}
	if int64(len([]rune(label))*letterWidth) < w.Int64() {
		b.Label = label
	}
	d.Boxes = append(d.Boxes, b)
}

func (d *drawing) tick(at, all unit.Tenths, text string) {
	d.Ticks = append(d.Ticks, tick{d.place(at, all), text})
}

// clock is a moment of a session as minutes and seconds: 4:10.
func clock(t unit.Tenths) string {
	s := t / 10
	out := fmt.Sprintf("%d:%02d", s/60, s%60)
	if t%10 != 0 {
		out += fmt.Sprintf(".%d", t%10)
	}
	return out
}
