package say

import (
	"fmt"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// Entry is what an all-day entry says.
type Entry struct {
	Titles                        map[record.OtherKind]string
	NothingToDo                   string
	Morning, Check, Review        string
	MeasureGrip, MeasureWithCoach string
	EachHand, OneHand             string // in MeasureGrip
}

// Frame is what stands around the entries of a calendar.
type Frame struct {
	Calendar, Category, Alarm, Sheet, Gather   string
	Discreet, DiscreetCalendar, DiscreetNotice string
}

// EntryLines is what an all-day entry says below its title, without its cautions. About is the protocol that it belongs to.
func (l *Language) EntryLines(p *record.Plan, what record.OtherKind, about string) (out []string) {
	t, s := l.Entry, p.Sitting
	switch what {
	case record.Measure:
		return l.measure(p, about)
	case record.Baseline, record.Final:
		if s.Readings > 0 && s.ReadingWaitMinutes > 0 {
			out = append(out, fmt.Sprintf(t.Morning, l.seconds(s.SitSeconds), l.Count(s.Readings, l.Words.Reading), l.Span(unit.Seconds(60*s.ReadingWaitMinutes))))
		}
	case record.Check:
		out = append(out, t.Check)
	case record.Review:
		out = append(out, t.Review)
	}
	return out
}

// measure says how a measuring day goes: at home only what the client was taught.
func (l *Language) measure(p *record.Plan, protocol string) []string {
	s := p.Sitting
	for _, k := range p.Kinds {
		if k.Protocol != protocol {
			continue
		}
		if k.Modality != record.Handgrip {
			return []string{l.Entry.MeasureWithCoach}
		}
		if s.TestTrials > 0 && p.Gate.Systolic.Sign() > 0 {
			return []string{fmt.Sprintf(l.Entry.MeasureGrip, s.TestTrials, l.handsOf(p, protocol), l.seconds(s.TestSeconds), l.seconds(s.TestRestSeconds))}
		}
	}
	return nil
}

// handsOf says with which hands a protocol is measured: those that it loads. A hand that is spared is not to squeeze its hardest.
func (l *Language) handsOf(p *record.Plan, protocol string) string {
	hands, newest := map[record.Hand]bool{}, record.Session{}
	for _, s := range p.Sessions {
		if s.Protocol == protocol && s.Status != record.Cancelled && s.Start >= newest.Start {
			newest = s // kinds of earlier sheets stand in the plan too
		}
	}
	for _, d := range p.Kinds[newest.Kind].Loads {
		hands[d.Hand] = true
	}
	for one, other := range map[record.Hand]record.Hand{record.Right: record.Left, record.Left: record.Right} {
		if hands[one] && !hands[other] {
			return fmt.Sprintf(l.Entry.OneHand, l.HandName(one))
		}
	}
	return l.Entry.EachHand
}

// MeasureGated says whether a measuring day is gated like a session: it is where the client measures at home.
func (l *Language) MeasureGated(p *record.Plan, protocol string) bool {
	m := l.measure(p, protocol)
	return len(m) > 0 && m[0] != l.Entry.MeasureWithCoach
}
