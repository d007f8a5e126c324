// Package start makes what `isocue new` writes: commented starts for a protocol, a client record and a clinic's rule, and
// the clinic's folder.
//
// A start is text of ours with holes. Its numbers come from the rule base and the standard protocols, never from here.
// What a person must decide has no value yet, so that lint names it: a default that nobody looks at is believed.
package start

import (
	"cmp"
	"embed"
	"fmt"
	"maps"
	"os"
	"path"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/tree"
)

//go:embed protocol/*.yaml client.yaml rule.txt all:clinic
var texts embed.FS

// text is a start with its holes filled. A hole that nothing fills is a defect of the program.
func text(name string, holes func(string) (string, bool)) (string, error) {
	b, err := texts.ReadFile(name)
	if err != nil {
		return "", err
	}
	missing := ""
	s := os.Expand(string(b), func(hole string) string {
		v, ok := holes(hole)
		if !ok {
			missing = cmp.Or(missing, hole)
		}
		return v
	})
	if missing != "" {
		return "", fmt.Errorf("%s: nothing fills ${%s}", name, missing)
	}
	return s, nil
}

// values gives holes by name.
func values(m map[string]string) func(string) (string, bool) {
	return func(hole string) (string, bool) { v, ok := m[hole]; return v, ok }
}

// From is the standard protocol whose numbers a start of a modality has.
var From = map[record.Modality]string{
	record.Handgrip: "handgrip-alternating", record.WallSquat: "wall-squat-home",
	record.SlowBreathing: "slow-breathing-even", record.Inspiratory: "inspiratory-strength",
	record.Walking: "walking-start", record.Strength: "strength-home",
}

// Protocol is a commented protocol with the numbers of a standard one. In CUE it stands as a field of package protocols,
// behind its modality's definition, so that an editor completes its fields and CUE tells a slip in two lines.
func Protocol(standard *tree.Node, id, title string, to load.Format) ([]byte, error) {
	own := map[string]string{"id": id, "title": title}
	yaml, err := text("protocol/"+standard.Get("modality").Text()+".yaml", func(hole string) (string, bool) {
		if v, ok := own[hole]; ok {
			return v, true
		}
		n := standard.Get(strings.Split(hole, ".")...)
		return cmp.Or(n.Text(), raw(n)), n != nil
	})
	if err != nil {
		return nil, err
	}
	if to != load.CUE {
		return load.Convert([]byte(yaml), to)
	}
	says, yaml := head(yaml)
	b, err := load.Convert([]byte(yaml), load.CUE)
	if err != nil {
		return nil, err
	}
	return []byte(fmt.Sprintf("package protocols\n\nimport \"isocue.example/schema\"\n\n%s%q: schema.%s & {\n%s}\n",
		strings.ReplaceAll(says, "# ", "// "), id, definition(standard.Get("modality").Text()), indent(string(b)))), nil
}

// definition is the schema's name for the protocols of a modality: wall-squat is #WallSquat.
func definition(modality string) string {
	s := "#"
	for _, part := range strings.Split(modality, "-") {
		s += strings.ToUpper(part[:1]) + part[1:]
	}
	return s
}

// raw is a value as its author wrote it, "" where there is none.
func raw(n *tree.Node) string {
	if n == nil {
		return ""
	}
	return n.Raw
}

// head cuts off the comment at the top of a start: in CUE it stands before the field, not inside it.
func head(s string) (comment, rest string) {
	for rest = s; strings.HasPrefix(rest, "#"); {
		line, after, _ := strings.Cut(rest, "\n")
		comment, rest = comment+line+"\n", after
	}
	return comment, rest
}

func indent(s string) string {
	var b strings.Builder
	for line := range strings.Lines(s) {
		if strings.TrimSpace(line) != "" {
			b.WriteByte('\t')
		}
		b.WriteString(line)
	}
	return b.String()
}

// Client is a client record with every screening question unanswered and nothing measured.
func Client(b *rule.Base, now time.Time, id string, to load.Format) ([]byte, error) {
	var answers strings.Builder
	for _, q := range b.Questions() {
		fmt.Fprintf(&answers, "    # %s\n    %s: \"unanswered\"\n", q.Asks, q.ID)
	}
	var classes strings.Builder
	for _, id := range slices.Sorted(maps.Keys(b.Medicines)) {
		fmt.Fprintf(&classes, "#   %s: %s\n", id, b.Medicines[id].Name)
	}
	yaml, err := text("client.yaml", dated(now, b.MadeUp.Names, map[string]string{"id": id, "questions": fmt.Sprint(b.QuestionSet()), "classes": strings.TrimSuffix(classes.String(), "\n"),
		"answers": strings.TrimSuffix(answers.String(), "\n")}))
	if err != nil {
		return nil, err
	}
	if to != load.YAML { // comments inside a list are lost on the way: there they stand before it
		yaml = inList.ReplaceAllString(yaml, "$3$1$2: []\n")
	}
	return load.Convert([]byte(yaml), to)
}

// inList is a list that holds nothing but examples.
var inList = regexp.MustCompile(`(?m)^( *)(\w+): \[\n((?: *# .*\n)+) *\]\n`)

// dated gives holes by name, those of made-up people among them, and day-N as the civil date that many days before now, day+N after it: from one day on, it lies in the future in
// no zone.
func dated(now time.Time, people, m map[string]string) func(string) (string, bool) {
	return func(hole string) (string, bool) {
		if n, ok := strings.CutPrefix(hole, "day-"); ok {
			days, err := strconv.Atoi(n)
			return now.AddDate(0, 0, -days).Format(time.DateOnly), err == nil && days > 0
		}
		if n, ok := strings.CutPrefix(hole, "day+"); ok {
			days, err := strconv.Atoi(n)
			return now.AddDate(0, 0, days).Format(time.DateOnly), err == nil && days > 0
		}
		if v, ok := people[hole]; ok {
			return v, true
		}
		v, ok := m[hole]
		return v, ok
	}
}

// Rule is a clinic's own rule as a piece of a policy, with every field of the record and what it is for. A policy with rules
// is CUE, so there is no other notation. The example's number is that of a standard protocol.
func Rule(b *rule.Base, standard *tree.Node, id string) ([]byte, error) {
	days := standard.Get("daysPerWeek").Whole()
	s, err := text("rule.txt", values(map[string]string{"id": id, "version": b.Version, "of": standard.Get("id").Text(),
		"daysPerWeek": fmt.Sprint(days), "daysPerWeek+1": fmt.Sprint(days + 1)}))
	return []byte(s), err
}

var idForm = regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`)

// maxID is the longest id, in letters.
const maxID = 48

// IsID says whether a text is what the schema calls #ID.
func IsID(s string) bool { return len(s) <= maxID && idForm.MatchString(s) }

// ID is the id that a file's name suggests, so that two starts in a folder do not share one; without a usable name, it is
// other.
func ID(file, prefix, other string) string {
	base := path.Base(strings.ReplaceAll(file, `\`, "/"))
	base = strings.TrimSuffix(base, path.Ext(base))
	if IsID(base) && strings.HasPrefix(base, prefix) && base != strings.TrimSuffix(prefix, "-") {
		return base
	}
	return other
}
