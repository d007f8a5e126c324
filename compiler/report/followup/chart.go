package followup

import (
	"fmt"
	"math"

	"isocue.example/compiler/progress"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// mark is one piece of a drawing, its places as SVG wants them.
type mark struct {
	Kind               string // line | dot | square | cross | text | path
	Class, Text        string
	X, Y, X2, Y2, Size string
	Anchor             string
}

// chart is one drawing with what it shows in words.
type chart struct {
	ID, Title, Desc string
	Width, Height   int
	Marks           []mark
}

func px(x float64) string { return fmt.Sprintf("%.1f", x) }

func (c *chart) line(class string, x, y, x2, y2 float64) {
	c.Marks = append(c.Marks, mark{Kind: "line", Class: class, X: px(x), Y: px(y), X2: px(x2), Y2: px(y2)})
}

func (c *chart) text(x, y float64, anchor, s string) {
	c.Marks = append(c.Marks, mark{Kind: "text", X: px(x), Y: px(y), Anchor: anchor, Text: s})
}

func (c *chart) dot(class string, x, y, r float64) {
	c.Marks = append(c.Marks, mark{Kind: "dot", Class: class, X: px(x), Y: px(y), Size: px(r)})
}

func (c *chart) square(class string, x, y, size float64) {
	c.Marks = append(c.Marks, mark{Kind: "square", Class: class, X: px(x - size/2), Y: px(y - size/2), Size: px(size)})
}

func float(d unit.Dec) float64 { x, _ := d.Rat().Float64(); return x }

// frame is where data stand in a chart of pressures over days.
type frame struct {
	left, right, top, bottom float64
	from, to                 unit.Date
	low, high                float64
}

func (f frame) x(l unit.Local) float64 {
	days := float64(f.to-f.from) + 1
	return f.left + (f.right-f.left)*(float64(l)/1440-float64(f.from))/days
}

func (f frame) y(v float64) float64 {
	return f.bottom - (f.bottom-f.top)*(v-f.low)/(f.high-f.low)
}

// pressures draws all readings, the daily means, the windows with their intervals, the limit lines and the sessions.
func pressures(f progress.Followed) (c chart, ok bool) {
	if len(f.Home) == 0 {
		return c, false
	}
	c = chart{ID: "pressures", Title: "Home readings", Width: 760, Height: 400,
		Desc: "Every home reading by day: systolic as a full dot, diastolic as an open dot. A thin line joins the daily means. A thick line is the mean of a window, with a bar at its middle for the noise of the systolic mean. Dashed lines are limits, with their names. Marks under the axis are sessions. The tables below hold the same numbers."}
	fr := frame{left: 40, right: 640, top: 28, bottom: 340, from: f.Home[0].At.Date(), to: f.At.Date()}
	fr.low, fr.high = math.Inf(1), math.Inf(-1)
	grow := func(v float64) { fr.low, fr.high = math.Min(fr.low, v), math.Max(fr.high, v) }
	for _, r := range f.Home {
		grow(float64(r.Systolic))
		grow(float64(r.Diastolic))
	}
	for _, l := range f.Lines[:1] {
		grow(float(l.Systolic))
		grow(float(l.Diastolic))
	}
	fr.low, fr.high = math.Floor((fr.low-5)/10)*10, math.Ceil((fr.high+5)/10)*10
	c.axes(fr)
	for _, l := range f.Lines {
		for _, v := range []unit.Dec{l.Systolic, l.Diastolic} {
			if y := float(v); y > fr.low && y < fr.high {
				c.line("limit", fr.left, fr.y(y), fr.right, fr.y(y))
				c.text(fr.right+4, fr.y(y)+4, "start", v.Text(0)+" "+l.Name)
			}
		}
	}
	for _, r := range f.Home {
		c.dot("full", fr.x(r.At), fr.y(float64(r.Systolic)), 1.6)
		c.dot("open", fr.x(r.At), fr.y(float64(r.Diastolic)), 1.8)
	}
	for i := 1; i < len(f.Days); i++ {
		a, b := f.Days[i-1], f.Days[i]
		if b.Date-a.Date > 3 {
			continue // days without readings are not joined
		}
		x1, x2 := fr.x(unit.At(a.Date, 720)), fr.x(unit.At(b.Date, 720))
		c.line("days", x1, fr.y(float(a.Systolic)), x2, fr.y(float(b.Systolic)))
		c.line("days", x1, fr.y(float(a.Diastolic)), x2, fr.y(float(b.Diastolic)))
	}
	for _, w := range f.Windows {
		if w.Readings > 0 {
			c.window(fr, w, f.Home)
		}
	}
	c.sessions(f, fr)
	return c, true
}

func (c *chart) axes(fr frame) {
	for v := fr.low; v <= fr.high; v += 10 {
		c.line("grid", fr.left, fr.y(v), fr.right, fr.y(v))
		c.text(fr.left-4, fr.y(v)+4, "end", fmt.Sprintf("%.0f", v))
	}
	c.line("axis", fr.left, fr.top, fr.left, fr.bottom)
	c.line("axis", fr.left, fr.bottom, fr.right, fr.bottom)
	c.text(4, fr.top-14, "start", "mmHg")
	step := unit.Date(math.Max(1, math.Ceil(float64(fr.to-fr.from+1)/6)))
	for d := fr.from; d <= fr.to; d += step {
		x := fr.x(unit.At(d, 0))
		c.line("axis", x, fr.bottom, x, fr.bottom+4)
		c.text(x, fr.bottom+38, "start", d.String())
	}
}

// window draws the mean of a window over its days, and the interval of its daily means. Its name stands over its readings.
func (c *chart) window(fr frame, w progress.Window, all []record.LogReading) {
	x1, x2 := fr.x(unit.At(w.From, 0)), fr.x(unit.At(w.To+1, 0))
	for _, v := range []unit.Dec{w.Systolic, w.Diastolic} {
		c.line("mean", x1, fr.y(float(v)), x2, fr.y(float(v)))
	}
	if w.Noise != nil {
		mid, lo, hi := (x1+x2)/2, fr.y(float(w.Noise.Low)), fr.y(float(w.Noise.High))
		c.line("noise", mid, lo, mid, hi)
		c.line("noise", mid-4, lo, mid+4, lo)
		c.line("noise", mid-4, hi, mid+4, hi)
	}
	anchor, x := "start", x1
	if x1 > (fr.left+fr.right)/2 {
		anchor, x = "end", x2
	}
	highest := float(w.Systolic)
	for _, r := range all {
		if d := r.At.Date(); w.From <= d && d <= w.To {
			highest = math.Max(highest, float64(r.Systolic))
		}
	}
	c.text(x, fr.y(highest)-7, anchor, fmt.Sprintf("%s %s", w.Which, pair(w.Systolic, w.Diastolic)))
}

// sessions marks what was done and what was not, where that is known.
func (c *chart) sessions(f progress.Followed, fr frame) {
	y := fr.bottom + 14
	outcome := map[string]record.Outcome{}
	asked := false
	for _, l := range f.Logs {
		for _, s := range l.Sessions {
			asked = true
			if outcome[s.UID] != record.Stopped {
				outcome[s.UID] = s.Outcome
			}
		}
	}
	if !asked || f.Plan == nil {
		return
	}
	for _, s := range f.Plan.Sessions {
		if s.Status == record.Cancelled || s.Start > f.At || s.Start.Date() < fr.from {
			continue
		}
		x := fr.x(s.Start)
		switch outcome[s.UID] {
		case record.Completed:
			c.square("full", x, y, 5)
		case record.Stopped:
			c.line("axis", x-3, y-3, x+3, y+3)
			c.line("axis", x-3, y+3, x+3, y-3)
		default:
			c.square("open", x, y, 5)
		}
	}
	c.text(fr.right+4, y+4, "start", "sessions")
}

// done draws what was done of what was due, by week.
func done(f progress.Followed) (c chart, ok bool) {
	if f.Training == nil || len(f.Training.Weeks) == 0 {
		return c, false
	}
	most, n := 1, len(f.Training.Weeks)
	for _, w := range f.Training.Weeks {
		most = max(most, w.Due)
	}
	c = chart{ID: "sessions", Title: "Sessions by week", Width: 760, Height: 220,
		Desc: "For each week of the course an open bar for the sessions that were due and a full bar in it for those that were done. The table below holds the same numbers."}
	left, bottom, top := 40.0, 180.0, 15.0
	each := math.Min(60, 680/float64(n))
	high := func(k int) float64 { return (bottom - top) * float64(k) / float64(most) }
	for k := 0; k <= most; k += max(1, most/5) {
		c.line("grid", left, bottom-high(k), left+each*float64(n), bottom-high(k))
		c.text(left-4, bottom-high(k)+4, "end", fmt.Sprint(k))
	}
	for i, w := range f.Training.Weeks {
		x := left + each*float64(i) + each*0.15
		for _, b := range []struct {
			class string
			k     int
			in    float64
		}{{"open", w.Due, 0}, {"full", w.Done, each * 0.12}} {
			c.Marks = append(c.Marks, mark{Kind: "bar", Class: b.class, X: px(x + b.in), Y: px(bottom - high(b.k)), X2: px(each*0.7 - 2*b.in), Y2: px(high(b.k))})
		}
		c.text(x+each*0.35, bottom+16, "middle", fmt.Sprint(w.Week))
	}
	c.line("axis", left, bottom, left+each*float64(n), bottom)
	c.text(left, bottom+32, "start", "week of the course")
	return c, true
}
