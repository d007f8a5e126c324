package check

import (
	"cmp"
	"slices"
	"sync"
	"time"
)

// Timing is how often a rule was judged and how long that took in all.
type Timing struct {
	Rule  string
	Runs  int
	Spent time.Duration
}

// Stopwatch counts the time that each rule takes. Now is given, so that nothing here reads a clock of its own.
type Stopwatch struct {
	Now func() time.Time

	mu   sync.Mutex
	rule map[string]*Timing
}

// lap counts one judgement of a rule.
func (s *Stopwatch) lap(rule string, since time.Time) {
	spent := s.Now().Sub(since)
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.rule == nil {
		s.rule = map[string]*Timing{}
	}
	t := s.rule[rule]
	if t == nil {
		t = &Timing{Rule: rule}
		s.rule[rule] = t
	}
	t.Runs++
	t.Spent += spent
}

// Timings lists what was counted, the slowest first.
func (s *Stopwatch) Timings() (out []Timing) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, t := range s.rule {
		out = append(out, *t)
	}
	slices.SortFunc(out, func(a, b Timing) int { return cmp.Or(cmp.Compare(b.Spent, a.Spent), cmp.Compare(a.Rule, b.Rule)) })
	return out
}
