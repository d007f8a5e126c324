package phrase

import (
	"strings"

	"isocue.example/compiler/record"
)

// mostAtOnce is how many bytes of a text are read at once: a note of megabytes would take a hundred times its size. Parts end with a
// sentence; where none ends in time they share some bytes, so that what stands where they meet is read as a whole.
const mostAtOnce, atOnceTwice = 20_000, 600

// inParts recognises what a long text names, each once.
func (l *Lexicon) inParts(text string) (found []record.Symptom, unknown bool) {
	seen := map[string]bool{}
	for len(text) > 0 {
		part := text
		if len(text) > mostAtOnce {
			part = text[:mostAtOnce]
			if end := strings.LastIndexAny(part, ".!?\n"); end >= mostAtOnce-atOnceTwice {
				part = part[:end+1]
				text = text[len(part):]
			} else { // the next part begins with the last words of this one
				text = text[mostAtOnce-atOnceTwice:]
			}
		} else {
			text = ""
		}
		more, strange := l.recognise(part)
		for _, s := range more {
			if !seen[s.ID] {
				seen[s.ID], found = true, append(found, s)
			}
		}
		unknown = unknown || strange
	}
	return found, unknown
}
