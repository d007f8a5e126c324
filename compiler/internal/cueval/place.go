package cueval

import (
	"fmt"
	"maps"
	"slices"

	"cuelang.org/go/cue"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/tree"
)

// Place is what a definition lets stand at one place, read from its compiled shape.
type Place struct {
	// Kind is the kind of value; of a list of plain values, that of its elements.
	Kind tree.Kind
	// Many says that it is a list of plain values.
	Many bool
	// Fields are the names of a record's fields, sorted; Named says that further ones may be chosen by their author.
	Fields []string
	Named  bool
	// Words are the texts that are allowed, where only some are; sorted.
	Words []string

	shape shape
}

// Place is the top of a definition.
func (s *Schema) Place(def string) Place {
	v := s.root.LookupPath(cue.ParsePath(def))
	if !v.Exists() {
		panic(finding.Bug{What: "the schema has no definition " + def})
	}
	s.shapes.mu.Lock()
	defer s.shapes.mu.Unlock()
	c, ok := s.shapes.done[def]
	if !ok {
		c = s.compiled(def, v)
	}
	return placeOf(c)
}

// Field is the place of a record's field; ok is false where it can have none of that name.
func (p Place) Field(name string) (Place, bool) {
	r, ok := p.shape.(*record)
	if !ok {
		return Place{}, false
	}
	if f, ok := r.field[name]; ok {
		return placeOf(f.shape), true
	}
	for i, names := range r.names {
		if names.fits(tree.Str(name)) == yes {
			return placeOf(r.values[i]), true
		}
	}
	return Place{}, false
}

// Element is the place of the elements of a list; ok is false where the shape is no list, or its elements differ in kind.
func (p Place) Element() (Place, bool) {
	l, ok := p.shape.(*elements)
	switch {
	case !ok || l.rest == nil && len(l.first) == 0:
		return Place{}, false
	case l.rest == nil:
		return placeOf(l.first[0]), true
	}
	e := placeOf(l.rest)
	for _, f := range l.first {
		if o := placeOf(f); o.Kind != e.Kind {
			return Place{}, false
		}
	}
	return e, true
}

func placeOf(s shape) Place {
	p := Place{shape: s}
	switch s := s.(type) {
	case *record:
		p.Kind, p.Fields, p.Named = tree.Record, slices.Sorted(maps.Keys(s.field)), len(s.names) > 0
	case *elements:
		p.Kind = tree.List
		if e, ok := p.Element(); ok && e.Kind != tree.Record && e.Kind != tree.List {
			p.Kind, p.Many = e.Kind, true
		}
	default:
		p.Kind, p.Words = plainKind(s)
		slices.Sort(p.Words)
	}
	return p
}

// plainKind is the kind of a plain value, and the words it is chosen from.
func plainKind(s shape) (tree.Kind, []string) {
	switch s := s.(type) {
	case kind:
		return s.of, nil
	case bound:
		return tree.Number, nil
	case word:
		return tree.Text, []string{string(s)}
	case truth:
		return tree.Bool, nil
	case pattern, runes:
		return tree.Text, nil
	case all:
		return plainKind(s[0])
	case either:
		var words []string
		for _, x := range s {
			_, w := plainKind(x)
			words = append(words, w...)
		}
		k, _ := plainKind(s[0])
		return k, words
	}
	panic(finding.Bug{What: fmt.Sprintf("a shape that is not understood: %v", s)})
}
