package rule

import (
	"isocue.example/compiler/record"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// MedicineClass is a class of medicine and what it means for training.
type MedicineClass struct {
	Name, Says                   string
	Generics                     []string // lower case
	RateLimiting, LowersPressure bool
}

// GripNorm is a mean and standard deviation in kgf; a typing check only, never a target.
type GripNorm struct {
	Sex      string
	From, To int // age in years, both included
	Hand     record.Hand
	Mean, SD unit.Dec
}

// InspiratoryNorm is a linear equation for maximal inspiratory pressure in cmH2O; a typing check only: no load is ever
// computed from it.
type InspiratoryNorm struct {
	ID, Sex                     string
	Base, PerYear, PerKg, PerCm unit.Dec
	LowBase, LowPerYear, SEE    unit.Dec
	HasLow                      bool
	ToAge                       int
}

// lowest5 is how many standard errors under the mean the lower limit of normal stands: 1.645, the fifth centile of a
// normal distribution (statistics, not a clinical limit).
var lowest5 = unit.MustDec("1.645")

// Low is the lower limit of normal in cmH2O.
func (n InspiratoryNorm) Low(age int, kg, cm unit.Dec) unit.Dec {
	a := unit.Int(int64(age))
	if n.HasLow {
		return n.LowBase.Add(n.LowPerYear.Mul(a))
	}
	return n.Predicted(age, kg, cm).Sub(lowest5.Mul(n.SEE))
}

// Predicted is the mean for a person, in cmH2O.
func (n InspiratoryNorm) Predicted(age int, kg, cm unit.Dec) unit.Dec {
	return n.Base.Add(n.PerYear.Mul(unit.Int(int64(age)))).Add(n.PerKg.Mul(kg)).Add(n.PerCm.Mul(cm))
}

// PressureClass is one category of a guideline set, with its lower edges in mmHg; reaching either is enough.
type PressureClass struct {
	Set, Setting, Name  string
	Systolic, Diastolic unit.Dec
}

// Class is the category of a pressure by a guideline set, "" where the set has none for the setting.
func (b *Base) Class(set, setting string, systolic, diastolic unit.Dec) string {
	for _, c := range b.Classes { // the gravest first: the higher category wins
		if c.Set == set && c.Setting == setting && (!systolic.Less(c.Systolic) || !diastolic.Less(c.Diastolic)) {
			return c.Name
		}
	}
	return ""
}

// GripNorm finds the norm of a person's hand; ok is false where there is none.
func (b *Base) GripNorm(sex string, age int, h record.Hand) (GripNorm, bool) {
	for _, n := range b.Grip {
		if n.Sex == sex && n.Hand == h && n.From <= age && age <= n.To {
			return n, true
		}
	}
	return GripNorm{}, false
}

func yes(n *tree.Node, key string) bool { x := n.Get(key); return x != nil && x.Bool }

func (b *Base) readMedicines(n *tree.Node) {
	all := n.Get("medicineClasses")
	for _, k := range all.Keys {
		m := all.Field[k]
		c := MedicineClass{Name: m.Get("name").Text(), Says: m.Get("says").Text(), RateLimiting: yes(m, "rateLimiting"), LowersPressure: yes(m, "lowersPressure")}
		for _, g := range m.Get("generics").Items() {
			c.Generics = append(c.Generics, g.Text())
		}
		b.Medicines[k] = c
	}
}

func (b *Base) readNorms(n *tree.Node) {
	for _, g := range n.Get("gripNorms").Items() {
		b.Grip = append(b.Grip, GripNorm{Sex: g.Get("sex").Text(), From: g.Get("fromAge").Whole(), To: g.Get("toAge").Whole(),
			Hand: record.Hand(g.Get("hand").Text()), Mean: g.Get("meanKgf").Number(), SD: g.Get("sdKgf").Number()})
	}
	for _, e := range n.Get("inspiratoryNorms").Items() {
		b.Inspiratory = append(b.Inspiratory, InspiratoryNorm{ID: e.Get("id").Text(), Sex: e.Get("sex").Text(), Base: e.Get("base").Number(),
			PerYear: e.Get("perYear").Number(), PerKg: e.Get("perKg").Number(), PerCm: e.Get("perCm").Number(),
			LowBase: e.Get("lowBase").Number(), LowPerYear: e.Get("lowPerYear").Number(), SEE: e.Get("see").Number(),
			HasLow: e.Get("lowBase") != nil, ToAge: e.Get("toAge").Whole()})
	}
}

func (b *Base) readClasses(n *tree.Node) {
	b.UsualSet = n.Get("usualClasses").Text()
	for _, c := range n.Get("pressureClasses").Items() {
		b.Classes = append(b.Classes, PressureClass{Set: c.Get("set").Text(), Setting: c.Get("setting").Text(), Name: c.Get("name").Text(),
			Systolic: c.Get("systolic").Number(), Diastolic: c.Get("diastolic").Number()})
	}
}

func (b *Base) readSitting(n *tree.Node) {
	s := n.Get("sitting")
	breath, _ := unit.TenthsOf(s.Get("breathSeconds").Number())
	repetition, _ := unit.TenthsOf(s.Get("repetitionSeconds").Number())
	b.Sitting = record.Sitting{SitSeconds: s.Get("sitSeconds").Whole(), Readings: s.Get("readings").Whole(),
		ReadingSeconds: s.Get("readingSeconds").Whole(), EndSeconds: s.Get("endSeconds").Whole(),
		ChangeHandSeconds: s.Get("changeHandSeconds").Whole(), LoadTolerance: s.Get("loadTolerance").Number(),
		StartMinutes: s.Get("startMinutes").Whole(), SameSitting: s.Get("sameSittingMinutes").Whole(), WindowDays: s.Get("windowDays").Whole(),
		ReadingWaitMinutes: s.Get("readingWaitMinutes").Whole(), HighDays: s.Get("highDays").Whole(),
		TestTrials: s.Get("testTrials").Whole(), TestSeconds: s.Get("testSeconds").Whole(), TestRestSeconds: s.Get("testRestSeconds").Whole(),
		HighLoad: s.Get("highLoad").Number(), FirstHoldSeconds: s.Get("firstHoldSeconds").Whole(), Breath: breath, Repetition: repetition}
}

func (b *Base) readCourse(n *tree.Node) {
	c := n.Get("course")
	b.Course = record.CourseDays{Baseline: c.Get("baselineDays").Whole(), Final: c.Get("finalDays").Whole(),
		Check: c.Get("checkWeeks").Whole(), Notice: c.Get("noticeDays").Whole(), Quiet: c.Get("quietDays").Whole()}
	for _, w := range c.Get("reviewWeeks").Items() {
		b.Course.Reviews = append(b.Course.Reviews, w.Whole())
	}
}

// Signing is how long a waiver may stand, in months from its date, and how many days before its end that is told.
type Signing struct{ Months, Notice int }

func (b *Base) readSigning(n *tree.Node) {
	b.Signing = Signing{n.Get("signing", "longestMonths").Whole(), n.Get("signing", "noticeDays").Whole()}
}

// Effect is a pooled or blinded effect on blood pressure, mmHg, negative for a fall.
type Effect struct {
	Modality                       record.Modality
	What, Setting, Source          string
	Weeks                          int
	Systolic, Low, High, Diastolic unit.Dec
	Interval                       bool // Low and High were read
}

func (b *Base) readEffects(n *tree.Node) {
	for _, e := range n.Get("effects").Items() {
		low, high := e.Get("low"), e.Get("high")
		b.Effects = append(b.Effects, Effect{Modality: record.Modality(e.Get("modality").Text()), What: e.Get("what").Text(),
			Setting: e.Get("setting").Text(), Source: e.Get("source").Text(), Weeks: e.Get("weeks").Whole(),
			Systolic: e.Get("systolic").Number(), Diastolic: e.Get("diastolic").Number(),
			Low: low.Number(), High: high.Number(), Interval: low != nil && high != nil})
	}
	b.Expected = map[record.Modality]string{}
	for _, e := range n.Get("expectations").Items() {
		m := record.Modality(e.Get("modality").Text())
		b.Expected[m] = e.Get("text").Text()
		b.other(e, func(t *told, s string) { t.expected[m] = s })
	}
}
