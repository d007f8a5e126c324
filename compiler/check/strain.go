package check

import (
	"slices"
	"strings"

	"isocue.example/compiler/record"
)

// LightWalk says whether all walks of an occasion are light for a client.
func (c *Checker) LightWalk(r *record.Client, o Occasion) bool {
	return c.Base.Light.Walks(r, o.Protocols, o.day())
}

// strain is the step of strain of a modality on an occasion.
func (c *Checker) strain(r *record.Client, m record.Modality, o Occasion) record.Strain {
	return m.Strain(m == record.Walking && c.LightWalk(r, o))
}

// effort says whether an occasion asks for more than light steps.
func (c *Checker) effort(r *record.Client, o Occasion) bool {
	return slices.ContainsFunc(modalities(o.Protocols), func(m record.Modality) bool { return !c.strain(r, m, o).Light() })
}

// strained says whether a modality is a squat, a loaded breath or a walk that is not light: what was tried in fewer people and at fewer
// ages than squeezes and exercises.
func (c *Checker) strained(r *record.Client, m record.Modality, o Occasion) bool {
	s := c.strain(r, m, o)
	return s == record.Squatting || s == record.LoadedBreath || s == record.Exertion && m == record.Walking
}

// medicines are those that lower pressure, are taken, and are not cleared for everything that is trained: whether a squat or a loaded
// breath is among that, how many they are, and each with what is told about it.
func (c *Checker) medicines(r *record.Client, o Occasion) (loads bool, told int, names string) {
	ms := modalities(o.Protocols)
	loads = slices.ContainsFunc(ms, func(m record.Modality) bool {
		s := c.strain(r, m, o)
		return s == record.Squatting || s == record.LoadedBreath
	})
	var all []string
	for _, x := range r.Medicines {
		class := c.Base.Medicines[x.Class]
		if x.Stopped || !class.LowersPressure || len(ms) > 0 && c.openedFor(r, x.Class, o, everything) {
			continue
		}
		if said := class.Name + " (" + class.Says + ")"; !slices.Contains(all, said) {
			all = append(all, said)
		}
	}
	slices.Sort(all) // the order of a record decides nothing
	return loads, len(all), strings.Join(all, ", ")
}
