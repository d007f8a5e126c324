package clinic

import (
	"path/filepath"
	"slices"
	"strings"

	"isocue.example/compiler"
	"isocue.example/compiler/diary"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
)

// trains is what a client trains, by protocol and by modality: what the plan in the pack has, and the courses of the diary; without
// a plan also every standard protocol, for nobody knows what was trained before. A diary's own protocol may be of any modality.
func trains(c *compiler.Compiler, pack, id string, d *load.File) (out []string) {
	add := func(name string) {
		if name != "" && !slices.Contains(out, name) {
			out = append(out, name)
		}
	}
	var ms []string
	if p, err := readPlan(filepath.Join(pack, "plan.json"), &record.Client{ID: id}); err == nil {
		for _, s := range p.Sessions {
			add(s.Protocol)
			ms = append(ms, string(p.Kinds[s.Kind].Modality))
		}
	} else {
		for _, id := range c.StandardIDs() {
			add(id)
			ms = append(ms, string(c.Standard(id).Protocols[0].Record.Modality))
		}
	}
	for _, e := range diary.Of(d.Diary.Of()).Live() {
		if e.Course == nil {
			continue
		}
		for _, word := range e.Course.Protocols {
			add(strings.TrimSuffix(filepath.Base(word), filepath.Ext(word)))
			if s := c.Standard(word); s != nil {
				ms = append(ms, string(s.Protocols[0].Record.Modality))
				continue
			}
			for _, m := range record.Modalities {
				ms = append(ms, string(m))
			}
		}
	}
	for _, m := range ms {
		add(m)
	}
	return out
}
