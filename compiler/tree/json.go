package tree

import (
	"bytes"
	"encoding/json"
	"regexp"
	"strconv"
)

// jsonNumber is a number as RFC 8259, section 6, writes it; CUE and YAML have other notations beside it, such as 0x10.
var jsonNumber = regexp.MustCompile(`^-?(0|[1-9][0-9]*)(\.[0-9]+)?([eE][-+]?[0-9]+)?$`)

// MarshalJSON writes n with its fields in written order, and numbers as their author wrote them where JSON can.
func (n *Node) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	n.writeJSON(&b)
	return b.Bytes(), nil
}

func (n *Node) writeJSON(b *bytes.Buffer) {
	text := func(s string) {
		t, _ := json.Marshal(s) // text always marshals
		b.Write(t)
	}
	between := func(i int) {
		if i > 0 {
			b.WriteByte(',')
		}
	}
	switch n.Kind {
	case Record:
		b.WriteByte('{')
		for i, k := range n.Keys {
			between(i)
			text(k)
			b.WriteByte(':')
			n.Field[k].writeJSON(b)
		}
		b.WriteByte('}')
	case List:
		b.WriteByte('[')
		for i, e := range n.Elem {
			between(i)
			e.writeJSON(b)
		}
		b.WriteByte(']')
	case Text:
		text(n.Str)
	case Bool:
		b.WriteString(strconv.FormatBool(n.Bool))
	case Number:
		if jsonNumber.MatchString(n.Raw) {
			b.WriteString(n.Raw)
		} else {
			b.WriteString(n.Num.String())
		}
	default:
		b.WriteString("null")
	}
}
