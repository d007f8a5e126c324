package publish

import "slices"

// Begun is what earlier runs set out to send and may have sent, by UID: digests.
type Begun map[string][]string

// Begin adds what a run is about to send. What is not of the plan any more is forgotten.
func (b Begun) Begin(entries []Entry, sent Sent) Begun {
	out := Begun{}
	for _, e := range entries {
		now := digest(e.Data)
		if all := b[e.UID]; slices.Contains(all, now) {
			out[e.UID] = all
		} else if sent[e.UID] != now || len(all) > 0 {
			out[e.UID] = append(slices.Clip(all), now)
		}
	}
	return out
}
