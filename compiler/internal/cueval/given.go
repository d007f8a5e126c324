package cueval

import "cuelang.org/go/cue"

// Knows says whether a definition (or one of several) has a field, whether or not it must be there.
func (s *Schema) Knows(path []string, defs ...string) bool {
	for _, d := range defs {
		if has(s.root.LookupPath(cue.ParsePath(d)), path) {
			return true
		}
	}
	return false
}

func has(v cue.Value, p []string) bool {
	for _, name := range p {
		found := false
		for _, sel := range []cue.Selector{cue.Str(name), cue.Str(name).Optional(), cue.Str(name).Required()} {
			if x := v.LookupPath(cue.MakePath(sel)); x.Exists() {
				v, found = x, true
				break
			}
		}
		if !found {
			return false
		}
	}
	return true
}
