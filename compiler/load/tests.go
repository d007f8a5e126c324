package load

import (
	"fmt"
	"strings"

	"isocue.example/compiler/near"
	"isocue.example/compiler/record"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// devices reads the gauges and trainers that the client has at home.
func (f *File) devices(n *tree.Node, c *record.Client) {
	ids := map[string]bool{}
	once := func(id *tree.Node, what string) {
		if ids[id.Text()] {
			f.add(id, Shape, fmt.Sprintf("%s %q stands twice, allowed: one entry each", what, id.Text()), "give each its own id")
		}
		ids[id.Text()] = true
	}
	for _, g := range n.Get("devices", "grip").Items() {
		once(g.Get("id"), "gauge")
		f.date(g.Get("checked"))
		c.Gauges = append(c.Gauges, gauge(g))
	}
	for _, t := range n.Get("devices", "inspiratory").Items() {
		once(t.Get("id"), "trainer")
		c.Trainers = append(c.Trainers, trainer(t))
	}
}

func gauge(g *tree.Node) record.Gauge {
	return record.Gauge{ID: g.Get("id").Text(), Unit: unit.ForceUnit(g.Get("unit").Text()), Step: g.Get("step").Number()}
}

func trainer(t *tree.Node) record.Trainer {
	tr := record.Trainer{ID: t.Get("id").Text()}
	for _, s := range t.Get("settings").Items() {
		tr.Settings = append(tr.Settings, record.Setting{Label: s.Get("label").Text(), CmH2O: s.Get("cmH2O").Number()})
	}
	return tr
}

// walked reads how much the client walks.
func (f *File) walked(n *tree.Node, c *record.Client) {
	for i, m := range n.Get("measured", "walking").Items() {
		l := record.WalkingLevel{Date: f.date(m.Get("date")), Minutes: m.Get("minutesPerWeek").Whole(), Index: i}
		for _, old := range c.Walking {
			if old.Date == l.Date {
				f.twice(m, "measured.walking", l.Date, i, old.Index)
			}
		}
		c.Walking = append(c.Walking, l)
	}
}

// tests reads inspiratory and squat measurements.
func (f *File) tests(n *tree.Node, c *record.Client) {
	for i, m := range n.Get("measured", "inspiratory").Items() {
		t := inspiratoryTest(m)
		t.Date, t.Index = f.date(m.Get("date")), i
		for _, old := range c.Inspiratory {
			if old.Date == t.Date {
				f.twice(m, "measured.inspiratory", t.Date, i, old.Index)
			}
		}
		c.Inspiratory = append(c.Inspiratory, t)
	}
	for i, m := range n.Get("measured", "squat").Items() {
		t := f.squatTest(m)
		t.Date, t.Index = f.date(m.Get("date")), i
		for _, old := range c.Squat {
			if old.Date == t.Date {
				f.twice(m, "measured.squat", t.Date, i, old.Index)
			}
		}
		c.Squat = append(c.Squat, t)
	}
}

// gripTest, inspiratoryTest and squatTest read a measurement without its day, which stands in one place in a record and in another in
// a diary.
func gripTest(n *tree.Node) record.GripTest {
	return record.GripTest{Hand: record.Hand(n.Get("hand").Text()), Unit: unit.ForceUnit(n.Get("unit").Text()), Trials: numbers(n.Get("trials")),
		Mean: n.Get("score").Text() == "mean", Gauge: n.Get("with").Text()}
}

func inspiratoryTest(n *tree.Node) record.InspiratoryTest {
	return record.InspiratoryTest{Unit: unit.PressureUnit(n.Get("unit").Text()), Trials: numbers(n.Get("trials")), Static: n.Get("method").Text() == "static"}
}

func (f *File) squatTest(n *tree.Node) record.SquatTest {
	t := record.SquatTest{Ended: n.Get("ended").Text()}
	for _, s := range n.Get("stages").Items() {
		st := record.SquatStage{KneeDegrees: s.Get("kneeDegrees").Whole(), HeelCm: s.Get("heelCm").Number(), HeartRate: s.Get("heartRate").Whole()}
		if k := len(t.Stages); k > 0 && st.KneeDegrees >= t.Stages[k-1].KneeDegrees {
			f.add(s.Get("kneeDegrees"), Shape, fmt.Sprintf("%s is %d degrees after %d, allowed: a smaller angle, the straightest stage first",
				s.Get("kneeDegrees").Path(), st.KneeDegrees, t.Stages[k-1].KneeDegrees), "write the stages in the order of the test")
		}
		t.Stages = append(t.Stages, st)
	}
	return t
}

func numbers(n *tree.Node) (out []unit.Dec) {
	for _, x := range n.Items() {
		out = append(out, x.Num)
	}
	return out
}

func (f *File) twice(n *tree.Node, list string, d unit.Date, i, old int) {
	f.add(n, Shape, fmt.Sprintf("%s[%d] is a second entry for %s, the first is %s[%d]; allowed: one a day", list, i, d, list, old),
		"put all trials of a day into one entry")
}

// health reads conditions, medicines and clearances.
func (f *File) health(n *tree.Node, c *record.Client) {
	for i, e := range n.Get("conditions").Items() {
		c.Conditions = append(c.Conditions, record.Condition{Code: e.Get("code").Text(), Side: record.Hand(e.Get("side").Text()),
			Since: f.date(e.Get("since")), Until: f.date(e.Get("until")), Index: i})
	}
	for i, e := range n.Get("medicines").Items() {
		c.Medicines = append(c.Medicines, f.medicine(e, i))
	}
	for i, e := range n.Get("clearances").Items() {
		cl := f.clearance(e)
		cl.Index = i
		if by := e.Get("by"); by != nil && SamePerson(by.Text(), n.Get("name").Text()) {
			f.add(by, Shape, by.Path()+" is the client, allowed: the clinician who gave the clearance", "nobody clears themselves: ask the physician, and record by and role")
		}
		c.Clearances = append(c.Clearances, cl)
	}
}

// clearance reads a clinician's opening of one gate.
func (f *File) clearance(e *tree.Node) (cl record.Clearance) {
	cl = record.Clearance{Role: e.Get("role").Text(), Date: f.date(e.Get("date")), Until: f.date(e.Get("until"))}
	for k, x := range e.Get("for").Items() {
		if k == 0 {
			cl.Gate = x.Text()
		} else {
			cl.Modalities = append(cl.Modalities, record.Modality(x.Text()))
		}
	}
	if len(cl.Modalities) == 0 {
		f.add(e.Get("for"), Shape, fmt.Sprintf("%s names a gate and no modality, allowed: the gate, then the modalities it opens", e.Get("for").Path()),
			"add the modalities that the clinician named, such as handgrip")
	}
	if cl.Until < cl.Date {
		f.add(e.Get("until"), Shape, fmt.Sprintf("%s is %s, allowed: not before %s", e.Get("until").Path(), cl.Until, cl.Date), "correct the dates")
	}
	return cl
}

// SamePerson says whether two names are one, however they are written.
func SamePerson(a, b string) bool {
	plain := func(s string) string { return strings.Join(wordsOf(strings.ToLower(near.Plain(s))), " ") }
	return plain(a) != "" && plain(a) == plain(b)
}
