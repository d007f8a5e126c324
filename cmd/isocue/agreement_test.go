//go:build full

package main

import (
	"cmp"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"sort"
	"strings"
	"testing"
	"time"

	"isocue.example/cmd/isocue/docs"
	"isocue.example/compiler"
	"isocue.example/compiler/finding"
)

// mutated is how many mutated files are judged both ways.
const mutated = 300

// bench judges files both ways: by lint's reader, and by `cue vet -c` in a clinic's folder.
type bench struct {
	t        *testing.T
	cue, dir string
	env      []string
	eng      *compiler.Compiler
}

func newBench(t *testing.T, cue string) *bench {
	t.Helper()
	eng, err := compiler.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	return &bench{t, cue, newClinic(t), offline(t), eng}
}

// lint says whether lint finds the file malformed, and its first complaint.
func (b *bench) lint(name, src string) (malformed bool, says string) {
	for _, f := range b.eng.Lint(b.eng.Reader.Bytes(name, []byte(src)), time.Date(2027, 1, 3, 9, 0, 0, 0, time.UTC)) {
		if f.Verdict == finding.Malformed {
			return true, f.Message
		}
	}
	return false, ""
}

// vet says whether cue vet refuses the file, a protocol or a record by its folder, in place of what stands there: CUE by itself, data
// against the schema's definition.
func (b *bench) vet(file, src string) (refused bool, says string) {
	b.t.Helper()
	path := filepath.Join(b.dir, filepath.FromSlash(file))
	if old, err := os.ReadFile(path); err == nil {
		defer os.WriteFile(path, old, 0o600)
	} else {
		defer os.Remove(path)
	}
	if err := os.WriteFile(path, []byte(src), 0o600); err != nil {
		b.t.Fatal(err)
	}
	args := []string{"vet", "-c", "./" + file}
	if !strings.HasSuffix(file, ".cue") {
		def := map[bool]string{true: "#Protocol", false: "#Client"}[strings.HasPrefix(file, "protocols/")]
		args = []string{"vet", "-c", "-d", def, "isocue.example/schema", "./" + file}
	}
	cmd := exec.Command(b.cue, args...)
	cmd.Dir, cmd.Env = b.dir, b.env
	out, err := cmd.CombinedOutput()
	if err != nil && cmd.ProcessState == nil {
		b.t.Fatal(err)
	}
	return err != nil, string(out)
}

// keyed is a record as a protocol of a clinic's folder.
func keyed(id, def, record string) string {
	return fmt.Sprintf("package protocols\n\nimport \"isocue.example/schema\"\n\n%q: schema.%s & %s\n", id, def, record)
}

// Every difference that the guide lists is still there by the real command, and in the way it is said to be: when one goes, the list shrinks.
func TestVetAndLintDifferOnlyWhereListed(t *testing.T) {
	b := newBench(t, cueCommand(t))
	for _, d := range docs.Differences {
		for _, s := range d.Samples {
			lint, says := b.lint(s.File, s.Source)
			vet, out := b.vet(s.File, s.Source)
			if lint != d.Lint || vet == d.Lint {
				t.Errorf("%s (%s): lint refuses %v (%s), cue vet refuses %v:\n%s\n%s", d.What, d.Why, lint, says, vet, s.Source, out)
			}
		}
	}
	const grip = `id: "p", title: "P", revision: 1, modality: "handgrip", load: {fraction: 0.30}, holdSeconds: 120, restSeconds: 240, rounds: 4, hands: "alternate", daysPerWeek: 3, sessionsPerDay: 1`
	for _, x := range []struct {
		why, src string
		refused  bool
	}{
		{"sound", keyed("p", "#Protocol", "{weeks: 8, "+grip+"}"), false},
		{"out of span", keyed("p", "#Protocol", "{weeks: 105, "+grip+"}"), true},
		{"the modality's own definition", keyed("p", "#Handgrip", "{weeks: 8, "+grip+"}"), false},
		{"the definition of another modality", keyed("p", "#WallSquat", "{weeks: 8, "+grip+"}"), true},
		{"a definition that is no protocol's", keyed("p", "#Client", "{weeks: 8, "+grip+"}"), true},
		{"a definition that does not exist", keyed("p", "#Handgrips", "{weeks: 8, "+grip+"}"), true},
		{"a definition that is named and not imported", "package protocols\n\np: schema.#Protocol & {weeks: 8, " + grip + "}\n", true},
		{"a ramp out of span", keyed("p", "#Protocol", "{weeks: 8, ramp: [{weeks: 2, rounds: 61}], "+grip+"}"), true},
		{"a breath in hundredths of a second: the calendar counts tenths", keyed("b", "#Protocol",
			`{id: "b", title: "B", revision: 1, modality: "slow-breathing", breath: {inhaleSeconds: 4.25, exhaleSeconds: 6}, minutesPerSession: 10, daysPerWeek: 7, sessionsPerDay: 1, weeks: 8}`), true},
		{"a squat set in two ways: which one would count", keyed("s", "#Protocol",
			`{id: "s", title: "S", revision: 1, modality: "wall-squat", load: {heartRateFraction: 0.95, kneeDegrees: 110}, holdSeconds: 120, restSeconds: 120, rounds: 4, daysPerWeek: 3, sessionsPerDay: 1, weeks: 4}`), true},
		{"a session counted and timed: which one would count", keyed("i", "#Inspiratory",
			`{id: "i", title: "I", revision: 1, modality: "inspiratory", load: {fraction: 0.5}, sets: 5, breathsPerSet: 6, restSeconds: 60, minutesPerSession: 15, daysPerWeek: 6, sessionsPerDay: 1, weeks: 6}`), true},
		{"a session counted by half", keyed("i", "#Inspiratory",
			`{id: "i", title: "I", revision: 1, modality: "inspiratory", load: {fraction: 0.5}, sets: 5, restSeconds: 60, daysPerWeek: 6, sessionsPerDay: 1, weeks: 6}`), true},
	} {
		lint, says := b.lint("p.cue", x.src)
		vet, out := b.vet("protocols/p.cue", x.src)
		if lint != x.refused || vet != x.refused {
			t.Errorf("%s: lint refuses %v (%s), cue vet refuses %v, want %v:\n%s", x.why, lint, says, vet, x.refused, out)
		}
	}
}

// Law: on the shape of a protocol lint and the real `cue vet -c` say the same. Sound protocols are mutated at one place or two
// (seeded, so that a failure repeats), in all notations; the differences of the guide cannot arise from data.
func TestVetAndLintAgree(t *testing.T) {
	cue := cueCommand(t)
	b := newBench(t, cue)
	const n = mutated
	r := rand.New(rand.NewPCG(20270104, 17))
	var sound []map[string]any
	for _, id := range b.eng.StandardIDs() {
		j, err := json.Marshal(b.eng.Standard(id).Protocols[0].Node)
		if err != nil {
			t.Fatal(err)
		}
		sound = append(sound, decode(t, j))
	}
	refused, byWay := map[bool]int{}, map[string]int{}
	for i := range n {
		doc := copyJSON(t, sound[r.IntN(len(sound))])
		var ways []string
		for range 1 + r.IntN(2)*r.IntN(2) { // mostly one
			ways = append(ways, mutate(r, doc))
		}
		j, err := json.Marshal(doc)
		if err != nil {
			t.Fatal(err)
		}
		ending := []string{"cue", "json", "yaml"}[r.IntN(3)]
		name, src := "m."+ending, string(j)
		if ending == "cue" {
			id, _ := doc["id"].(string)
			src = keyed(cmp.Or(id, "m"), "#Protocol", src)
		}
		lint, says := b.lint(name, src)
		vet, out := b.vet("protocols/"+name, src)
		refused[lint]++
		for _, w := range ways {
			byWay[w]++
		}
		if lint != vet {
			t.Errorf("file %d, %s: lint refuses %v (%s), cue vet refuses %v:\n%s\n%s", i, strings.Join(ways, " and "), lint, says, vet, src, out)
		}
	}
	var ways []string
	for w, k := range byWay {
		ways = append(ways, fmt.Sprintf("%s %d", w, k))
	}
	sort.Strings(ways)
	t.Logf("agreement: %d files, %d refused, %d taken; %s", n, refused[true], refused[false], strings.Join(ways, ", "))
	if refused[true] < n/4 || refused[false] < n/20 {
		t.Errorf("of %d files %d are refused: the mutations test one side only", n, refused[true])
	}
}

// In a clinic's folder cue vet holds a diary to the schema, as lint does: entries of each form that a command writes, and the slips of
// a hand.
func TestVetReadsDiaries(t *testing.T) {
	b := newBench(t, cueCommand(t))
	record, diary := filepath.Join(b.dir, "clients", "plover-12.yaml"), filepath.Join(b.dir, "clients", "plover-12.diary.yaml")
	const day = "2027-01-03T09:00:00Z"
	for _, words := range []string{"ill fever", "well", "reading 138/84/70 --time 07:30", "grip right 38.5 40 39 --with home-gauge", "medicine bisoprolol started",
		"course handgrip-maintenance --start 2027-03-08 --replaces", "pause 2027-02-01 --until 2027-02-07", "asked no", "hours mon,wed 07:00-08:00"} {
		isocue(t, append([]string{"enter", record, "--by", "L. Brandt", "--now", day}, strings.Fields(words)...)...)
	}
	vet := func() (bool, string) {
		cmd := exec.Command(b.cue, "vet", "-c", "./...")
		cmd.Dir, cmd.Env = b.dir, b.env
		out, err := cmd.CombinedOutput()
		return err == nil, string(out)
	}
	if ok, says := vet(); !ok {
		t.Errorf("what was entered is refused:\n%s", says)
	}
	sound, err := os.ReadFile(diary)
	if err != nil {
		t.Fatal(err)
	}
	for _, slip := range []struct{ line, why string }{
		{`- {date: 2027-01-02, by: "L. Brandt", il: "fever"}`, "an unknown key"},
		{`- {date: 2027-01-02, by: "L. Brandt"}`, "nothing happened"},
		{`- {date: 2027-01-02, by: "L. Brandt", ill: "fever", well: true}`, "two things"},
		{`- {date: 2027-01-02, by: "L. Brandt", walking: {minutesPerWeek: 90000}}`, "out of span"},
	} {
		if err := os.WriteFile(diary, append(slices.Clone(sound), slip.line+"\n"...), 0o600); err != nil {
			t.Fatal(err)
		}
		bad, _ := b.lint(diary, string(sound)+slip.line+"\n")
		if ok, _ := vet(); ok || !bad {
			t.Errorf("%s: cue vet accepts it %v, lint refuses it %v", slip.why, ok, bad)
		}
	}
}
