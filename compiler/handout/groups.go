package handout

import (
	"encoding/json"
	"slices"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/record"
	"isocue.example/compiler/say"
)

// group is the kinds of one part, with the weeks in which each is trained.
type group struct {
	protocol string
	timing   string
	uses     []use
}

// use is one kind in one standing, from its first week to its last.
type use struct {
	kind        string
	status      record.Status
	first, last int
}

// groups sorts what is still to come: by protocol, then by timing, both in the order in which they come.
func groups(p *record.Plan, sessions []*record.Session) (out []group) {
	timings := map[string]string{} // by kind
	for _, s := range sessions {
		if timings[s.Kind] == "" {
			timings[s.Kind] = timing(p.Kinds[s.Kind])
		}
		timing := timings[s.Kind]
		i := slices.IndexFunc(out, func(g group) bool { return g.protocol == s.Protocol && g.timing == timing })
		if i < 0 {
			out = append(out, group{protocol: s.Protocol, timing: timing})
			i = len(out) - 1
		}
		g := &out[i]
		j := slices.IndexFunc(g.uses, func(u use) bool { return u.kind == s.Kind && u.status == s.Status })
		if j < 0 {
			g.uses = append(g.uses, use{s.Kind, s.Status, s.Week, s.Week})
			continue
		}
		g.uses[j].last = s.Week
	}
	return out
}

// timing is a kind's steps without their loads.
func timing(k record.Kind) string {
	steps := slices.Clone(k.Steps)
	for i := range steps {
		s := &steps[i]
		s.Target, s.Low, s.High, s.Unit, s.From = nil, nil, nil, "", ""
	}
	b, err := json.Marshal(struct {
		Title string
		Steps []record.Step
	}{k.Title, steps})
	if err != nil {
		panic(finding.Bug{What: err.Error()})
	}
	return string(b)
}

// sentences says the work, one sentence a step: all of it where it is short or uneven, else as far as it begins to repeat.
func sentences(l *say.Language, k *record.Kind, numbers bool) (out []string) {
	steps := k.Steps
	if out = l.ExerciseSentences(steps); out != nil {
		return out
	}
	n := len(steps)
	w, even := say.EvenWork(steps)
	if even {
		rounds := 1 // of which the sheet says each step
		if w.Hands[0] != w.Hands[1] {
			rounds = 2
		}
		n = upTo(steps, rounds)
	}
	for _, s := range steps[:n] {
		out = append(out, l.StepSentence(k, s, numbers))
	}
	if n < len(steps) {
		out = append(out, l.GoOn(w))
	}
	return out
}

// upTo is how many steps stand before the round after so many rounds, the rest between counted in.
func upTo(steps []record.Step, rounds int) int {
	for i, s := range steps {
		if !say.IsRest(s) {
			if rounds == 0 {
				return i
			}
			rounds--
		}
	}
	return len(steps)
}
