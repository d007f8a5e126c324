package docs

import (
	"errors"

	"isocue.example/compiler/load"
	"isocue.example/compiler/tree"
	"isocue.example/schema"
)

// considered is one parameter that a reviewer looks for: the rules that hold it, or the reason why none does.
type considered struct {
	About, Parameter, Excused string
	Rules                     []string
}

// choice is a matter on which sources differ: what each says, and what the rules make of it.
type choice struct {
	Matter, Made string
	Says         []saying
	Rules        []string
}

// saying is what one source says, by its key.
type saying struct{ Source, Says string }

// envelope reads the list of parameters and the choices between sources. No judgement needs it; the pages show it.
func envelope(r *load.Reader) (rows []considered, choices []choice, err error) {
	src, err := schema.FS.ReadFile("base/envelope.cue")
	if err != nil {
		return nil, nil, err
	}
	n := r.Bytes("schema/base/envelope.cue", src).Node
	if n == nil {
		return nil, nil, errors.New("schema/base/envelope.cue cannot be read")
	}
	for _, e := range n.Get("envelope").Items() {
		rows = append(rows, considered{About: e.Get("about").Text(), Parameter: e.Get("parameter").Text(), Excused: e.Get("excused").Text(), Rules: texts(e.Get("rules"))})
	}
	for _, e := range n.Get("choices").Items() {
		x := choice{Matter: e.Get("matter").Text(), Made: e.Get("choice").Text(), Rules: texts(e.Get("rules"))}
		for _, s := range e.Get("says").Items() {
			x.Says = append(x.Says, saying{s.Get("source").Text(), s.Get("says").Text()})
		}
		choices = append(choices, x)
	}
	return rows, choices, nil
}

func texts(n *tree.Node) (out []string) {
	for _, e := range n.Items() {
		out = append(out, e.Text())
	}
	return out
}
