package say

import (
	"os"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// named is the choices of a definition in the schema.
func named(t *testing.T, definition string) (out []string) {
	t.Helper()
	src, err := os.ReadFile("../../schema/protocol.cue")
	if err != nil {
		t.Fatal(err)
	}
	line := regexp.MustCompile(`(?m)^` + definition + `: (.*)$`).FindStringSubmatch(string(src))
	if line == nil {
		t.Fatalf("%s is not in the schema", definition)
	}
	for _, s := range strings.Split(line[1], " | ") {
		out = append(out, strings.Trim(s, `"`))
	}
	return out
}

// Every exercise and every intensity of the schema has its words in every catalogue, and no word is left over.
func TestCompanionWords(t *testing.T) {
	exercises, intensities := named(t, "#Exercise"), named(t, "#Intensity")
	for lang, c := range map[string]Companion{"en": englishCompanion, "de": germanCompanion} {
		for _, x := range exercises {
			if m := c.Exercise[x]; m.Name == "" || !strings.HasSuffix(m.How, ".") {
				t.Errorf("%s: %s has no words", lang, x)
			}
		}
		for _, x := range intensities {
			if c.Talk[x] == "" || c.TalkShort[x] == "" {
				t.Errorf("%s: %s has no words", lang, x)
			}
		}
		if len(c.Exercise) != len(exercises) || len(c.Talk) != len(intensities) || len(c.TalkShort) != len(intensities) {
			t.Errorf("%s: words for what the schema does not have", lang)
		}
		v := reflect.ValueOf(c)
		for i := range v.NumField() {
			if v.Field(i).IsZero() {
				t.Errorf("%s: %s is empty", lang, v.Type().Field(i).Name)
			}
		}
	}
}

func sets(names []string, n, repetitions int, rest unit.Tenths) *record.Kind {
	k := &record.Kind{Modality: record.Strength}
	effort := unit.Int(4)
	for _, x := range names {
		for range n {
			if len(k.Steps) > 0 && rest > 0 {
				k.Steps = append(k.Steps, record.Step{Kind: record.Rest, Seconds: rest})
			}
			k.Steps = append(k.Steps, record.Step{Kind: record.Exercise, Name: x, Count: repetitions, Seconds: 10, Target: &effort})
		}
	}
	return k
}

// What a client reads of exercises and walks. Source: common practice; never a held breath: the cautions.
func TestCompanionSentences(t *testing.T) {
	l := English()
	k := sets([]string{"chair-rise", "bridge"}, 2, 10, unit.Seconds(90))
	if got := l.Work(k.Steps); got != "Each exercise: 2 sets of 10 repetitions; relax 1 minute 30 seconds after each set." {
		t.Errorf("%q", got)
	}
	want := []string{"Rise from a chair: 2 sets of 10 repetitions.", "Lift your hips: 2 sets of 10 repetitions.", "Relax for 1 minute 30 seconds after each set."}
	if got := l.ExerciseSentences(k.Steps); !slices.Equal(got, want) {
		t.Errorf("%q", got)
	}
	lines := strings.Join(l.SessionLines(&record.Plan{}, k, record.Confirmed, Place{}, "112"), "\n")
	for _, s := range []string{"effort of about 4 out of 10", "Lie on your back", "never hold your breath"} {
		if strings.Count(lines, s) != 1 {
			t.Errorf("%q stands %d times in\n%s", s, strings.Count(lines, s), lines)
		}
	}
	one := sets([]string{"bridge"}, 1, 1, 0)
	if got := l.Work(one.Steps); got != "Each exercise: 1 repetition." {
		t.Errorf("%q", got)
	}
	k.Steps[0].Count = 9 // uneven: every step is named
	if got := l.Work(k.Steps); !strings.HasPrefix(got, "Rise from a chair: 9 repetitions, relax 1 minute 30 seconds, Rise from a chair: 10") || l.ExerciseSentences(k.Steps) != nil {
		t.Errorf("%q", got)
	}
	walk := &record.Kind{Modality: record.Walking, Steps: []record.Step{{Kind: record.Walk, Seconds: unit.Seconds(1200), Intensity: "moderate"}}}
	if got := strings.Join(l.SessionLines(&record.Plan{}, walk, record.Confirmed, Place{}, "112"), " "); got != "Walk so that you can talk but not sing. Begin slowly and end slowly. If you cannot talk any more, walk slower. Walk for 20 minutes." {
		t.Errorf("%q", got)
	}
	if l.Load(walk) != "you can talk, not sing" || l.Load(k) != "effort 4 out of 10" {
		t.Errorf("%q, %q", l.Load(walk), l.Load(k))
	}
}
