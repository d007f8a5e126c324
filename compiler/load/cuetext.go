package load

import (
	"fmt"
	"strings"

	"cuelang.org/go/cue/format"

	"isocue.example/compiler/tree"
)

// CUEText writes a case as CUE, one field a line.
func CUEText(n *tree.Node) string {
	src := plain(n)
	if n.Kind == tree.Record && len(n.Keys) > 0 {
		var lines []string
		for _, k := range n.Keys {
			lines = append(lines, fmt.Sprintf("%q: %s", k, plain(n.Field[k])))
		}
		src = strings.Join(lines, "\n")
	}
	out, err := format.Source([]byte(src), format.Simplify())
	if err != nil {
		return src
	}
	return strings.TrimSpace(string(out))
}

// plain writes a value with all its quotes and braces. A record of one field is written as a path, others have one
// field a line; format sets the rest.
func plain(n *tree.Node) string {
	switch n.Kind {
	case tree.Record:
		var parts []string
		for _, k := range n.Keys {
			parts = append(parts, fmt.Sprintf("%q: %s", k, plain(n.Field[k])))
		}
		switch len(parts) {
		case 0:
			return "{}"
		case 1:
			if n.Field[n.Keys[0]].Kind != tree.Record {
				return "{" + parts[0] + "}"
			}
		}
		return "{\n" + strings.Join(parts, "\n") + "\n}"
	case tree.List:
		var parts []string
		for _, e := range n.Elem {
			parts = append(parts, plain(e))
		}
		return "[" + strings.Join(parts, ", ") + "]"
	case tree.Null:
		return "null"
	case tree.Text:
		return fmt.Sprintf("%q", n.Str)
	}
	return n.Raw
}
