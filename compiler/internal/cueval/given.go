package cueval

import "cuelang.org/go/cue"

// Knows finds the first name on a path that a definition (or each of several) does not have, "" where it has them all, and the names
// that it has there.
func (s *Schema) Knows(path []string, defs ...string) (wrong string, beside []string) {
	for _, d := range defs {
		name, more := unknownIn(s.root.LookupPath(cue.ParsePath(d)), path)
		if name == "" {
			return "", nil
		}
		wrong, beside = name, append(beside, more...)
	}
	return wrong, beside
}

func unknownIn(v cue.Value, path []string) (wrong string, beside []string) {
	for _, name := range path {
		found := false
		for _, sel := range []cue.Selector{cue.Str(name), cue.Str(name).Optional(), cue.Str(name).Required()} {
			if x := v.LookupPath(cue.MakePath(sel)); x.Exists() {
				v, found = x, true
				break
			}
		}
		if !found {
			return name, fields(v)
		}
	}
	return "", nil
}
