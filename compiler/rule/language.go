package rule

import (
	"isocue.example/compiler/record"
	"isocue.example/compiler/tree"
)

// told is what a client reads of the base, in one language.
type told struct {
	cautions []record.Caution
	expected map[record.Modality]string
}

// Tags are the languages beside English in which the base's data for clients stands. A field of each name stands beside the
// English text, and the schema demands it.
var Tags = []string{"de"}

// other hands over a text of n in each of the other languages.
func (b *Base) other(n *tree.Node, use func(*told, string)) {
	if b.others == nil {
		b.others = map[string]told{}
	}
	for _, tag := range Tags {
		t := b.others[tag]
		if t.expected == nil {
			t.expected = map[record.Modality]string{}
		}
		use(&t, n.Get(tag).Text())
		b.others[tag] = t
	}
}

// In is the base whose cautions and expectations are in a language, itself for English; ok is false where it has none of that
// tag.
func (b *Base) In(tag string) (out *Base, ok bool) {
	if tag == "" || tag == "en" {
		return b, b.Language == ""
	}
	t, ok := b.others[tag]
	if !ok {
		return b, false
	}
	c := *b
	c.Cautions, c.Expected, c.Language = t.cautions, t.expected, tag
	return &c, true
}
