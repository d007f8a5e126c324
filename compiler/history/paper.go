package history

import (
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// OnPaper is what entries of a diary say of the sessions of a plan, as rows of a session log: the one of the entry's protocol, or of the
// modality that it names instead, and of its day that is nearest to the hour it names, and where it names none every one of that day. What the plan does not have is no session of it.
func OnPaper(p *record.Plan, entries []record.Entry) (out []record.SessionRow) {
	if p == nil {
		return nil
	}
	for i := range entries {
		e := &entries[i]
		if e.Trained == nil {
			continue
		}
		var best []record.Session
		near := unit.Clock(24 * 60)
		for _, s := range p.Sessions {
			named := s.Protocol == e.Trained.Protocol || string(p.Kinds[s.Kind].Modality) == e.Trained.Protocol
			if !named || s.Start.Date() != e.Date || s.Status == record.Cancelled {
				continue
			}
			if e.Trained.Time == nil {
				best = append(best, s)
				continue
			}
			if gap := max(s.Start.Clock()-*e.Trained.Time, *e.Trained.Time-s.Start.Clock()); gap < near {
				near, best = gap, []record.Session{s}
			}
		}
		for _, s := range best {
			out = append(out, record.SessionRow{At: s.Start, UID: s.UID, Outcome: e.Trained.Outcome})
		}
	}
	return out
}
