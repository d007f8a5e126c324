package tree

// Merge lays over upon base, record by record; a null takes a field away. The result is a document of its own.
func Merge(base, over *Node) *Node {
	if over == nil {
		return base
	}
	if base == nil || base.Kind != Record || over.Kind != Record {
		return over
	}
	out := At(base.Pos)
	for _, k := range base.Keys {
		v := Merge(base.Field[k], over.Field[k])
		if v.Kind != Null {
			out.Set(k, copyOf(v))
		}
	}
	for _, k := range over.Keys {
		switch v := over.Field[k]; {
		case base.Field[k] != nil || v.Kind == Null:
		case v.Kind == Record:
			out.Set(k, Merge(NewRecord(), v))
		default:
			out.Set(k, copyOf(v))
		}
	}
	return out
}

// copyOf is a copy that may stand in a second document with a path of its own.
func copyOf(n *Node) *Node {
	c := *n
	if n.Kind == Record {
		c.Field, c.Keys = map[string]*Node{}, nil
		for _, k := range n.Keys {
			c.Set(k, copyOf(n.Field[k]))
		}
	}
	if n.Kind == List {
		c.Elem = nil
		for _, e := range n.Elem {
			c.Append(copyOf(e))
		}
	}
	return &c
}
