package diary

import (
	"bytes"
	"strings"
)

// unfinished is put before a line that was left half told: it stays readable, and says nothing.
const unfinished = "# not finished: "

// Addition is how a line is put behind what stands in a diary: text replaces the bytes from end on. A line that a process which was
// killed left half told was never reported as written. It becomes a comment, for it may also be a slip of somebody's hand, and nothing
// that stands in a diary is ever taken out of it.
func Addition(have []byte, line string) (end int, text []byte) {
	end = bytes.LastIndexByte(have, '\n') + 1
	tail := strings.ToValidUTF8(string(have[end:]), "")
	switch {
	case len(have) == end:
	case strings.HasPrefix(tail, "- {") && !closed(tail):
		text = append(text, unfinished+tail+"\n"...)
	default: // an editor that writes no last line end
		text = append(text, string(have[end:])+"\n"...)
	}
	return end, append(text, line+"\n"...)
}

// Entries counts the lines of a text at which an entry begins.
func Entries(have []byte) (n int) {
	for l := range bytes.Lines(have) {
		if bytes.HasPrefix(l, []byte("- ")) {
			n++
		}
	}
	return n
}

// closed says whether every brace and bracket of an entry on one line is closed, and every text.
func closed(line string) bool {
	depth, quote := 0, byte(0)
	for i := 0; i < len(line); i++ {
		switch c := line[i]; {
		case quote == '"' && c == '\\':
			i++
		case quote != 0:
			if c == quote {
				quote = 0
			}
		case c == '"' || c == '\'' && strings.IndexByte(" ,:[{", line[max(i-1, 0)]) >= 0: // not the one in O'Brien
			quote = c
		case c == '{' || c == '[':
			depth++
		case c == '}' || c == ']':
			depth--
		}
	}
	return depth == 0 && quote == 0
}
