package check

import (
	"fmt"
	"slices"
	"strings"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/tree"
)

// Called is what a medicine is called: what people call its class, and its name where the record has one.
func (c *Checker) Called(m record.Medicine) string {
	class := c.Base.Medicines[m.Class].Name
	if m.Name == "" {
		return class
	}
	return fmt.Sprintf("%s (%s)", m.Name, class)
}

// unknown says whether nobody knows what a medicine is: it has a name that is in no list, and its class says nothing.
func (c *Checker) unknown(m record.Medicine) bool {
	return m.Class == record.Unnamed && m.Name != "" && len(c.Base.ClassesOf(m.Name)) == 0
}

// Slowing is how many medicines that slow the heart are taken.
func (c *Checker) Slowing(r *record.Client) (n int) {
	for _, m := range r.Medicines {
		if c.Base.Medicines[m.Class].RateLimiting && !m.Stopped {
			n++
		}
	}
	return n
}

// everything and strains are kinds of modalities for a gate: all, and those that squeeze, squat or lift.
func everything(record.Modality) bool { return true }

func strains(m record.Modality) bool { return m.Hold() || m == record.Strength }

// StrainCleared says whether a clearance opens the pulse gate for every squeeze, squat and exercise of an occasion.
func (c *Checker) StrainCleared(r *record.Client, o Occasion) bool {
	return c.openedFor(r, gatePulse, o, strains)
}

// medicine finds a class that the rule base does not have, and a name that belongs to another class: a rule would go by the one and
// whoever reads the record by the other.
func (c *Checker) medicine(n *tree.Node) []finding.Finding {
	w := c.words()
	if fs := known(n.Get("class"), "a class of medicine", "write the class: "+strings.Join(w.medicines, ", "), w.medicines); fs != nil {
		return fs
	}
	name, class := n.Get("name"), n.Get("class").Text()
	all := c.Base.ClassesOf(name.Text())
	if name == nil || len(all) == 0 || len(all) == 1 && all[0] == class {
		return nil
	}
	slices.Sort(all)
	return []finding.Finding{{Rule: load.Shape, Verdict: finding.Malformed, Pos: name.Pos, Path: name.Path(), Found: name.Text(),
		Message: fmt.Sprintf("%s is %s and not %s", name.Text(), strings.Join(all, " and "), class), Remedy: "write one entry for each medicine, each with its own name or class",
		Rationale: "A rule would go by the class and whoever reads the record by the name."}}
}

func (c *Checker) medicineGiven(cl *load.Client, i int, m record.Modality, o Occasion) rule.Given {
	g, med := tree.NewRecord(), cl.Record.Medicines[i]
	class := c.Base.Medicines[med.Class]
	str(g, "class", med.Class)
	str(g, "name", c.Called(med))
	str(g, "says", class.Says)
	str(g, "modality", string(m))
	g.Set("effort", tree.Truth(!c.strain(cl.Record, m, o).Light()))
	g.Set("lowersPressure", tree.Truth(class.LowersPressure))
	g.Set("raisesPressure", tree.Truth(class.RaisesPressure))
	g.Set("lowersSugar", tree.Truth(class.LowersSugar))
	g.Set("rateLimiting", tree.Truth(class.RateLimiting))
	g.Set("purposeful", tree.Truth(c.purposeful(cl.Record, med)))
	g.Set("unknown", tree.Truth(c.unknown(med)))
	g.Set("begun", tree.Truth(o.Again && !slices.ContainsFunc(o.Fresh, func(p *record.Protocol) bool { return p.Modality == m })))
	g.Set("taken", tree.Truth(!med.Stopped))
	g.Set("changedDays", tree.Int(int(o.from()-med.Changed)))
	g.Set("cleared", tree.Truth(c.opened(cl.Record, med.Class, m, o.from()) != nil))
	n := cl.Node.Get("medicines").Elem[i]
	return rule.Given{Node: g, Anchor: n, Places: map[string]*tree.Node{"class": n.Get("class"), "unknown": n.Get("name"), "changedDays": n.Get("changed"), "cleared": n.Get("class")}}
}
