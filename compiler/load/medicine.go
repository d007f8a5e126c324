package load

import (
	"fmt"
	"strings"

	"isocue.example/compiler/record"
	"isocue.example/compiler/tree"
)

// classed puts the class of a medicine that is given by its name beside the name, so that whoever reads one finds its class. One that
// no list knows counts as what nobody knows.
func (r *Reader) classed(f *File, n *tree.Node) {
	name := n.Get("name")
	if n.Kind != tree.Record || n.Get("class") != nil {
		return
	}
	if name == nil {
		f.add(n, Shape, fmt.Sprintf("%s has neither class nor name, allowed: one of them or both", n.Path()), "write the class of the medicine, or the generic name on its box")
		return
	}
	class := record.Unnamed
	if r.Classes != nil {
		all := r.Classes(name.Text())
		if len(all) > 1 {
			f.add(name, Shape, fmt.Sprintf("%s names medicines of %d classes (%s), allowed: one medicine an entry", name.Path(), len(all), strings.Join(all, ", ")), "write one entry for each, with its class")
			return
		}
		if len(all) == 1 {
			class = all[0]
		}
	}
	x := tree.Str(class)
	x.Pos = name.Pos
	n.Set("class", x)
}

// medicine reads a medicine of a record.
func (f *File) medicine(n *tree.Node, i int) record.Medicine {
	stopped := n.Get("stopped")
	return record.Medicine{Class: n.Get("class").Text(), Name: plainName(n), Changed: f.date(n.Get("changed")), Stopped: stopped != nil && stopped.Bool, Index: i}
}

// plainName is the name of a medicine as it is compared with another.
func plainName(n *tree.Node) string {
	return strings.ToLower(strings.Join(strings.Fields(n.Get("name").Text()), " "))
}
