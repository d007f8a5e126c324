package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"isocue.example/cmd/isocue/cli"
)

// Ways round the judge that were found once, each as a user types it. Each ends as docs/architecture.md says who may overrule whom: what
// the rule base refuses stays refused, and nothing is passed over in silence. The first row is the neighbour that nobody refuses.
func TestWaysRoundTheJudge(t *testing.T) {
	const (
		clinic = `rules: "clinic-ours": {title: "ours", about: "stage", verdict: "caution", given: {...}, when: modality: "handgrip", limit: ceiling: 0.01, value: given.load.fraction
	must: <=limit.ceiling, at: "load.fraction", message: "load is {value}", rationale: "Ours, which would stand in for every other rule.", remedy: "write less", sources: ["practice"], since: "v0.1"
	milder: ["grip-load-ceiling", "no-such-rule"], examples: {of: "handgrip-alternating", pass: [{load: fraction: 0.01}], fail: [{load: fraction: 0.02}]}}`
		hard   = `id: "ours", title: "Ours", revision: 1, modality: "handgrip", load: fraction: 0.90, holdSeconds: 120, restSeconds: 240, rounds: 4, hands: "alternate", daysPerWeek: 3, sessionsPerDay: 1, weeks: 8`
		bundle = `{"resourceType": "Bundle", "entry": [{"resource": {"resourceType": "Observation", "status": "final", "effectiveDateTime": "2027-01-02T07:30:00Z", "code": {"coding": [{"system": "http://snomed.info/sct", "code": "271649006"}]}, "valueInteger": 205}},
	{"resource": {"resourceType": "Observation", "status": "final", "effectiveDateTime": "2027-01-02T07:30:05Z", "code": {"coding": [{"system": "http://snomed.info/sct", "code": "271650006"}]}, "valueInteger": 118}}]}`
		severe = "at,systolic,diastolic\n2027-01-03T07:00,206,126\n2027-01-03T07:02,205,125\n"
	)
	compile := func(id string, more ...string) []string {
		return append([]string{"compile", id, "--client", "plover-12.yaml", "--start", "2027-01-04", "-o", "out.ics", "--why"}, more...)
	}
	cleared := func(gate, role string) []string {
		return []string{"clearances: []", `clearances: [{for: [` + gate + `, handgrip], by: "R. X", role: ` + role + `, date: 2027-01-02, until: 2027-06-30}]`}
	}
	latest := func(first, second string) []string {
		return []string{"systolic: 137, diastolic: 84, pulse: 71", first, "systolic: 136, diastolic: 83, pulse: 70", second}
	}
	slow := latest("systolic: 137, diastolic: 84, pulse: 38", "systolic: 136, diastolic: 83, pulse: 38")
	high := latest("systolic: 172, diastolic: 104, pulse: 71", "systolic: 172, diastolic: 104, pulse: 70")
	src, err := os.ReadFile(filepath.Join("..", "..", "testdata", "demo", "client.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range []struct {
		why     string
		edit    []string
		files   map[string]string
		command []string
		want    string // "" for an answer of yes
	}{
		{"nobody refuses", nil, nil, compile("handgrip-alternating"), ""},
		{"a clinic's rule that silences", nil, map[string]string{"ours.cue": hard, "p.cue": clinic}, compile("./ours.cue", "--policy", "p.cue"), "a clinic's own rule silences nothing"},
		{"a folder with a policy of its own", nil, map[string]string{"theirs/ours.cue": hard, "theirs/policy.cue": clinic}, []string{"lint", "theirs"}, "a clinic's own rule silences nothing"},
		{"the same by the base alone", nil, map[string]string{"theirs/ours.cue": hard, "theirs/policy.cue": clinic}, []string{"lint", "theirs", "--policy", "none"}, "[grip-load-ceiling]"},
		{"a severe reading in two Observations", nil, map[string]string{"log.json": bundle}, compile("slow-breathing-even", "--log", "log.json"), "205"},
		{"a log whose ending is in capitals", nil, map[string]string{"plover-12.log.CSV": severe}, []string{"today", ".", "--why"}, "rule: log-gate-diastolic"},
		{"a log in other letters than its record", nil, map[string]string{"Plover-12.log.csv": severe}, []string{"today", ".", "--why"}, "rule: log-gate-diastolic"},
		{"a log named after no record's id", nil, map[string]string{"dara.log.csv": severe}, []string{"today", ".", "--why"}, "dara.log.csv"},
		{"a protocol in capitals", nil, map[string]string{"BAD.CUE": hard}, []string{"lint", "."}, "[grip-load-ceiling]"},
		{"a record under YAML", nil, map[string]string{"lark-03.YAML": "id: lark-03\nmeasured: {}\nborn: x\n"}, []string{"lint", "."}, "lark-03.YAML, line "},
		{"a severe reading of yesterday in the record", []string{`"2027-01-02T20:02", systolic: 138, diastolic: 84`, `"2027-01-02T20:02", systolic: 206, diastolic: 126`, `"2027-01-02T20:00", systolic: 139, diastolic: 85`, `"2027-01-02T20:00", systolic: 206, diastolic: 126`}, nil, compile("slow-breathing-even"), "206"},
		{"two emergency numbers", []string{`emergency: "911"`, `emergency: "112 or 999"`}, nil, compile("slow-breathing-even"), "contacts.emergency"},
		{"a number with a remark", []string{`emergency: "911"`, `emergency: "999 (deaf: 18000)"`}, nil, compile("slow-breathing-even"), "contacts.emergency"},
		{"no number", []string{`emergency: "911"`, `emergency: "none"`}, nil, compile("slow-breathing-even"), "contacts.emergency"},
		{"a placeholder for a name", []string{`by: "M. Osei"`, `by: not yet asked`}, nil, compile("slow-breathing-even"), `"not yet asked"`},
		{"a slow pulse, the pressure cleared", append(slow, cleared("pressure", "physician")...), nil, compile("handgrip-alternating"), "[pulse-floor]"},
		{"172/104, cleared by a yoga teacher", append(high, cleared("pressure", "yoga teacher")...), nil, compile("handgrip-alternating"), "[clearance-role]"},
		{"a floor over its ceiling", nil, map[string]string{"p.cue": `limits: {"grip-load-floor": floor: 0.35, "grip-load-ceiling": ceiling: 0.30}`}, compile("handgrip-alternating", "--policy", "p.cue"), "no load.fraction passes both"},
		{"a reviewer that is a placeholder", nil, map[string]string{"p.cue": `reviewers: ["to be named"]`}, compile("handgrip-alternating", "--policy", "p.cue"), "reviewers[0]"},
	} {
		text := string(src)
		for i := 0; i < len(x.edit); i += 2 {
			if !strings.Contains(text, x.edit[i]) {
				t.Fatalf("%s: %q does not stand in the record", x.why, x.edit[i])
			}
			text = strings.Replace(text, x.edit[i], x.edit[i+1], 1)
		}
		dir := t.TempDir()
		files := map[string]string{"plover-12.yaml": text}
		for name, s := range x.files {
			files[name] = s
		}
		for name, s := range files {
			path := filepath.Join(dir, name)
			if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(path, []byte(s), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		t.Chdir(dir)
		code, out, errw := run(append(x.command, "--now", "2027-01-03T21:00:00Z")...)
		_, wrote := os.Stat("out.ics")
		if x.want == "" {
			if code != cli.ExitOK || wrote != nil {
				t.Errorf("%s: exit %d\n%s%s", x.why, code, out, errw)
			}
		} else if code == cli.ExitOK || wrote == nil || !strings.Contains(out+errw, x.want) {
			t.Errorf("%s: exit %d, want %q\n%s%s", x.why, code, x.want, out, errw)
		}
	}
}
