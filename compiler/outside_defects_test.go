package compiler

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"isocue.example/compiler/internal/testkit"
)

// uncaught are defects that no outside reader refuses, so that nobody but ours would keep them out of a calendar.
var uncaught = []string{"lf-only", "line-of-76", "tzid-undeclared", "tzid-on-utc", "until-local", "status-unknown", "line-empty", "component-none", "class-unknown"}

// refusedTogether are the seeded defects that at least one outside reader refuses.
const refusedTogether = 40

// Of the seeded defects ours refuses every one, each outside reader some; all take the sound calendar.
func TestReadersJudgeDefects(t *testing.T) {
	names, err := filepath.Glob(filepath.Join("calendar", "testdata", "defects", "*.ics"))
	if err != nil || len(names) < 90 {
		t.Fatal(names, err)
	}
	for _, name := range names {
		b, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := testkit.Calendar(b); (err != nil) == (filepath.Base(name) == "sound.ics") {
			t.Errorf("%s: our reader says %v", name, err)
		}
	}
	if !full {
		return // what is above has been held; .ci/run holds the rest
	}
	together := map[string]bool{}
	for _, p := range outside(outsideDir(t)) {
		t.Run(p.name, func(t *testing.T) {
			judged, refused := 0, 0
			for _, l := range p.run(t, append([]string{"judge"}, names...)...) {
				var j struct {
					Calendar string
					Refused  bool
				}
				if err := json.Unmarshal(l, &j); err != nil {
					t.Fatalf("%v: %s", err, l)
				}
				judged++
				if j.Refused {
					refused++
					together[strings.TrimSuffix(filepath.Base(j.Calendar), ".ics")] = true
				}
			}
			if judged != len(names) || refused != p.refuses {
				t.Errorf("%d refused of %d judged, want %d of %d", refused, judged, p.refuses, len(names))
			}
			t.Logf("%s %s: refuses %d of %d seeded defects", p.name, p.version, refused, len(names)-1)
		})
	}
	if together["sound"] {
		t.Error("an outside reader refuses the sound calendar")
	}
	if len(together) != refusedTogether {
		t.Errorf("%d defects are refused by at least one outside reader, want %d", len(together), refusedTogether)
	}
	for _, name := range uncaught {
		if together[name] {
			t.Errorf("%s is refused by an outside reader after all: take it off the list", name)
		}
	}
}
