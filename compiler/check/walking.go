package check

import (
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// walkingGivens is what the client walks now against the first week of each protocol that walks.
func walkingGivens(cl *load.Client, o Occasion) (out []rule.Given) {
	list := cl.Node.Get("measured", "walking")
	for _, p := range o.Protocols {
		if p.Modality != record.Walking {
			continue
		}
		g := tree.NewRecord()
		str(g, "kind", "walking")
		num(g, "firstWeek", p.Stages[0].WeekMinutes())
		l := cl.Record.WalkedOn(o.day())
		if l == nil {
			g.Set("now", tree.Int(0))
			out = append(out, unmeasured(cl, g, list)...)
			continue
		}
		at := list.Elem[l.Index]
		num(g, "value", unit.Int(int64(l.Minutes)))
		g.Set("now", tree.Int(l.Minutes))
		g.Set("ageDays", tree.Int(int(o.day()-l.Date)))
		out = append(out, rule.Given{Node: g, Anchor: at, Places: map[string]*tree.Node{"value": at.Get("minutesPerWeek"), "ageDays": at.Get("date")}})
	}
	return out
}
