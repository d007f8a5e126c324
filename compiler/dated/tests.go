package dated

import (
	"slices"

	"isocue.example/compiler/diary"
	"isocue.example/compiler/record"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// tests puts the measurements of the diary among those of the record. Of two on one day the later counts; where nobody can tell, the
// one on which the lower load stands.
func (s *sheet) tests() {
	for _, x := range []struct {
		what  record.Happening
		list  string
		lower func(a, b *record.Entry) bool
	}{
		{record.GripIs, "grip", func(a, b *record.Entry) bool { return kgf(a.Grip).Less(kgf(b.Grip)) }},
		{record.MouthIs, "inspiratory", func(a, b *record.Entry) bool { return breath(a.Inspiratory, b.Inspiratory) }},
		{record.SquatIs, "squat", func(a, b *record.Entry) bool { return straighter(a.Squat, b.Squat) }},
		{record.WalkingIs, "walking", func(a, b *record.Entry) bool { return a.Walking.Minutes < b.Walking.Minutes }},
	} {
		mine := s.of(x.what)
		if len(mine) == 0 {
			continue
		}
		type thing struct {
			day  unit.Date
			hand record.Hand
		}
		of := func(e *record.Entry) thing {
			if e.Grip != nil {
				return thing{e.Date, e.Grip.Hand}
			}
			return thing{day: e.Date}
		}
		groups, order := map[thing][]*record.Entry{}, []thing{}
		for _, e := range mine {
			k := of(e)
			if groups[k] == nil {
				order = append(order, k)
			}
			groups[k] = append(groups[k], e)
		}
		elem := slices.DeleteFunc(s.list("measured", x.list), func(n *tree.Node) bool {
			d, err := unit.ParseDate(n.Get("date").Text())
			return err == nil && groups[thing{d, record.Hand(n.Get("hand").Text())}] != nil
		})
		for _, k := range order {
			top := latest(groups[k])
			elem = append(elem, dayed(slices.MinFunc(top, func(a, b *record.Entry) int {
				switch {
				case x.lower(a, b):
					return -1
				case x.lower(b, a):
					return 1
				}
				return 0
			})))
		}
		s.putList(elem, "measured", x.list)
	}
}

func kgf(t *record.GripTest) unit.Dec {
	f, err := unit.NewForce(t.Score(), t.Unit)
	if err != nil {
		return t.Score() // the schema knows the units
	}
	return f.In(unit.KilogramForce)
}

// breath says whether a counts before b: a static test before another, then the lower.
func breath(a, b *record.InspiratoryTest) bool {
	if a.Static != b.Static {
		return a.Static
	}
	in := func(t *record.InspiratoryTest) unit.Dec {
		p, err := unit.NewPressure(t.Best(), t.Unit)
		if err != nil {
			return t.Best()
		}
		return p.In(unit.CentimetreWater)
	}
	return in(a).Less(in(b))
}

// straighter says whether a step test ended at a straighter knee, or at the same one at a lower rate.
func straighter(a, b *record.SquatTest) bool {
	if len(a.Stages) == 0 || len(b.Stages) == 0 {
		return len(a.Stages) < len(b.Stages)
	}
	x, y := a.Stages[len(a.Stages)-1], b.Stages[len(b.Stages)-1]
	if x.KneeDegrees != y.KneeDegrees {
		return x.KneeDegrees > y.KneeDegrees
	}
	return x.HeartRate < y.HeartRate
}

// devices puts the devices of the diary among those of the record. One that was replaced is back only by a later entry.
func (s *sheet) devices() {
	all := s.of(record.HasDevice)
	if len(all) == 0 {
		return
	}
	byID := map[string][]*record.Entry{}
	for _, e := range all {
		id := diary.DeviceID(e.Device)
		byID[id] = append(byID[id], e)
	}
	holds := map[string]*record.Entry{}
	for id, es := range byID {
		holds[id] = settled(es, func(e *record.Entry) string { return diary.DeviceSays(e.Device) })
	}
	instead := map[string][]*record.Entry{}
	for _, e := range all {
		instead[e.Device.Instead] = append(instead[e.Device.Instead], e)
	}
	gone := func(id string) bool {
		return slices.ContainsFunc(instead[id], func(e *record.Entry) bool {
			return !slices.ContainsFunc(byID[id], func(b *record.Entry) bool { return diary.Later(b, e) })
		})
	}
	for _, list := range []string{"grip", "inspiratory"} {
		old := s.list("devices", list)
		elem := slices.DeleteFunc(slices.Clone(old), func(n *tree.Node) bool { return holds[n.Get("id").Text()] != nil || gone(n.Get("id").Text()) })
		for _, e := range all {
			id := diary.DeviceID(e.Device)
			if x := says(e).Get(list); x != nil && holds[id] == e && !gone(id) {
				elem = append(elem, x)
			}
		}
		if len(elem)+len(old) > 0 {
			s.putList(elem, "devices", list)
		}
	}
	if e := holds[diary.Cuff]; e != nil {
		s.put(says(e).Get("cuff"), "devices", "cuff")
	}
}
