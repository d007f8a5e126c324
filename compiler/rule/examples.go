package rule

import (
	"regexp"

	"isocue.example/compiler/record"
	"isocue.example/compiler/tree"
)

// MadeUp are names and telephone numbers that belong to nobody. Names are found by what they stand for in our templates.
type MadeUp struct {
	Names   map[string]string
	numbers []*regexp.Regexp
}

func (b *Base) readMadeUp(n *tree.Node) {
	e := n.Get("examples")
	b.MadeUp.Names = map[string]string{}
	for _, k := range e.Get("names").Keys {
		b.MadeUp.Names[k] = e.Get("names", k).Text()
	}
	for _, x := range e.Get("numbers").Items() {
		b.MadeUp.numbers = append(b.MadeUp.numbers, regexp.MustCompile(x.Get("like").Text()))
	}
}

// Number says whether a telephone number is one that belongs to nobody, however its digits are parted.
func (e MadeUp) Number(s string) bool {
	digits, ok := record.Dial(s)
	for _, like := range e.numbers {
		if ok && like.MatchString(digits) {
			return true
		}
	}
	return false
}

// Name says whether a text is the name of one of our made-up people.
func (e MadeUp) Name(s string) bool {
	for _, name := range e.Names {
		if s == name {
			return true
		}
	}
	return false
}
