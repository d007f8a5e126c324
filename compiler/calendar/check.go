package calendar

import (
	"fmt"
	"time"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
	"isocue.example/compiler/zone"
)

// maxUID is the longest UID in bytes that a widely used program tells apart from others.
const maxUID = 202

// checkSessions refuses sessions that a reader would misread. It adds their UIDs to seen.
func checkSessions(p *record.Plan, seen map[string]struct{}) error {
	for i := range p.Sessions {
		s := &p.Sessions[i]
		loc, err := zone.Load(p.ZoneOf(*s))
		if err == nil {
			err = checkSession(p, s, loc, seen)
		}
		if err != nil {
			return fmt.Errorf("session %d: %w", i+1, err)
		}
	}
	return nil
}

func checkSession(p *record.Plan, s *record.Session, loc *time.Location, seen map[string]struct{}) error {
	if err := checkUID(s.UID, s.Sequence, seen); err != nil {
		return err
	}
	if _, ok := p.Kinds[s.Kind]; !ok {
		return fmt.Errorf("kind %q is not in the plan, allowed: one of the plan's kinds", s.Kind)
	}
	if s.Seconds <= 0 {
		return fmt.Errorf("it lasts %d s, allowed: 1 s or more", s.Seconds)
	}
	if s.Week < 1 {
		return fmt.Errorf("it stands in week %d, allowed: 1 or more", s.Week)
	}
	if err := checkDate(s.Start.Date()); err != nil {
		return err
	}
	if !zone.Clean(loc, s.Start) {
		return fmt.Errorf("start %v is skipped or repeated by a clock change in %s, allowed: a time that the clock shows once", s.Start, p.ZoneOf(*s))
	}
	if statusIndex(s.Status) < 0 {
		return fmt.Errorf("status %q is not known, allowed: %v", s.Status, record.Statuses)
	}
	if s.Gate && (p.Gate.Systolic.Sign() <= 0 || p.Gate.Diastolic.Sign() <= 0) {
		return fmt.Errorf("it carries the pressure gate, but the plan's gate has no numbers, allowed: readings over 0 mmHg")
	}
	if s.Gate && (p.Sitting.SitSeconds <= 0 || p.Sitting.Readings <= 0) {
		return fmt.Errorf("it carries the pressure gate, but the plan says not how long to sit and how many readings to take, allowed: 1 or more of each")
	}
	if s.End && p.Sitting.EndSeconds <= 0 {
		return fmt.Errorf("it ends its sitting, but the plan says not how long to sit then, allowed: 1 s or more")
	}
	return nil
}

func checkOthers(p *record.Plan, seen map[string]struct{}) error {
	for i := range p.Others {
		o := &p.Others[i]
		err := checkUID(o.UID, o.Sequence, seen)
		if err == nil {
			err = checkDate(o.Date)
		}
		if err == nil && statusIndex(o.Status) < 0 {
			err = fmt.Errorf("status %q is not known, allowed: %v", o.Status, record.Statuses)
		}
		if err != nil {
			return fmt.Errorf("all-day entry %d: %w", i+1, err)
		}
	}
	return nil
}

// checkUID holds a UID to the characters that no server stumbles over, and to one event.
func checkUID(uid string, sequence int, seen map[string]struct{}) error {
	if uid == "" || len(uid) > maxUID {
		return fmt.Errorf("the uid has %d bytes, allowed: 1 to %d", len(uid), maxUID)
	}
	for i := range len(uid) {
		switch c := uid[i]; {
		case c >= 'a' && c <= 'z', c >= 'A' && c <= 'Z', c >= '0' && c <= '9', c == '-', c == '@', c == '.':
		default:
			return fmt.Errorf("uid %q has the byte %q, allowed: letters, digits, - @ and .", uid, c)
		}
	}
	if _, ok := seen[uid]; ok {
		return fmt.Errorf("uid %q stands twice in the plan, allowed: once", uid)
	}
	seen[uid] = struct{}{}
	if sequence < 0 {
		return fmt.Errorf("the sequence of %q is %d, allowed: 0 or more", uid, sequence)
	}
	return nil
}

// The first and last day that are written: DATE has four digits, and a VTIMEZONE begins with 1970.
var (
	firstDay = unit.DateOf(time.Date(1970, 1, 2, 0, 0, 0, 0, time.UTC))
	lastDay  = unit.DateOf(time.Date(9999, 12, 30, 0, 0, 0, 0, time.UTC))
)

func checkDate(d unit.Date) error {
	if d < firstDay || d > lastDay {
		return fmt.Errorf("date %v is out of range, allowed: %v to %v", d, firstDay, lastDay)
	}
	return nil
}
