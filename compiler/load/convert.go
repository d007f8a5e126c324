package load

import (
	"bytes"
	"encoding/json"
	"fmt"

	"cuelang.org/go/cue/format"
	"cuelang.org/go/encoding/yaml"

	"isocue.example/compiler/internal/guard"
	"isocue.example/compiler/tree"
	"isocue.example/schema"
)

// Convert writes a YAML text of ours in another notation; CUE keeps its comments, JSON has none.
func Convert(src []byte, to guard.Format) ([]byte, error) {
	switch to {
	case guard.YAML:
		return src, nil
	case guard.CUE:
		f, err := yaml.Extract("start.yaml", src)
		if err != nil {
			return nil, err
		}
		return format.Node(f, format.Simplify())
	}
	doc, fs := guard.Parse("start.yaml", src, guard.YAML, schema.Path)
	if doc == nil {
		return nil, fmt.Errorf("%s", fs[0].Message)
	}
	var b bytes.Buffer
	writeJSON(&b, doc.Root)
	var out bytes.Buffer
	if err := json.Indent(&out, b.Bytes(), "", "  "); err != nil {
		return nil, err
	}
	out.WriteByte('\n')
	return out.Bytes(), nil
}

// writeJSON writes a tree in its written order.
func writeJSON(b *bytes.Buffer, n *tree.Node) {
	switch n.Kind {
	case tree.Record:
		b.WriteByte('{')
		for i, k := range n.Keys {
			if i > 0 {
				b.WriteByte(',')
			}
			writeText(b, k)
			b.WriteByte(':')
			writeJSON(b, n.Field[k])
		}
		b.WriteByte('}')
	case tree.List:
		b.WriteByte('[')
		for i, e := range n.Elem {
			if i > 0 {
				b.WriteByte(',')
			}
			writeJSON(b, e)
		}
		b.WriteByte(']')
	case tree.Text:
		writeText(b, n.Str)
	case tree.Null:
		b.WriteString("null")
	default:
		b.WriteString(n.Raw)
	}
}

func writeText(b *bytes.Buffer, s string) {
	t, _ := json.Marshal(s) // text always marshals
	b.Write(t)
}
