package compiler

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"math/rand/v2"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/internal/guard"
)

// unordered are the lists of a record in which the order of entries says nothing. Trials, stages of a test and settings of a device
// have an order; the first word of a clearance is the gate.
var unordered = []string{"conditions", "medicines", "clearances", "away", "hours", "measured.grip", "measured.inspiratory", "measured.squat", "measured.bloodPressure", "devices.grip", "devices.inspiratory"}

// writer writes what a person wrote in another way that means the same.
type writer struct {
	r        *rand.Rand
	form     string           // yaml, json or cue
	moved    map[string][]int // of each list in another order, where each entry stood
	comments bool
}

// again is a text in another notation, order and style, with the name that it then has.
func (w *writer) again(t testing.TB, src []byte, from guard.Format) (name, text string) {
	t.Helper()
	var v any
	d := json.NewDecoder(bytes.NewReader(src))
	if d.UseNumber(); d.Decode(&v) != nil {
		t.Fatalf("%s is no JSON", src)
	}
	w.form, w.moved, w.comments = []string{"yaml", "yaml", "json", "cue"}[w.r.IntN(4)], map[string][]int{}, w.r.IntN(2) == 0
	var b strings.Builder
	if w.form == "yaml" {
		w.block(&b, v, "", "")
	} else {
		w.flow(&b, v, "")
	}
	text = b.String()
	if w.form == "cue" {
		text = strings.TrimSuffix(strings.TrimPrefix(text, "{"), "}")
		if from == guard.CUE && w.r.IntN(3) == 0 {
			text = "package protocols\nimport \"isocue.example/schema\"\n\"ours\": schema.#Protocol & {" + text + "}\n"
		}
	}
	if w.comments && w.form != "json" {
		text = map[string]string{"yaml": "# written anew\n", "cue": "// written anew\n\n"}[w.form] + text
	}
	if w.r.IntN(3) == 0 {
		text = strings.ReplaceAll(text, "\n", "\r\n")
	}
	end := "." + w.form
	if w.form == "yaml" && w.r.IntN(2) == 0 {
		end = ".yml"
	}
	if w.r.IntN(2) == 0 {
		end = strings.ToUpper(end)
	}
	return []string{"ours", "Ours (2)", "policy", "x.log", "ünder one"}[w.r.IntN(5)] + end, text
}

// entries are a list in the order in which it is written.
func (w *writer) entries(v []any, path string) []any {
	if !slices.Contains(unordered, path) || len(v) < 2 {
		return v
	}
	order := w.r.Perm(len(v))
	w.moved[path] = order
	out := make([]any, len(v))
	for i, was := range order {
		out[i] = v[was]
	}
	return out
}

func (w *writer) keys(v map[string]any) []string {
	ks := slices.Sorted(maps.Keys(v))
	w.r.Shuffle(len(ks), func(i, j int) { ks[i], ks[j] = ks[j], ks[i] })
	return ks
}

func below(path, key string) string { return strings.TrimPrefix(path+"."+key, ".") }

var (
	plainKey  = regexp.MustCompile(`^[a-zA-Z][a-zA-Z0-9]*$`)
	plainText = regexp.MustCompile(`^[a-z][a-z-]{3,}$`)
	isDay     = regexp.MustCompile(`^\d{4}-\d\d-\d\d$`)
)

// flow writes JSON, which is YAML too, and with or without quotes about its names CUE.
func (w *writer) flow(b *strings.Builder, v any, path string) {
	sep := []string{" ", "\n", "\n\t"}[w.r.IntN(3)]
	if w.form == "yaml" {
		sep = " " // a tab or a line's start may not stand inside a block
	}
	switch v := v.(type) {
	case map[string]any:
		b.WriteString("{")
		for i, k := range w.keys(v) {
			if i > 0 {
				b.WriteString("," + sep)
			}
			if w.form == "cue" && plainKey.MatchString(k) && w.r.IntN(2) == 0 {
				b.WriteString(k)
			} else {
				b.WriteString(strconv.Quote(k))
			}
			b.WriteString(": ")
			w.flow(b, v[k], below(path, k))
		}
		b.WriteString("}")
	case []any:
		b.WriteString("[")
		for i, x := range w.entries(v, path) {
			if i > 0 {
				b.WriteString("," + sep)
			}
			w.flow(b, x, path+"[]")
		}
		b.WriteString("]")
	default:
		w.scalar(b, v)
	}
}

func (w *writer) scalar(b *strings.Builder, v any) {
	s, ok := v.(string)
	switch {
	case !ok:
		j, _ := json.Marshal(v)
		b.Write(j)
	case w.form == "yaml" && isDay.MatchString(s) && w.r.IntN(2) == 0:
		b.WriteString(s)
	case w.form == "yaml" && plainText.MatchString(s) && !slices.Contains([]string{"true", "false", "null"}, s) && w.r.IntN(2) == 0:
		b.WriteString(s)
	case w.form == "yaml" && w.r.IntN(2) == 0:
		b.WriteString("'" + strings.ReplaceAll(s, "'", "''") + "'")
	case w.form == "cue" && w.r.IntN(3) == 0 && !strings.ContainsAny(s, `"\`):
		b.WriteString(`#"` + s + `"#`)
	default:
		j, _ := json.Marshal(s)
		b.Write(j)
	}
}

// block writes YAML by lines and indents, and now and then a part of it in braces.
func (w *writer) block(b *strings.Builder, v any, path, indent string) {
	line := func() {
		if w.comments && w.r.IntN(6) == 0 {
			b.WriteString(indent + "# a word between\n")
		}
	}
	one := func(v any, path string) {
		m, isMap := v.(map[string]any)
		l, isList := v.([]any)
		if isMap && len(m) > 0 && w.r.IntN(3) > 0 || isList && len(l) > 0 && w.r.IntN(3) > 0 {
			b.WriteString("\n")
			w.block(b, v, path, indent+"  ")
			return
		}
		b.WriteString(" ")
		w.flow(b, v, path)
		if w.comments && w.r.IntN(6) == 0 {
			b.WriteString("   # a word behind")
		}
		b.WriteString("\n")
	}
	switch v := v.(type) {
	case map[string]any:
		for _, k := range w.keys(v) {
			line()
			b.WriteString(indent + []string{k, `"` + k + `"`, `'` + k + `'`}[w.r.IntN(3)] + ":")
			one(v[k], below(path, k))
		}
	case []any:
		for _, x := range w.entries(v, path) {
			line()
			b.WriteString(indent + "-")
			one(x, path+"[]")
		}
	}
}

// answer is what was found, by rule, place and value; the place is the one that it has in the text that w was given.
func (w *writer) answer(fs []finding.Finding) (out []string) {
	for _, f := range fs {
		path, says := f.Path, f.Message
		if path != "" {
			says = strings.ReplaceAll(says, path, "it")
		}
		for list, order := range w.moved {
			if rest, ok := strings.CutPrefix(path, list+"["); ok {
				n, after, _ := strings.Cut(rest, "]")
				if i, err := strconv.Atoi(n); err == nil {
					path = fmt.Sprintf("%s[%d]%s", list, order[i], after)
				}
			}
		}
		out = append(out, fmt.Sprintf("%s %s at %s found %s: %s", f.Verdict, f.Rule, path, f.Found, says))
		for _, x := range w.answer(f.Covers) {
			out = append(out, f.Rule+" covers "+x)
		}
	}
	slices.Sort(out)
	return out
}
