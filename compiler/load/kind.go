package load

import (
	"fmt"

	"isocue.example/compiler/internal/guard"
	"isocue.example/compiler/tree"
)

// Kind is what a file is about.
type Kind string

const (
	IsProtocol Kind = "protocol"
	IsClient   Kind = "client record"
	IsPolicy   Kind = "policy"
	IsWaivers  Kind = "waivers"
	IsPlan     Kind = "plan"
	IsLog      Kind = "log"
	IsDiary    Kind = "diary"
	IsUnknown  Kind = "unknown"
)

// Words names the kind as a sentence would.
func (k Kind) Words() string {
	switch k {
	case IsWaivers:
		return "a waivers file"
	case IsUnknown:
		return "of no kind that is known"
	}
	return "a " + string(k)
}

// Private says whether such a file is a client's: no line of it is ever quoted.
func (k Kind) Private() bool { return k == IsClient || k == IsLog || k == IsDiary }

// kindOf tells the kind by content; the first match counts.
func kindOf(n *tree.Node) Kind {
	has := func(names ...string) bool {
		for _, k := range names {
			if n.Get(k) != nil {
				return true
			}
		}
		return false
	}
	switch {
	case has("modality"):
		return IsProtocol
	case has("measured", "screening"):
		return IsClient
	case has("sessions"): // a plan also has waivers and rules
		return IsPlan
	case has("waivers"):
		return IsWaivers
	case has("limits", "rules", "reviewers", "options"), len(n.Keys) == 1 && has("policy"):
		return IsPolicy
	}
	return IsUnknown
}

func (r *Reader) read(f *File, doc *guard.Document) {
	f.Kind = kindOf(doc.Root)
	if f.Kind != IsUnknown {
		for _, k := range doc.Root.Keys { // only a whole protocol may stand behind a definition: elsewhere it would mean nothing here
			if def := doc.Def[k]; def != "" && def != own[k] {
				f.add(doc.Root.Field[k], Shape, fmt.Sprintf("%s stands behind schema.%s, allowed: its value alone", k, def), "remove schema."+def+" &")
			}
		}
	}
	switch f.Kind {
	case IsProtocol:
		r.protocol(f, doc.Root)
	case IsClient:
		r.client(f, doc.Root)
	case IsPolicy:
		f.Node = f.policy(doc.Root)
		r.shape(f, r.clinics(), "#Policy", f.Node)
		if f.Rules = doc.Rules; f.Rules == nil && f.Node.Get("rules") != nil {
			f.add(f.Node.Get("rules"), Shape, "a policy's own rules stand in another notation than CUE, allowed: in CUE alone", "write the policy as policy.cue")
		}
	case IsWaivers:
		for _, k := range doc.Root.Keys {
			if k != "waivers" {
				f.add(doc.Root.Field[k], Shape, k+" is not a field beside waivers", "remove it")
			}
		}
		if r.shape(f, r.clinics(), "#Waivers", doc.Root.Get("waivers")) {
			for _, w := range doc.Root.Get("waivers").Items() {
				f.date(w.Get("date"))
				f.date(w.Get("until"))
			}
		}
	case IsPlan:
		r.plan(f)
	default:
		r.keyed(f, doc)
	}
}

// own are the definitions behind which a clinic's own files may stand.
var own = map[string]string{"policy": "#Policy", "waivers": "#Waivers"}

// policy is the record of a policy: the file's fields, or those behind its one field policy, with the rules that stand beside it.
func (f *File) policy(root *tree.Node) *tree.Node {
	p := root.Get("policy")
	if p == nil || p.Kind != tree.Record {
		return root
	}
	p.Detach()
	for _, k := range root.Keys {
		switch {
		case k == "rules" && p.Get(k) == nil:
			p.Set(k, root.Field[k])
		case k != "policy":
			f.add(root.Field[k], Shape, k+" is not a field beside policy, allowed: #rules", "move it into policy")
		}
	}
	return p
}

// keyed reads a file that holds protocols by name: handgrip-a: schema.#Protocol & {...}.
func (r *Reader) keyed(f *File, doc *guard.Document) {
	unknown := len(doc.Root.Keys) == 0
	for _, k := range doc.Root.Keys {
		n := doc.Root.Field[k]
		unknown = unknown || n.Kind != tree.Record || (n.Get("modality") == nil && doc.Def[k] != "#Protocol")
	}
	if unknown {
		f.Kind = IsUnknown
		f.add(doc.Root, Shape, "file has none of the fields that tell its kind, allowed: modality (a protocol), measured or screening (a client record), waivers, limits, rules, reviewers or options (a policy)",
			"start from `isocue new protocol FILE` or `isocue new client FILE`")
		return
	}
	f.Kind = IsProtocol
	for _, k := range doc.Root.Keys {
		n := doc.Root.Field[k]
		n.Detach()
		if def, arm := doc.Def[k], arms[n.Get("modality").Text()]; def != "" && def != "#Protocol" && arm != "" && def != arm {
			f.add(n, Shape, fmt.Sprintf("%s stands behind schema.%s, allowed: schema.#Protocol or schema.%s, that of its modality", k, def, arm), "write schema.#Protocol")
		}
		if id := n.Get("id"); id != nil && id.Text() != k {
			f.add(id, Shape, fmt.Sprintf("id is %s, allowed: %q, the name of the field that holds the protocol", id.Raw, k), "give both the same name")
		}
		r.protocol(f, n)
	}
}
