package load

import (
	"fmt"
	"time"

	"isocue.example/compiler/record"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
	"isocue.example/compiler/zone"
)

func (r *Reader) client(f *File, n *tree.Node) {
	fits := r.shape(f, r.clients(), "#Client", n)
	before := len(f.Findings)
	for _, m := range n.Get("medicines").Items() {
		r.classed(f, m)
	}
	c := f.decodeClient(n) // also where the shape is wrong: all trouble at once
	if fits && len(f.Findings) == before {
		f.Client = &Client{Node: n, Record: c}
	}
}

// ClientOf is the record that a tree of its shape says, as one is that was put together of a record and a diary.
func ClientOf(n *tree.Node) *record.Client { return (&File{}).decodeClient(n) }

func (f *File) decodeClient(n *tree.Node) *record.Client {
	c := &record.Client{
		ID: n.Get("id").Text(), Zone: n.Get("zone").Text(), Dominant: record.Hand(n.Get("dominantHand").Text()),
		Contacts: record.Contacts{Client: n.Get("contacts", "client").Text(), Coach: n.Get("contacts", "coach").Text(), Prescriber: n.Get("contacts", "prescriber").Text(),
			Emergency: n.Get("contacts", "emergency").Text(), Clinic: n.Get("contacts", "clinic").Text(), MaternityUnit: n.Get("contacts", "maternityUnit").Text()},
		QuestionSet: n.Get("screening", "questions").Whole(), Screened: f.date(n.Get("screening", "date")),
		Answers: answersOf(n.Get("screening", "answers")), Born: n.Get("born").Whole(), Sex: n.Get("sex").Text(),
		WeightKg: n.Get("weightKg").Number(), HeightCm: n.Get("heightCm").Number(), Taught: f.date(n.Get("taught", "date")),
		LimitSystolic: n.Get("limits", "systolic").Whole(), LimitDiastolic: n.Get("limits", "diastolic").Whole(),
	}
	if _, err := zone.Load(c.Zone); err != nil {
		f.add(n.Get("zone"), Shape, err.Error(), "write the IANA name of the client's zone, such as Europe/Lisbon")
	}
	for i, g := range n.Get("measured", "grip").Items() {
		t := gripTest(g)
		t.Date, t.Index = f.date(g.Get("date")), i
		for _, old := range c.Grip {
			if old.Date == t.Date && old.Hand == t.Hand {
				f.add(g, Shape, fmt.Sprintf("measured.grip[%d] is a second %s-hand entry for %s, the first is measured.grip[%d]; allowed: one a hand and day",
					i, t.Hand, t.Date, old.Index), "put all trials of a hand and day into one entry")
			}
		}
		c.Grip = append(c.Grip, t)
	}
	f.devices(n, c)
	f.tests(n, c)
	f.walked(n, c)
	f.health(n, c)
	for i, b := range n.Get("measured", "bloodPressure").Items() {
		at := b.Get("at")
		l, err := unit.ParseLocal(at.Text())
		if err != nil && at != nil { // the schema says that it is missing
			f.add(at, Shape, fmt.Sprintf("%s is %s, allowed: a day and time that exist", at.Path(), at.Raw), "correct the date")
		}
		rd := record.Reading{At: l, Systolic: b.Get("systolic").Whole(), Diastolic: b.Get("diastolic").Whole(), Setting: b.Get("setting").Text(),
			Pulse: b.Get("pulse").Whole(), Arm: record.Hand(b.Get("arm").Text()), Index: i}
		f.lowerNumber(b.Get("diastolic"), rd.Systolic)
		c.BloodPressure = append(c.BloodPressure, rd)
	}
	f.hours(n, c)
	for _, at := range [][]string{{"consent", "date"}, {"limits", "date"}} {
		f.date(n.Get(at...)) // a day that does not exist is never accepted, though nothing reads it yet
	}
	return c
}

// lowerNumber holds a diastolic pressure under the systolic one.
func (f *File) lowerNumber(n *tree.Node, systolic int) {
	if n.Whole() >= systolic && systolic > 0 {
		f.add(n, Shape, fmt.Sprintf("%s is %d mmHg, not under the systolic %d mmHg; allowed: the lower number", n.Path(), n.Whole(), systolic),
			"exchange the two numbers if they were swapped, else read again")
	}
}

var weekdays = map[string]time.Weekday{"sun": time.Sunday, "mon": time.Monday, "tue": time.Tuesday, "wed": time.Wednesday,
	"thu": time.Thursday, "fri": time.Friday, "sat": time.Saturday}

func (f *File) hours(n *tree.Node, c *record.Client) {
	for _, h := range n.Get("hours").Items() {
		c.Hours = append(c.Hours, f.stretch(h))
	}
	for _, a := range n.Get("away").Items() {
		s := record.Span{From: f.date(a.Get("from")), To: f.date(a.Get("to"))}
		if s.To < s.From {
			f.add(a.Get("to"), Shape, fmt.Sprintf("%s is %s, allowed: not before %s", a.Get("to").Path(), s.To, s.From), "exchange the two dates")
		}
		c.Away = append(c.Away, s)
	}
}

// stretch reads one stretch of hours.
func (f *File) stretch(h *tree.Node) (out record.Hours) {
	for _, d := range h.Get("days").Items() {
		out.Days = append(out.Days, weekdays[d.Text()])
	}
	var err1, err2 error // the schema says what is wrong with the form
	out.From, err1 = unit.ParseClock(h.Get("from").Text())
	out.To, err2 = unit.ParseClock(h.Get("to").Text())
	if err1 == nil && err2 == nil && out.To <= out.From {
		f.add(h.Get("to"), Shape, fmt.Sprintf("%s is %s, allowed: later than %s", h.Get("to").Path(), out.To, out.From),
			"write the end of the stretch; one that crosses midnight is written as two")
	}
	return out
}

func (f *File) date(n *tree.Node) unit.Date {
	if n == nil {
		return 0
	}
	d, err := unit.ParseDate(n.Text())
	if err != nil {
		f.add(n, Shape, fmt.Sprintf("%s is %s, allowed: a day of the calendar", n.Path(), n.Raw), "correct the date")
	}
	return d
}
