package check

import (
	"slices"

	"isocue.example/compiler/load"
	"isocue.example/compiler/tree"
)

// exampleContacts are the fields of a record whose name or number belongs to nobody. What stands in them is not repeated: it may be
// somebody's name.
func (c *Checker) exampleContacts(cl *load.Client) (out []string) {
	see := func(field string, n *tree.Node) {
		if s := n.Text(); n != nil && (c.Base.MadeUp.Number(s) || c.Base.MadeUp.Name(s)) {
			out = append(out, field)
		}
	}
	see("name", cl.Node.Get("name"))
	if contacts := cl.Node.Get("contacts"); contacts != nil {
		for _, k := range slices.Sorted(slices.Values(contacts.Keys)) {
			see("contacts."+k, contacts.Field[k])
		}
	}
	for _, k := range []string{"screening", "taught", "consent", "limits"} {
		see(k+".by", cl.Node.Get(k, "by"))
	}
	for _, n := range cl.Node.Get("clearances").Items() {
		see("clearances.by", n.Get("by"))
	}
	return out
}
