package check

import (
	"regexp"
	"strconv"
	"strings"

	"isocue.example/compiler/load"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/tree"
)

// TextGivens is the facts of a protocol's free texts: whoever reads a title or a note takes it for a promise. What is found in one is
// marked at its words.
func (c *Checker) TextGivens(p *load.Protocol) (out []rule.Given) {
	texts := map[string]*tree.Node{"title": p.Node.Get("title"), "note": p.Node.Get("note")}
	fields := []string{"title", "note"}
	if titles := p.Node.Get("titles"); titles != nil {
		for _, tag := range titles.Keys {
			fields = append(fields, "titles."+tag)
			texts["titles."+tag] = titles.Field[tag]
		}
	}
	for _, field := range fields {
		n := texts[field]
		if n == nil {
			continue
		}
		g := tree.NewRecord()
		str(g, "protocol", p.Record.ID)
		str(g, "modality", string(p.Record.Modality))
		str(g, "field", field)
		// the words as they are read, so that a doubled space or a line of tabs hides nothing
		str(g, "text", strings.Join(strings.Fields(n.Text()), " "))
		if f, ok := fall(n.Text()); ok {
			g.Set("fall", tree.Int(-f))
		}
		places := map[string]*tree.Node{"text": n}
		for _, what := range c.Base.Texts().Facts {
			g.Set(what, tree.Str(""))
		}
		for _, f := range c.Base.Texts().Find(n.Text()) {
			words := strings.Join(strings.Fields(f.Words), " ")
			if was := g.Get(f.Fact).Text(); was != "" {
				words = was + " ... " + words
			} else {
				places[f.Fact] = p.At(n, f.From, f.To)
			}
			g.Set(f.Fact, tree.Str(words))
		}
		out = append(out, rule.Given{Node: g, Anchor: n, Places: places})
	}
	return out
}

var (
	// a number told as a change: with a minus sign, or after a word of falling and before the next stop
	minus   = regexp.MustCompile(`(?i)(?:^|[^0-9a-z])[-\x{2212}\x{2013}]\s?([0-9]{1,3})(?:[.,][0-9]+)?(?:\s?/\s?[-\x{2212}\x{2013}]?\s?[0-9]{1,3}(?:[.,][0-9]+)?)?\s*(?:mm|points?\b)`)
	falling = regexp.MustCompile(`(?i)\b(?:falls?|fell|falling|drops?|dropp\w+|lower\w*|reduc\w+|decreas\w+|down|cuts?|minus|takes?|brings?|less|senk\w*|sink\w*|sank|fallen|reduzier\w*|weniger)\b([^.;]{0,60}?)\b([0-9]{1,3})(?:[.,][0-9]+)?(?:\s?/\s?[0-9]{1,3}(?:[.,][0-9]+)?)?\s*(?:to|or|bis|oder|-|\x{2013})?\s?([0-9]{1,3})?\s*(?:mm|points?\b|punkte?\b)`)
)

// fall is the largest fall of pressure that a text tells of, in whole mmHg. It reads English and German words; a number without
// mmHg or points behind it is no claim.
func fall(text string) (largest int, ok bool) {
	take := func(s string) {
		if n, err := strconv.Atoi(s); err == nil {
			largest, ok = max(largest, n), true
		}
	}
	for _, m := range minus.FindAllStringSubmatch(text, -1) {
		take(m[1])
	}
	for _, m := range falling.FindAllStringSubmatch(text, -1) {
		take(m[2])
		take(m[3])
	}
	return largest, ok
}
