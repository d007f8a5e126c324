package rule

import (
	"isocue.example/compiler/tree"
	"isocue.example/schema"
)

// Row is one parameter that a reviewer looks for: the rules that hold it, or the reason why none does.
type Row struct {
	About, Parameter, Excused string
	Rules                     []string
}

// Choice is a matter on which sources differ: what each says, and what the rules make of it.
type Choice struct {
	Matter, Made string
	Says         []Saying
	Rules        []string
}

// Saying is what one source says, by its key.
type Saying struct{ Source, Says string }

// Envelope reads the list of parameters and the choices between sources. No judgement needs it; the pages show it.
func Envelope() (rows []Row, choices []Choice, err error) {
	n, err := data(schema.FS, "envelope.cue")
	if err != nil {
		return nil, nil, err
	}
	for _, e := range n.Get("envelope").Items() {
		rows = append(rows, Row{About: e.Get("about").Text(), Parameter: e.Get("parameter").Text(), Excused: e.Get("excused").Text(), Rules: texts(e.Get("rules"))})
	}
	for _, e := range n.Get("choices").Items() {
		c := Choice{Matter: e.Get("matter").Text(), Made: e.Get("choice").Text(), Rules: texts(e.Get("rules"))}
		for _, s := range e.Get("says").Items() {
			c.Says = append(c.Says, Saying{s.Get("source").Text(), s.Get("says").Text()})
		}
		choices = append(choices, c)
	}
	return rows, choices, nil
}

func texts(n *tree.Node) (out []string) {
	for _, e := range n.Items() {
		out = append(out, e.Text())
	}
	return out
}
