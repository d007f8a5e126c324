package schedule

import "isocue.example/compiler/unit"

// calm is how many minutes lie at least between the end of a sitting and the start of the next: the wait before a
// reading, less the quiet sitting that comes first.
func (b *board) calm() int {
	return max(b.in.Sitting.ReadingWaitMinutes-b.in.Sitting.SitSeconds/60, 0)
}

// apart says whether a sitting leaves the readings of its day in peace: its own gate comes long enough after another
// sitting, and the next gate long enough after it.
func (b *board) apart(s *spot, at unit.Local, seconds int) bool {
	end := at + unit.Local((seconds+59)/60)
	for _, o := range b.days[int(s.date-b.first)] {
		if o == s || o.sit == nil {
			continue
		}
		oend := o.sit.start + unit.Local((b.length(o.sit)+59)/60)
		switch {
		case o.sit.start <= at && at < oend+unit.Local(b.calm()), o.sit.start > at && o.sit.start < end+unit.Local(b.calm()):
			return false
		}
	}
	return true
}

// length is how many seconds a sitting takes.
func (b *board) length(s *sitting) int {
	if s.seconds > 0 {
		return s.seconds
	}
	_, total := b.offsets(s.parts)
	return total
}
