package check

import (
	"slices"
	"strings"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// Client judges a client record for an occasion: the programme as a whole, every screening answer and medicine, every
// measurement that the protocols stand on, and the resting pressure.
func (c *Checker) Client(cl *load.Client, o Occasion) []finding.Finding {
	out := c.vocabulary(cl, o)
	out = append(out, c.Judge("programme", c.programmeGiven(cl, o))...)
	for _, m := range modalities(o.Protocols) {
		out = append(out, c.answers(cl, m, o)...)
		for _, q := range c.Base.Stops() {
			if condition(cl.Record, q.ID) != nil {
				out = append(out, c.Judge("answer", c.answerGiven(cl, q, m, o))...)
			}
		}
		for i := range cl.Record.Medicines {
			out = append(out, c.Judge("medicine", c.medicineGiven(cl, i, m, o))...)
		}
	}
	givens := c.pressureGivens(cl, o)
	for _, on := range testsOf(cl.Record, o) {
		givens = append(givens, c.gripGivens(cl, on)...)
		givens = append(givens, c.inspiratoryGivens(cl, on)...)
		givens = append(givens, c.squatGivens(cl, on)...)
	}
	givens = append(givens, walkingGivens(cl, o)...)
	for _, g := range givens {
		out = append(out, c.Judge("measurement", g)...)
	}
	return private(onePerPlace(out))
}

func longestOf(all []record.Span) (out record.Span) {
	for _, s := range all {
		if out.To == 0 || s.To-s.From > out.To-out.From {
			out = s
		}
	}
	return out
}

// age is the client's age in whole years in the year of a day; ok is false where the year of birth is not known.
func age(c *record.Client, day unit.Date) (years int, ok bool) {
	if c.Born == 0 {
		return 0, false
	}
	return day.Time().Year() - c.Born, true
}

func (c *Checker) programmeGiven(cl *load.Client, o Occasion) rule.Given {
	g, r := tree.NewRecord(), cl.Record
	g.Link("client", cl.Node)
	ps := tree.NewList()
	for _, p := range o.Protocols {
		ps.Append(tree.Str(p.ID))
	}
	g.Set("protocols", ps)
	g.Set("effort", tree.Truth(c.effort(r, o)))
	g.Set("strains", tree.Truth(slices.ContainsFunc(modalities(o.Protocols), func(m record.Modality) bool { return c.strained(r, m, o) })))
	loads, told, names := c.medicines(r, o)
	g.Set("loads", tree.Truth(loads))
	g.Set("medicinesTold", tree.Int(told))
	g.Set("medicines", tree.Str(names))
	g.Set("begins", tree.Truth(!o.Again || len(o.Fresh) > 0))
	unanswered, first := 0, ""
	var later, parts []string
	for _, q := range c.Base.Questions() {
		switch a := answered(r, q); {
		case a == "yes" || a == "no":
		case q.Set > r.QuestionSet && r.Answers[q.ID] == "" && yes(r, q.Part):
			parts = append(parts, q.ID)
		case q.Set > r.QuestionSet && r.Answers[q.ID] == "":
			later = append(later, q.ID)
		default:
			if unanswered++; first == "" {
				first = q.ID
			}
		}
	}
	s := tree.NewRecord()
	s.Set("asked", tree.Int(len(c.Base.Questions())))
	s.Set("unanswered", tree.Int(unanswered))
	str(s, "first", first)
	s.Set("later", tree.Int(len(later)))
	str(s, "laterQuestions", strings.Join(later, ", "))
	s.Set("parts", tree.Int(len(parts)))
	str(s, "partQuestions", strings.Join(parts, ", "))
	s.Set("answersSet", tree.Int(r.QuestionSet))
	s.Set("set", tree.Int(c.Base.QuestionSet()))
	if r.Screened != 0 {
		s.Set("ageDays", tree.Int(int(o.day()-r.Screened)))
		s.Set("symptomAgeDays", tree.Int(int(o.doseDay(r)-max(r.Screened, r.Asked))))
	}
	g.Set("screening", s)
	if longest := longestOf(o.Away); longest.To != 0 {
		pause := tree.NewRecord()
		pause.Set("days", tree.Int(int(longest.To-longest.From)+1))
		str(pause, "from", longest.From.String())
		str(pause, "to", longest.To.String())
		g.Set("pause", pause)
	}
	if o.Pause != nil && r.Screened != 0 {
		g.Set("askedInPause", tree.Int(int(max(r.Screened, r.Asked)-o.Pause.From)))
	}
	if o.Start != 0 {
		// A course that has begun goes on from today: its start is no slip, and a load set on the way asks for the symptoms again.
		st, from := tree.NewRecord(), o.Start
		if o.Again {
			from = o.from()
		}
		st.Set("date", tree.Str(from.String()))
		st.Set("daysAway", tree.Int(int(from-o.Today)))
		st.Set("stagesPassed", tree.Int(o.Passed))
		g.Set("start", st)
	}
	g.Set("readings", tree.Int(len(r.BloodPressure)))
	g.Set("medicinesAsked", tree.Truth(cl.Node.Get("medicines") != nil))
	news := c.Medicines(r, 0, o.from())
	g.Set("pairsToday", tree.Str(news.PairsToday))
	g.Set("pairsWeek", tree.Str(news.PairsWeek))
	g.Set("purpose", tree.Str(news.Purpose))
	taught := r.Taught != 0
	if ms := modalities(o.Protocols); !taught && len(ms) > 0 {
		taught = !slices.ContainsFunc(ms, func(m record.Modality) bool { return r.TaughtIn(m) == 0 })
	}
	g.Set("taught", tree.Truth(taught))
	g.Set("consent", tree.Truth(cl.Node.Get("consent") != nil))
	examples := c.exampleContacts(cl)
	g.Set("exampleContacts", tree.Int(len(examples)))
	g.Set("examples", tree.Str(strings.Join(examples, ", ")))
	misfits := c.misfits(r, o)
	g.Set("misfitClearances", tree.Int(len(misfits)))
	g.Set("misfits", tree.Str(strings.Join(misfits, ", ")))
	byCoach := clearedByCoach(cl)
	g.Set("coachClearances", tree.Int(len(byCoach)))
	g.Set("coachCleared", tree.Str(strings.Join(byCoach, ", ")))
	ahead := datesAhead(cl, o)
	g.Set("datesAhead", tree.Int(len(ahead)))
	g.Set("ahead", tree.Str(strings.Join(ahead, ", ")))
	unchecked := 0
	for _, d := range cl.Node.Get("devices", "grip").Items() {
		if d.Get("checked") == nil {
			unchecked++
		}
	}
	g.Set("gaugesUnchecked", tree.Int(unchecked))
	if years, ok := age(r, o.from()); ok {
		a := tree.NewRecord()
		a.Set("years", tree.Int(years))
		a.Set("cleared", tree.Truth(c.openedForEffort(r, gateAge, o)))
		a.Set("strainCleared", tree.Truth(c.openedFor(r, gateAge, o, func(m record.Modality) bool { return c.strained(r, m, o) })))
		g.Set("age", a)
	}
	cuff := tree.NewRecord()
	cuff.Set("sound", tree.Truth(cuffSound(cl)))
	cuff.Set("barred", tree.Truth(c.cuffBarred(cl)))
	g.Set("cuff", cuff)
	return rule.Given{Node: g, Anchor: cl.Node}
}

// Passed judges again what is known only once sessions have their dates: how many stages lie before the first session to come.
func (c *Checker) Passed(cl *load.Client, o Occasion) (out []finding.Finding) {
	g := c.programmeGiven(cl, o)
	for _, r := range c.rules("programme", g.Node) {
		if !reads(r, "stagesPassed") {
			continue
		}
		if f, ok := c.judge(r, g); !ok {
			out = append(out, f)
		}
	}
	return private(out)
}
