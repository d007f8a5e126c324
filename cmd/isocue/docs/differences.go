package docs

import (
	"fmt"
	"strings"
)

// Difference is a way in which lint and `cue vet -c` are known to differ, and why it stays so. A test judges every sample both ways: when
// a difference goes, or another comes, the list is wrong. docs/guide.md has it from here.
type Difference struct {
	What, Why string
	// Lint says that lint alone refuses it; otherwise cue vet alone does.
	Lint    bool
	Samples []Sample
}

// Sample is a file of a clinic's folder.
type Sample struct{ File, Source string }

// SampleID is the id of the protocols of the samples.
const SampleID = "p"

// Differences are all that are known.
var Differences = []Difference{
	{"a field written twice alike", "the second is a slip", true, protocols(`{weeks: 8, weeks: 8, %s}`)},
	{"a value that is computed, referred to, marked as a default, hidden or under a condition, and an attribute",
		"isocue computes nothing, so that what is judged is what is trained", true,
		protocols(`{weeks: 2*4, %s}`, `{weeks: retestWeeks*2, retestWeeks: 4, %s}`, `{weeks: *8 | int, %s}`, `{if true {weeks: 8}, %s}`, `{_w: 8, weeks: 8, %s}`,
			`{let w = 8, weeks: w, %s}`, `{weeks: 8 @note(x), %s}`)},
	{"a number of more than 24 characters", "nobody reads it", true, protocols(`{weeks: 8, load: {fraction: 0.3000000000000000000000000000001}, %s}`)},
	{"an `id` that is not the name of its field", "a protocol has one name", true, protocols(`{weeks: 8, id: "other", %s}`)},
	{"a protocol without `schema.#Protocol &` before it", "to CUE it is a record like any other", true,
		[]Sample{{"protocols/p.cue", "package protocols\n\np: {weeks: 800, " + rest("") + "}\n"}}},
	{"a field beside `policy` or `waivers`", "it would silently not apply", true, []Sample{
		{"policy.cue", "package clinic\n\nimport \"isocue.example/schema\"\n\npolicy: schema.#Policy & {reviewers: [\"M. Osei\"]}\nlimits: \"grip-load-ceiling\": ceiling: 0.40\n"},
		{"waivers.cue", "package clinic\n\nimport \"isocue.example/schema\"\n\nwaivers: schema.#Waivers & []\nreviewers: [\"M. Osei\"]\n"}}},
	{"a control character in a comment", "a reviewer would not see what the file says", true,
		[]Sample{{"protocols/p.cue", "// eight\x1b[2K weeks\n" + protocol("#Protocol", `{weeks: 8, %s}`)}}},
	{"a time zone that does not exist", "the schema holds no list of zones", true,
		[]Sample{{"clients/heron-07.yaml", "id: heron-07\nzone: Mars/Olympus\ndominantHand: right\nmeasured: {}\n"}}},
	{"8.0 or 8e0 for 8", "in JSON and YAML they are one number, and isocue reads all notations alike", false, protocols(`{weeks: 8.0, %s}`, `{weeks: 8e0, %s}`)},
	{"an import that is not used", "nothing of it is read", false,
		[]Sample{{"protocols/p.cue", "package protocols\n\nimport \"isocue.example/schema\"\n\np: {weeks: 8, " + rest("") + "}\n"}}},
}

// protocols are samples of a sound handgrip protocol with these fields: %s stands for the others.
func protocols(fields ...string) (out []Sample) {
	for _, f := range fields {
		out = append(out, Sample{"protocols/p.cue", protocol("#Protocol", f)})
	}
	return out
}

// protocol is the text of one, behind a definition of the schema.
func protocol(def, fields string) string {
	return fmt.Sprintf("package protocols\n\nimport \"isocue.example/schema\"\n\n%q: schema.%s & %s\n", SampleID, def, fmt.Sprintf(fields, rest(fields)))
}

// rest are the other fields of the sound protocol; a field that the sample has is left out.
func rest(sample string) string {
	var out []string
	for _, f := range []string{`id: "p"`, `title: "P"`, `revision: 1`, `modality: "handgrip"`, `load: {fraction: 0.30}`, `holdSeconds: 120`,
		`restSeconds: 240`, `rounds: 4`, `hands: "alternate"`, `daysPerWeek: 3`, `sessionsPerDay: 1`} {
		name, _, _ := strings.Cut(f, ":")
		if !strings.Contains(sample, name+":") {
			out = append(out, f)
		}
	}
	return strings.Join(out, ", ")
}

// Marks around the list in docs/guide.md, which is otherwise written by hand.
const differencesBegin, differencesEnd = "<!-- what lint and cue vet differ in: generated -->\n", "<!-- end -->\n"

// differenceList is the list as the guide has it.
func differenceList() string {
	var w strings.Builder
	w.WriteString(differencesBegin)
	for _, lint := range []bool{true, false} {
		fmt.Fprintf(&w, "\n%s alone refuses:\n\n", map[bool]string{true: "Lint", false: "`cue vet`"}[lint])
		for _, d := range Differences {
			if d.Lint == lint {
				fmt.Fprintf(&w, "- %s: %s\n", d.What, d.Why)
			}
		}
	}
	return w.String() + "\n" + differencesEnd
}
