package load

import (
	"encoding/json"
	"fmt"

	"cuelang.org/go/cue/format"
	"cuelang.org/go/encoding/yaml"

	"isocue.example/compiler/internal/guard"
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
	out, err := json.MarshalIndent(doc.Root, "", "  ")
	return append(out, '\n'), err
}
