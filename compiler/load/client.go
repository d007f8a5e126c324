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
	c := f.decodeClient(n) // also where the shape is wrong: all trouble at once
	if fits && len(f.Findings) == before {
		f.Client = &Client{n, c}
	}
}

func (f *File) decodeClient(n *tree.Node) *record.Client {
	c := &record.Client{
		ID: n.Get("id").Text(), Zone: n.Get("zone").Text(), Dominant: record.Hand(n.Get("dominantHand").Text()),
		Contacts: record.Contacts{Coach: n.Get("contacts", "coach").Text(), Prescriber: n.Get("contacts", "prescriber").Text(),
			Emergency: n.Get("contacts", "emergency").Text(), Clinic: n.Get("contacts", "clinic").Text(), MaternityUnit: n.Get("contacts", "maternityUnit").Text()},
		QuestionSet: n.Get("screening", "questions").Whole(), Screened: f.date(n.Get("screening", "date")),
		Answers: map[string]string{}, Born: n.Get("born").Whole(), Sex: n.Get("sex").Text(),
		WeightKg: n.Get("weightKg").Number(), HeightCm: n.Get("heightCm").Number(), Taught: f.date(n.Get("taught", "date")),
		LimitSystolic: n.Get("limits", "systolic").Whole(), LimitDiastolic: n.Get("limits", "diastolic").Whole(),
	}
	if _, err := zone.Load(c.Zone); err != nil {
		f.add(n.Get("zone"), Shape, err.Error(), "write the IANA name of the client's zone, such as Europe/Lisbon")
	}
	if a := n.Get("screening", "answers"); a != nil {
		for _, k := range a.Keys {
			c.Answers[k] = a.Field[k].Text()
		}
	}
	for i, g := range n.Get("measured", "grip").Items() {
		t := record.GripTest{Date: f.date(g.Get("date")), Hand: record.Hand(g.Get("hand").Text()), Unit: unit.ForceUnit(g.Get("unit").Text()),
			Mean: g.Get("score").Text() == "mean", Gauge: g.Get("with").Text(), Index: i}
		for _, x := range g.Get("trials").Items() {
			t.Trials = append(t.Trials, x.Num)
		}
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
		if rd.Diastolic >= rd.Systolic && rd.Systolic > 0 {
			f.add(b.Get("diastolic"), Shape, fmt.Sprintf("%s is %d mmHg, not under the systolic %d mmHg; allowed: the lower number",
				b.Get("diastolic").Path(), rd.Diastolic, rd.Systolic), "exchange the two numbers if they were swapped, else read again")
		}
		c.BloodPressure = append(c.BloodPressure, rd)
	}
	f.hours(n, c)
	for _, at := range [][]string{{"consent", "date"}, {"limits", "date"}} {
		f.date(n.Get(at...)) // a day that does not exist is never accepted, though nothing reads it yet
	}
	return c
}

var weekdays = map[string]time.Weekday{"sun": time.Sunday, "mon": time.Monday, "tue": time.Tuesday, "wed": time.Wednesday,
	"thu": time.Thursday, "fri": time.Friday, "sat": time.Saturday}

func (f *File) hours(n *tree.Node, c *record.Client) {
	for _, h := range n.Get("hours").Items() {
		var out record.Hours
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
		c.Hours = append(c.Hours, out)
	}
	for _, a := range n.Get("away").Items() {
		s := record.Span{From: f.date(a.Get("from")), To: f.date(a.Get("to"))}
		if s.To < s.From {
			f.add(a.Get("to"), Shape, fmt.Sprintf("%s is %s, allowed: not before %s", a.Get("to").Path(), s.To, s.From), "exchange the two dates")
		}
		c.Away = append(c.Away, s)
	}
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
