package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"isocue.example/cmd/isocue/cli"
)

// outside are the formats of findings that leave the clinic.
var outside = []string{"sarif", "github", "junit"}

// judgedAs is what lint, and if asked compile, say about a client record in one format. Fingerprints are hashes and no words.
func judgedAs(t *testing.T, file, format string, compile bool) (out string) {
	t.Helper()
	runs := [][]string{{"lint", file, "--for", "handgrip-alternating", "--for", "inspiratory-strength", "--for", "wall-squat-home"}}
	if compile {
		runs = append(runs, []string{"compile", "handgrip-alternating", "--client", file, "--start", "2027-01-04", "-o", filepath.Join(t.TempDir(), "out.ics")})
	}
	for _, args := range runs {
		code, stdout, stderr := run(append(args, "--format", format, "--now", "2027-01-03T09:00:00Z")...)
		if code == cli.ExitCannotRun {
			t.Fatalf("%v: %s", args, stderr)
		}
		out += stdout + stderr
	}
	return regexp.MustCompile(`"rulePlace/v1": "[0-9a-f]+"`).ReplaceAllString(out, "")
}

// client writes the demo client with one place edited.
func client(t *testing.T, edit func(string) string) string {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("..", "..", "testdata", "demo", "client.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(t.TempDir(), "c.yaml")
	if err := os.WriteFile(name, []byte(edit(string(b))), 0o600); err != nil {
		t.Fatal(err)
	}
	return name
}

// Readings, ages, answers and names of a client stand in text, for the clinic, and in no format that leaves it.
func TestFormatsKeepAClientPrivate(t *testing.T) {
	for _, c := range []struct{ why, old, new, secret string }{
		{"a reading", `"2027-01-03T20:02", systolic: 136, diastolic: 83`, `"2027-01-03T23:00", systolic: 187, diastolic: 113`, "187"},
		{"a pulse", `"2027-01-03T20:02", systolic: 136, diastolic: 83, pulse: 70`, `"2027-01-03T23:00", systolic: 136, diastolic: 83, pulse: 137`, "137"},
		{"a year of birth that has not come", "born: 1971", "born: 2033", "2033"},
		{"an age", "born: 1971", "born: 1931", "96"},
		{"a grip", "trials: [38.5, 40.0, 39.5]", "trials: [97.5, 98.5, 98]", "98.5"},
		{"a breath", "trials: [78, 82, 80]", "trials: [278, 297, 290]", "297"},
		{"an answer", `glaucoma: "no"`, `glaucoma: "yes"`, "glaucoma"},
		{"a name in the place of a field", "name: Dara Quill", "Dara Quill: x", "Quill"},
		{"a name in the place of an answer", `glaucoma: "no"`, `Quill: "no"`, "Quill"},
		{"a name in the place of a class", "medicines: []", "medicines: [{class: quill, changed: 2025-01-01}]", "quill"},
		{"a name in the place of a zone", "America/Halifax", "Dara/Quill", "Dara"},
	} {
		file := client(t, func(s string) string {
			if !strings.Contains(s, c.old) {
				t.Fatalf("%s: %q does not stand in the demo client", c.why, c.old)
			}
			return strings.Replace(s, c.old, c.new, 1)
		})
		word := regexp.MustCompile(`\b` + regexp.QuoteMeta(c.secret) + `\b`)
		if !word.MatchString(judgedAs(t, file, "text", true)) {
			t.Errorf("%s: text does not say %q, so nothing is shown by its absence elsewhere", c.why, c.secret)
		}
		for _, format := range outside {
			if s := judgedAs(t, file, format, true); word.MatchString(s) {
				t.Errorf("%s: %s says %q:\n%s", c.why, format, c.secret, s)
			}
		}
	}
}

// Whatever a client record says, in whatever place, sound or broken, stands in none of these formats.
func TestNothingOfAClientsFileLeaves(t *testing.T) {
	const mark = "Zzyzx"
	value := regexp.MustCompile(`("[^"]*"|[A-Za-z0-9/._+-]+)`)
	n, step := 0, 10
	if full {
		step = 3
	}
	for _, style := range []string{mark, `"` + mark + `"`, "{" + mark + ": " + mark + "}", mark + ": [", "98765.4321"} {
		for i := 1; i < 140; i += step + n%3 { // other lines and words from style to style
			file := client(t, func(s string) string {
				all := strings.Split(s, "\n")
				if i >= len(all) {
					return mark
				}
				words := value.FindAllStringIndex(all[i], -1)
				if len(words) == 0 {
					return mark
				}
				w := words[n%len(words)]
				all[i] = all[i][:w[0]] + style + all[i][w[1]:]
				return strings.Join(all, "\n")
			})
			n++
			format := outside[n%len(outside)]
			if s := judgedAs(t, file, format, false); strings.Contains(s, mark) || strings.Contains(s, "98765") || strings.Contains(s, "Quill") {
				t.Errorf("line %d as %s, %s:\n%s", i+1, style, format, s)
			}
		}
	}
	if n < 450/step {
		t.Errorf("only %d records judged", n)
	}
}
