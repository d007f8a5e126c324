package load

import (
	"isocue.example/compiler/bound"
	"isocue.example/compiler/tree"
)

// untold says whether a row is one of the malformed ones behind the first of them: to find every place of each would take minutes.
func (r *Reader) untold(s *Spreadsheet, i int, n *tree.Node) bool {
	malformed := func(n *tree.Node) bool {
		fits, certain := r.clients().Fits("#Client", n)
		return certain && !fits
	}
	if len(s.lines) <= bound.Told || !malformed(n) {
		return false
	}
	s.counted.Do(func() {
		told := 0
		for k := range s.lines {
			other, sound := r.rowTree(s, k)
			if !sound || !malformed(other.File.Node) {
				continue
			}
			if told++; told == bound.Told {
				s.lastTold = k
				return
			}
		}
		s.lastTold = len(s.lines)
	})
	return i > s.lastTold
}
