package compiler

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"isocue.example/compiler/record"
	"isocue.example/compiler/session"
)

// built is what session gives: the kinds, and the timetable's sessions with their kinds for names.
type built struct {
	kinds    map[string]record.Kind
	sessions []record.Session
}

// build writes the kinds. Sessions of one stage that train with the same loads share one.
func (g *programme) build(t *timetable, loads []dosed) (built, error) {
	b := built{kinds: map[string]record.Kind{}, sessions: slices.Clone(t.sessions)}
	for _, l := range loads {
		p := l.protocol.Record
		keys := map[string]string{} // by what is alike
		count := map[int]int{}      // by stage
		for i, at := range l.sessions {
			s := &b.sessions[at]
			key, ok := keys[l.alike[i]]
			if !ok {
				stage := t.stage(*s)
				key = session.Key(p.ID, stage.Index)
				if count[stage.Index]++; count[stage.Index] > 1 {
					key += fmt.Sprintf(".%d", count[stage.Index])
				}
				keys[l.alike[i]] = key
				k, err := g.c.kind(p, stage, l.held[i], g.in.Client.Record)
				if err != nil {
					return b, err
				}
				b.kinds[key] = k
			}
			s.Kind = key
		}
	}
	if g.in.Previous != nil {
		b.adopt(g.in.Previous.Kinds)
	}
	return b, nil
}

// kind is a session of a stage with its loads.
func (c *Compiler) kind(p *record.Protocol, stage *record.Stage, loads []record.Dose, cl *record.Client) (record.Kind, error) {
	k, err := session.Build(p, stage, loads, cl, c.Check.Base.Sitting)
	k.NoNumber = k.Modality == record.WallSquat && len(k.Loads) > 0 && k.Loads[0].Measured != 0 || c.highLoad(p, stage)
	return k, err
}

// adopt gives kinds that the plan before has already its names for them, and others names that are free, so that a session
// that stands keeps its kind.
func (b *built) adopt(before map[string]record.Kind) {
	rename, taken := map[string]string{}, map[string]bool{}
	keys, olds := slices.Sorted(maps.Keys(b.kinds)), slices.Sorted(maps.Keys(before))
	for _, old := range olds {
		taken[old] = true
	}
	for _, key := range keys {
		kind := text(b.kinds[key])
		for _, old := range olds {
			if before[old].Protocol == b.kinds[key].Protocol && text(before[old]) == kind {
				rename[key] = old
				break
			}
		}
	}
	for _, key := range keys {
		if _, ok := rename[key]; ok {
			continue
		}
		base, name := strings.SplitN(key, ".", 2)[0], key
		for n := 2; taken[name]; n++ {
			name = fmt.Sprintf("%s.%d", base, n)
		}
		rename[key], taken[name] = name, true
	}
	kinds := map[string]record.Kind{}
	for key, k := range b.kinds {
		kinds[rename[key]] = k
	}
	for i := range b.sessions {
		b.sessions[i].Kind = rename[b.sessions[i].Kind]
	}
	b.kinds = kinds
}
