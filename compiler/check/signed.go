package check

import (
	"isocue.example/compiler/load"
	"isocue.example/compiler/unit"
)

// Who signed a record's papers, and when.

// clearedByCoach are the gates of clearances by the person who taught the first session.
func clearedByCoach(cl *load.Client) (gates []string) {
	coach := cl.Node.Get("taught", "by").Text()
	for _, n := range cl.Node.Get("clearances").Items() {
		if gate := n.Get("for").Items(); len(gate) > 0 && load.SamePerson(n.Get("by").Text(), coach) {
			gates = append(gates, gate[0].Text())
		}
	}
	return gates
}

// datesAhead are the fields of consent and limits whose day has not come.
func datesAhead(cl *load.Client, o Occasion) (fields []string) {
	for _, k := range []string{"consent", "limits"} {
		if d, err := unit.ParseDate(cl.Node.Get(k, "date").Text()); err == nil && d > o.Today {
			fields = append(fields, k+".date")
		}
	}
	return fields
}
