package clinic

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"isocue.example/compiler"
	"isocue.example/compiler/finding"
)

// A policy and a waivers file are known by what they hold: under whatever name they stand in a folder, they are in force or refused.
func TestAPolicyUnderAnyNameIsNeverIdle(t *testing.T) {
	eng, err := compiler.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	const policy, waivers = "limits: \"grip-load-ceiling\": ceiling: 0.25\n", "waivers: []\n"
	for _, c := range []struct{ name, text, why string }{
		{"policy .cue", policy, "a space"},
		{".policy.cue", policy, "a hidden file"},
		{"pоlicy.cue", policy, "a letter of another alphabet"},
		{"policies.cue", policy, "more than one"},
		{"clinic-policy.cue", policy, "a word before"},
		{"rules/policy.cue", policy, "a folder below"},
		{"x.yaml", "limits: {grip-load-ceiling: {ceiling: 0.25}}\n", "another name and notation"},
		{"waiver.cue", waivers, "waivers under another name"},
		{"old/waivers.cue", waivers, "waivers in a folder below"},
	} {
		dir := t.TempDir()
		name := filepath.Join(dir, filepath.FromSlash(c.name))
		err := os.MkdirAll(filepath.Dir(name), 0o700)
		if err == nil {
			err = os.WriteFile(name, []byte(c.text), 0o600)
		}
		if err == nil {
			err = os.WriteFile(filepath.Join(dir, "sound.yaml"), []byte(sound.text), 0o600)
		}
		if err != nil {
			t.Fatal(err)
		}
		for flag, refused := range map[string]bool{"": true, NoPolicy: false} {
			j := judging(eng)
			j, err := j.Begin(j.Now, Places{Policy: flag, Waivers: flag, Folders: []string{dir}}, nil)
			if err == nil {
				err = j.Lint(Lint{Named: []string{dir}, Policy: flag, Waivers: flag})
			}
			if err != nil {
				if flag == "" && strings.Contains(err.Error(), "is not read under that name, allowed: ") {
					continue // refused before anything is judged
				}
				t.Fatal(err)
			}
			told := slices.ContainsFunc(j.Found, func(f finding.Finding) bool {
				return f.Pos.File == name && f.Verdict == finding.Malformed && strings.Contains(f.Message, "not in use") && f.Remedy != ""
			})
			if told != refused {
				t.Errorf("%s (%s), --policy %q: %v", c.name, c.why, flag, j.Found)
			}
		}
	}
}
