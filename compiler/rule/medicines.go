package rule

import (
	"strings"
	"unicode"

	"isocue.example/compiler/near"
	"isocue.example/compiler/tree"
)

// MedicineClass is a class of medicine and what it means for training.
type MedicineClass struct {
	Name, Says                                                string
	Generics                                                  []string // lower case
	RateLimiting, LowersPressure, RaisesPressure, LowersSugar bool
	Purpose                                                   []string        // questions of which one is a yes where it is taken
	touches                                                   map[string]bool // nil for every gate
}

// Touches says whether a clearance of a gate, given before a medicine of the class changed, says nothing any more.
func (m MedicineClass) Touches(gate string) bool { return m.touches == nil || m.touches[gate] }

func (b *Base) readMedicines(n *tree.Node) {
	all := n.Get("medicineClasses")
	b.generics = map[string]string{}
	for _, k := range all.Keys {
		m := all.Field[k]
		c := MedicineClass{Name: m.Get("name").Text(), Says: m.Get("says").Text(), RateLimiting: yes(m, "rateLimiting"), LowersPressure: yes(m, "lowersPressure"),
			RaisesPressure: yes(m, "raisesPressure"), LowersSugar: yes(m, "lowersSugar"), Generics: texts(m.Get("generics")), Purpose: texts(m.Get("purpose"))}
		if t := m.Get("touches"); t != nil {
			c.touches = map[string]bool{k: true}
			for _, gate := range texts(t) {
				c.touches[gate] = true
			}
		}
		for _, g := range c.Generics {
			b.generics[g], b.generics[strings.TrimSuffix(g, "e")] = k, k
		}
		b.Medicines[k] = c
	}
}

// MedicinePair is medicines that do not go well together, or not with a condition: each of its lists has one.
type MedicinePair struct {
	ID, HowSoon, Says string
	Taken             [][]string // classes
	Yes               []string   // questions
}

func (b *Base) readPairs(n *tree.Node) {
	all := n.Get("medicinePairs")
	for _, k := range all.Keys {
		x := all.Field[k]
		p := MedicinePair{ID: k, HowSoon: x.Get("howSoon").Text(), Says: x.Get("says").Text(), Yes: texts(x.Get("yes"))}
		for _, list := range []string{"first", "with", "and"} {
			if l := texts(x.Get(list)); len(l) > 0 {
				p.Taken = append(p.Taken, l)
			}
		}
		b.Pairs = append(b.Pairs, p)
	}
}

// shortestStem is how long a generic name is that counts where a longer word begins with it: German writes the salt behind it in one
// word.
const shortestStem = 6

// ClassesOf are the classes of the medicines that a text names, each once: its words, or two of them, are generic names, or begin with
// one. Strength, form and salt beside a name change nothing.
func (b *Base) ClassesOf(name string) (out []string) {
	words := strings.FieldsFunc(strings.ToLower(near.Plain(name)), func(r rune) bool { return !unicode.IsLetter(r) })
	add := func(class string) {
		for _, have := range out {
			if have == class {
				return
			}
		}
		out = append(out, class)
	}
	for i, w := range words {
		if i+1 < len(words) {
			if class := b.generics[w+"-"+words[i+1]]; class != "" {
				add(class)
			}
		}
		for end := len(w); end > 0 && (end == len(w) || end >= shortestStem); end-- {
			if class := b.generics[w[:end]]; class != "" {
				add(class)
				break
			}
		}
	}
	return out
}
