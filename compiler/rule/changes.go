package rule

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// Change is one version of the rule base and what it changed. The rules that it brought say so by their since.
type Change struct {
	Version, Date, Says string
	Retired             []Retired
	Moves               []Move
}

// Retired is a rule that a version took away, with what judges it since then; nothing does where By is empty.
type Retired struct {
	ID, Title, Why string
	By             []string
	Version, Date  string // when it went
}

// Move is a limit that a version set to another number, as their author wrote both.
type Move struct {
	Rule, Limit, Old, New, Why string
	Version, Date              string
}

func (b *Base) readChanges(n *tree.Node) {
	for _, c := range n.Get("changes").Items() {
		v := Change{Version: c.Get("version").Text(), Date: c.Get("date").Text(), Says: c.Get("says").Text()}
		if all := c.Get("retired"); all != nil {
			for _, id := range all.Keys {
				r := Retired{ID: id, Title: all.Get(id, "title").Text(), Why: all.Get(id, "why").Text(), Version: v.Version, Date: v.Date}
				for _, by := range all.Get(id, "by").Items() {
					r.By = append(r.By, by.Text())
				}
				v.Retired = append(v.Retired, r)
			}
		}
		if all := c.Get("limits"); all != nil {
			for _, id := range all.Keys {
				for _, name := range all.Field[id].Keys {
					m := all.Get(id, name)
					v.Moves = append(v.Moves, Move{Rule: id, Limit: name, Old: raw(m.Get("old")), New: raw(m.Get("new")), Why: m.Get("why").Text(), Version: v.Version, Date: v.Date})
				}
			}
		}
		b.Changes = append(b.Changes, v)
	}
}

func raw(n *tree.Node) string {
	if n == nil {
		return ""
	}
	return n.Raw
}

// RetiredRule finds a rule that is no longer in the base.
func (b *Base) RetiredRule(id string) (r Retired, ok bool) {
	for _, c := range b.Changes {
		for _, x := range c.Retired {
			if x.ID == id {
				r, ok = x, true
			}
		}
	}
	return r, ok
}

// Fate is what became of a rule that went, in words that end a sentence about its id.
func (r Retired) Fate() string {
	s := "was retired in " + r.Version + " (" + r.Date + ")"
	if len(r.By) > 0 {
		s += ", judged since by " + strings.Join(r.By, ", ")
	}
	return s
}

// Moves lists how the limits of a rule moved, the oldest first.
func (b *Base) Moves(id string) (out []Move) {
	for _, c := range b.Changes {
		for _, m := range c.Moves {
			if m.Rule == id {
				out = append(out, m)
			}
		}
	}
	return out
}

// Added lists the rules that a version brought.
func (b *Base) Added(version string) (out []string) {
	for _, r := range b.All() {
		if r.Since == version {
			out = append(out, r.ID)
		}
	}
	return out
}

// checkChanges holds the changelog against the base: versions rise to the base's own, every rule came with one of them, what is
// retired is gone and points on, and a moved limit ends at the number that the rule has.
func (b *Base) checkChanges() error {
	var errs []error
	bad := func(format string, a ...any) { errs = append(errs, fmt.Errorf("changes: "+format, a...)) }
	var versions []string
	last := ""
	for _, c := range b.Changes {
		if !later(last, c.Version) {
			bad("version %s follows %s, allowed: a later one", c.Version, last)
		}
		if n := len(versions); n > 0 && c.Date < b.Changes[n-1].Date {
			bad("version %s is dated %s, before the version before it", c.Version, c.Date)
		}
		versions, last = append(versions, c.Version), c.Version
	}
	if last != b.Version {
		bad("the newest version is %q, the rule base is %s", last, b.Version)
	}
	for _, r := range b.All() {
		if !slices.Contains(versions, r.Since) {
			bad("rule %s is there since %s, which is no version", r.ID, r.Since)
		}
	}
	number := map[string]string{} // rule and limit -> where the moves before left it
	for _, c := range b.Changes {
		for _, r := range c.Retired {
			if b.Rule(r.ID) != nil {
				bad("%s is retired in %s and still a rule", r.ID, c.Version)
			}
			for _, by := range r.By {
				if _, also := b.RetiredRule(by); b.Rule(by) == nil && !also || by == r.ID {
					bad("%s points on to %s, which is no other rule", r.ID, by)
				}
			}
		}
		for _, m := range c.Moves {
			key := m.Rule + " " + m.Limit
			if had := number[key]; had != "" && !same(had, m.Old) {
				bad("%s moves from %s in %s, it was left at %s", key, m.Old, c.Version, had)
			}
			if same(m.Old, m.New) {
				bad("%s moves from %s to %s in %s, allowed: another number", key, m.Old, m.New, c.Version)
			}
			number[key] = m.New
		}
	}
	for key, n := range number {
		id, limit, _ := strings.Cut(key, " ")
		if _, gone := b.RetiredRule(id); gone {
			continue
		}
		if r := b.Rule(id); r == nil || r.Limit[limit] == nil || !same(r.Limit[limit].Raw, n) {
			bad("%s was last moved to %s, which the rule base does not have", key, n)
		}
	}
	slices.SortFunc(errs, func(a, b error) int { return strings.Compare(a.Error(), b.Error()) })
	return errors.Join(errs...)
}

func same(a, b string) bool {
	x, err := unit.ParseDec(a)
	y, err2 := unit.ParseDec(b)
	return err == nil && err2 == nil && x.Cmp(y) == 0
}

// later says whether version b, written v1.12, comes after a; the empty version comes before all.
func later(a, b string) bool {
	x, y := parts(a), parts(b)
	return a == "" || slices.Compare(x[:], y[:]) < 0
}

func parts(v string) (p [2]int) {
	major, minor, _ := strings.Cut(strings.TrimPrefix(v, "v"), ".")
	p[0], _ = strconv.Atoi(major) // the schema holds versions to their form
	p[1], _ = strconv.Atoi(minor)
	return p
}
