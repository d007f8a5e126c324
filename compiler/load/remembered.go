package load

import (
	"bytes"
	"slices"
	"strings"

	"isocue.example/compiler/record"
)

// Remembered are the entries of some lines that a plan remembers, where they stand no more among the entries of the diary as they were
// written. Their places lie behind the end of the diary, where no other entry is. One whose id another entry has by now is called by what
// it says.
func (r *Reader) Remembered(diary string, src []byte, have []record.Entry, lines []string) (out []record.Entry) {
	if len(lines) == 0 {
		return nil
	}
	behind := strings.Repeat("\n", bytes.Count(src, []byte("\n"))+1)
	text := behind
	for _, l := range lines {
		text += strings.TrimRight(l, "\n") + "\n"
	}
	f := r.Bytes(diary, []byte(text))
	for _, e := range f.Diary.Of() {
		if slices.ContainsFunc(have, func(h record.Entry) bool { return h.Digest == e.Digest && h.What == e.What }) {
			continue
		}
		if slices.ContainsFunc(have, func(h record.Entry) bool { return h.ID == e.ID }) {
			e.ID = e.Digest[:8]
		}
		e.Gone = true
		out = append(out, e)
	}
	return out
}
