package rule

import (
	"fmt"
	"slices"

	"isocue.example/compiler/record"
	"isocue.example/compiler/tree"
)

// Question is a screening question; a yes is the answer that needs something done. Its id is the code of its condition.
type Question struct {
	ID, Asks, Says string
	Effects        map[record.Strain]string // blocks, waits, clears, changes or cautions
	OpensAfter     map[record.Strain]int    // days after its since before which no clearance opens the step
	FreeAfter      map[record.Strain]int    // days after its since from which the step is not concerned
	Minds          string                   // what the coach minds where a step is trained with caution
	Part, Under    string                   // a question that asked this in older sets; one whose no answers this
	WaitDays       int
	Symptom        bool
	Lasts          bool // it goes on until its end is written
	Ill            bool // an acute illness, which closes tests too
	NoPause        bool // paced breathing has no pause while this is a yes
	Side           bool // the detail needs a side
	NoCuff         bool // no pressure cuff on that side
	Pregnancy      bool
	Sources        []string
	Set            int
}

// Effect is what a yes does to a step of strain, "none" where it does nothing.
func (q Question) Effect(s record.Strain) string {
	if e := q.Effects[s]; e != "" {
		return e
	}
	return "none"
}

// Closes says whether an effect closes a step until something opens it.
func Closes(effect string) bool { return effect != "none" && effect != "cautions" }

// Step is a step of strain in words, and the lists that were written for it.
type Step struct {
	Says  string
	Lists []string
}

// Cell is the sources of what a question does to a step: those of its sources that were written for the step, else judgement.
func (b *Base) Cell(q Question, s record.Strain) (out []string) {
	for _, k := range q.Sources {
		if slices.Contains(b.Steps[s].Lists, k) {
			out = append(out, k)
		}
	}
	if len(out) == 0 {
		return []string{"judgement"}
	}
	return out
}

func (b *Base) readSteps(n *tree.Node) {
	b.Steps = map[record.Strain]Step{}
	for _, k := range n.Get("steps").Keys {
		s := n.Get("steps").Field[k]
		b.Steps[record.Strain(k)] = Step{s.Get("says").Text(), texts(s.Get("lists"))}
	}
	b.LowFromAge = n.Get("low", "fromAge").Whole()
	l := n.Get("light")
	b.Light = record.Light{Above: l.Get("aboveMinutes").Whole(), LevelDays: l.Get("levelDays").Whole(), Unknown: l.Get("unknownMinutes").Whole(), Rise: l.Get("riseMinutes").Whole()}
}

func readQuestions(n *tree.Node) (a asked) {
	a.set = n.Get("questionSet").Whole()
	all := n.Get("questions")
	for _, k := range all.Keys {
		q := all.Field[k]
		out := Question{ID: k, Asks: q.Get("asks").Text(), Says: q.Get("says").Text(), Minds: q.Get("minds").Text(), Part: q.Get("part").Text(), Under: q.Get("under").Text(),
			Effects: map[record.Strain]string{}, OpensAfter: days(q.Get("opensAfter")), FreeAfter: days(q.Get("freeAfter")),
			WaitDays: q.Get("waitDays").Whole(), Symptom: yes(q, "symptom"), NoPause: yes(q, "noPause"), Side: yes(q, "side"),
			NoCuff: yes(q, "noCuff"), Pregnancy: yes(q, "pregnancy"), Lasts: yes(q, "lasts"), Ill: yes(q, "ill"), Set: q.Get("set").Whole()}
		e := q.Get("effects")
		for _, s := range e.Keys {
			out.Effects[record.Strain(s)] = e.Field[s].Text()
		}
		out.Sources = append(out.Sources, texts(q.Get("sources"))...)
		a.questions = append(a.questions, out)
	}
	stops := n.Get("stops")
	for _, k := range stops.Keys {
		x := stops.Field[k]
		out := Question{ID: k, Says: x.Get("says").Text(), Effects: map[record.Strain]string{}}
		e := x.Get("effects")
		for _, s := range e.Keys {
			out.Effects[record.Strain(s)] = e.Field[s].Text()
		}
		out.Sources = append(out.Sources, texts(x.Get("sources"))...)
		a.stops = append(a.stops, out)
	}
	return a
}

// days are numbers by step of strain.
func days(n *tree.Node) map[record.Strain]int {
	out := map[record.Strain]int{}
	if n != nil {
		for _, s := range n.Keys {
			out[record.Strain(s)] = n.Field[s].Whole()
		}
	}
	return out
}

// checkQuestions holds what a question says of others to questions that there are, and cautions to a word of what to mind.
func (b *Base) checkQuestions() (errs []error) {
	is := func(id string) bool {
		return id == "" || slices.ContainsFunc(b.Questions(), func(q Question) bool { return q.ID == id })
	}
	for _, q := range b.Questions() {
		if !is(q.Part) || !is(q.Under) {
			errs = append(errs, fmt.Errorf("questions.cue: %s is part of %s and under %s, which are no questions", q.ID, q.Part, q.Under))
		}
		cautions := false
		for _, s := range record.Strains {
			e := q.Effect(s)
			cautions = cautions || e == "cautions"
			if q.OpensAfter[s] > 0 && e != "clears" {
				errs = append(errs, fmt.Errorf("questions.cue: %s opens %s after a wait, and no clearance opens it", q.ID, s))
			}
		}
		if cautions != (q.Minds != "") {
			errs = append(errs, fmt.Errorf("questions.cue: %s cautions without a word of what to mind, or the other way round", q.ID))
		}
	}
	return errs
}
