package load

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"isocue.example/compiler/internal/cueval"
	"isocue.example/compiler/near"
	"isocue.example/compiler/tree"
)

// column is one column of a spreadsheet.
type column struct {
	heading string
	steps   []step // from the top of the record; none where the column is no field of it
	place   cueval.Place
}

// field is the record's field under the heading, "" for an element of a list.
func (c *column) field() string {
	if len(c.steps) == 0 {
		return ""
	}
	return c.steps[len(c.steps)-1].field
}

// step is one step down a record: to a field, or to an element of a list. An element without key is every element.
type step struct {
	field string
	list  bool
	key   string // "[0]", or a word
	of    string // the field that the word is the value of
}

// headings reads the headings of a spreadsheet.
func (r *Reader) headings(s *Spreadsheet, headings []string) error {
	if len(headings) > mostColumns {
		return fmt.Errorf("the spreadsheet has %d columns, allowed: at most %d", len(headings), mostColumns)
	}
	top := r.clients().Place("#Client")
	seen := map[string]int{}
	for i, h := range headings {
		c := column{heading: h}
		if j, twice := seen[h]; twice && h != "" {
			return fmt.Errorf("columns %d and %d are both headed %s, allowed: each once", j+1, i+1, shownHeading(h))
		}
		seen[h] = i
		switch {
		case h == "" || strings.HasPrefix(h, "#"):
		case h == "protocols":
			s.protocols = i
		case h == "start":
			s.start = i
		default:
			if err := c.resolve(top); err != nil {
				return fmt.Errorf("column %d: %w", i+1, err)
			}
			if h == "id" {
				s.id = i
			}
		}
		s.columns = append(s.columns, c)
	}
	if s.id < 0 {
		return fmt.Errorf("the headings lack id, allowed: the paths of a record, id among them; isocue new client FILE.csv writes a start")
	}
	sum := sha256.Sum256([]byte(strings.Join(headings, "\n")))
	s.digest = hex.EncodeToString(sum[:]) + string(s.comma)
	return nil
}

// plainHeading is what may be repeated of a heading: in a spreadsheet whose headings are missing, the first row is of a client.
var plainHeading = regexp.MustCompile(`^[a-zA-Z][a-zA-Z0-9.\[\]_-]*$`)

func shownHeading(h string) string {
	if plainHeading.MatchString(h) && len(h) <= 80 {
		return h
	}
	return "something that is no path"
}

var segment = regexp.MustCompile(`^([A-Za-z0-9-]+)((?:\[[0-9]{1,3}\])*)$`)

// resolve finds the place of a heading in a record.
func (c *column) resolve(at cueval.Place) error {
	var so []string // the way so far
	for _, part := range strings.Split(c.heading, ".") {
		m := segment.FindStringSubmatch(part)
		if m == nil {
			return fmt.Errorf("the heading is %s, allowed: a path of a record such as screening.date", shownHeading(c.heading))
		}
		if at.Kind == tree.List { // no number was given
			e, ok := at.Element()
			if !ok || e.Kind != tree.Record {
				return fmt.Errorf("%s is a list without fields, allowed: no column of it", strings.Join(so, "."))
			}
			if of := chosenFrom(e, m[1]); of != "" {
				c.steps = append(c.steps, step{list: true, key: m[1], of: of})
				at = e
				so = append(so, part)
				continue
			}
			c.steps = append(c.steps, step{list: true})
			at = e
		}
		next, ok := at.Field(m[1])
		if !ok {
			if len(so) > 0 {
				return fmt.Errorf("%s has no field %s%s; allowed: %s", strings.Join(so, "."), m[1], near.Hint(m[1], at.Fields), strings.Join(at.Fields, ", "))
			}
			return fmt.Errorf("the heading is %s, which no record has%s; allowed: %s, protocols, start, or a heading that begins with # and is left out",
				shownHeading(c.heading), near.Hint(m[1], at.Fields), strings.Join(at.Fields, ", "))
		}
		c.steps = append(c.steps, step{field: m[1]})
		at = next
		for _, key := range strings.SplitAfter(m[2], "]") {
			if key == "" {
				continue
			}
			e, ok := at.Element()
			if !ok || at.Many {
				return fmt.Errorf("%s is no list of records, allowed: %s without %s", m[1], m[1], key)
			}
			c.steps = append(c.steps, step{list: true, key: key})
			at = e
		}
		so = append(so, part)
	}
	if last := c.steps[len(c.steps)-1]; last.of != "" { // the element's one list
		i := slices.IndexFunc(at.Fields, func(f string) bool { p, _ := at.Field(f); return p.Many })
		if i < 0 {
			return fmt.Errorf("%s is a record, allowed: one of its fields: %s", c.heading, strings.Join(at.Fields, ", "))
		}
		c.steps = append(c.steps, step{field: at.Fields[i]})
		at, _ = at.Field(at.Fields[i])
	}
	if at.Kind == tree.Record {
		return fmt.Errorf("%s is a record, allowed: one of its fields, such as %s.%s", c.heading, c.heading, append(at.Fields, "name")[0])
	}
	c.place = at
	return nil
}

// chosenFrom is the field of a record whose value is chosen from words, this one among them; "" where none is, or the word is a
// field itself.
func chosenFrom(p cueval.Place, word string) string {
	if slices.Contains(p.Fields, word) {
		return ""
	}
	for _, f := range p.Fields {
		if of, _ := p.Field(f); slices.Contains(of.Words, word) {
			return f
		}
	}
	return ""
}
