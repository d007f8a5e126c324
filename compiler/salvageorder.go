package compiler

import (
	"iter"
	"slices"

	"isocue.example/compiler/bound"
	"isocue.example/compiler/unit"
)

// all takes the entries of a plan and of the calendar beside it: those that the client has by the calendar first, then those that their
// identity vouches for, and what is left last.
func (s *salvage) all(inPlan, besides iter.Seq[loose], entries []loose) {
	shown := make(map[string]bool, len(entries))
	for _, x := range entries {
		shown[x.word("uid")] = true
	}
	sessions := s.worth(inPlan, func(x loose, uid string) bool {
		mine := s.identity(x) == uid
		s.known = s.known || mine
		return mine || shown[uid]
	})
	others := s.worth(besides, func(_ loose, uid string) bool { return shown[uid] })
	inIt := func(x loose) bool { return shown[x.word("uid")] }
	realFirst(sessions, func(x loose) bool { return x.word("uid") == s.identity(x) })
	realFirst(sessions, inIt)
	realFirst(others, inIt)
	had := map[string]bool{}
	take := func(xs []loose, one func(loose, string)) {
		for _, x := range xs {
			had[x.word("uid")] = true
			one(x, x.word("uid"))
		}
	}
	other := func(x loose, _ string) { s.other(x) }
	n, m := 0, 0
	for n < len(sessions) && inIt(sessions[n]) {
		n++
	}
	for m < len(others) && inIt(others[m]) {
		m++
	}
	take(sessions[:n], s.session)
	take(others[:m], other)
	for _, x := range entries { // what the client has and the plan does not say
		switch uid := x.word("uid"); {
		case had[uid]:
		case s.behind(x):
			had[uid] = true
			s.past++
		case x["date"] != nil:
			take([]loose{x}, other)
		default:
			take([]loose{x}, s.session)
		}
	}
	for _, x := range sessions {
		if !had[x.word("uid")] {
			take([]loose{x}, s.session)
		}
		if uid := s.identity(x); s.known && !s.seen[uid] && !had[uid] && uid != x.word("uid") {
			s.session(x, uid) // the entry that stands on the phone, where its uid in the plan is another now
		}
	}
	take(others[m:], other)
}

// worth are the entries of a list that are worth a look: those that are vouched for, and of the others no more than a plan may have.
func (s *salvage) worth(all iter.Seq[loose], real func(x loose, uid string) bool) (out []loose) {
	sure, rest := 0, 0
	for x := range all {
		n := &rest
		if real(x, x.word("uid")) {
			n = &sure
		}
		if *n++; *n > bound.Entries {
			s.lost++
			continue
		}
		out = append(out, x)
	}
	return out
}

// realFirst puts those entries first that are vouched for, by their identity or by the calendar: what pads a plan is what the bound cuts.
func realFirst(xs []loose, real func(loose) bool) {
	slices.SortStableFunc(xs, func(a, b loose) int {
		switch x, y := real(a), real(b); {
		case x == y:
			return 0
		case x:
			return -1
		}
		return 1
	})
}

// behind says whether the calendar itself has an entry in the past.
func (s *salvage) behind(x loose) bool {
	var day unit.Date
	var start unit.Local
	return x.into("date", &day) && day < s.from.Date() || x.into("start", &start) && start < s.from
}
