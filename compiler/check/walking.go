package check

import (
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// walkingGivens is what the client walks now against the first week of all protocols that walk.
func walkingGivens(cl *load.Client, o Occasion) []rule.Given {
	list := cl.Node.Get("measured", "walking")
	var first unit.Dec
	for _, p := range o.Protocols {
		if p.Modality == record.Walking {
			first = first.Add(p.Stages[0].WeekMinutes())
		}
	}
	if first.IsZero() {
		return nil
	}
	g := tree.NewRecord()
	str(g, "kind", "walking")
	num(g, "firstWeek", first)
	l := cl.Record.WalkedOn(o.day())
	if l == nil {
		g.Set("now", tree.Int(0))
		return unmeasured(cl, g, list)
	}
	at := list.Elem[l.Index]
	num(g, "value", unit.Int(int64(l.Minutes)))
	g.Set("now", tree.Int(l.Minutes))
	g.Set("ageDays", tree.Int(int(o.day()-l.Date)))
	return []rule.Given{{Node: g, Anchor: at, Places: map[string]*tree.Node{"value": at.Get("minutesPerWeek"), "ageDays": at.Get("date")}}}
}
