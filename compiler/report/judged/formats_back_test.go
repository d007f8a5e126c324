package judged

import (
	"encoding/json"
	"encoding/xml"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// place is what every format must tell of a finding.
type place struct {
	rule, file string
	line       int
}

// backs reads the places of findings back from each format, as a reader of that format would.
var backs = map[string]func(testing.TB, []byte) []place{"text": backText, "json": backJSON, "sarif": backSARIF, "github": backGitHub, "junit": backJUnit}

func backText(t testing.TB, b []byte) (out []place) {
	head := regexp.MustCompile(`(?m)^(.*):(\d+):\d+: (?:malformed|unsafe|out-of-evidence|caution): .* \[([a-z0-9-]+)\]$`)
	for _, m := range head.FindAllSubmatch(b, -1) {
		n, _ := strconv.Atoi(string(m[2]))
		out = append(out, place{string(m[3]), string(m[1]), n})
	}
	return out
}

func backJSON(t testing.TB, b []byte) (out []place) {
	var doc struct {
		Findings []struct {
			Rule, File string
			Line       int
		}
	}
	if err := json.Unmarshal(b, &doc); err != nil {
		t.Fatal(err)
	}
	for _, f := range doc.Findings {
		out = append(out, place{f.Rule, f.File, f.Line})
	}
	return out
}

func backSARIF(t testing.TB, b []byte) (out []place) {
	var doc sarifLog
	if err := json.Unmarshal(b, &doc); err != nil {
		t.Fatal(err)
	}
	for _, run := range doc.Runs {
		for _, r := range run.Results {
			at := r.Locations[0].Physical
			u, err := url.Parse(at.Artifact.URI)
			if err != nil || u.IsAbs() || u.Host != "" || strings.HasPrefix(u.Path, "/") {
				t.Fatalf("%q is no relative reference: %v", at.Artifact.URI, err)
			}
			if id := run.Tool.Driver.Rules[r.RuleIndex].ID; id != r.RuleID {
				t.Errorf("the index of %s leads to %s", r.RuleID, id)
			}
			if f := run.Artifacts[*at.Artifact.Index].Location.URI; f != at.Artifact.URI {
				t.Errorf("the index of %s leads to %s", at.Artifact.URI, f)
			}
			out = append(out, place{r.RuleID, u.Path, at.Region.StartLine})
		}
	}
	return out
}

// backGitHub reads workflow commands as GitHub's runner does: actions/runner, src/Runner.Common/ActionCommand.cs.
func backGitHub(t testing.TB, b []byte) (out []place) {
	plain := strings.NewReplacer("%0D", "\r", "%0A", "\n", "%3A", ":", "%2C", ",", "%25", "%")
	for line := range strings.Lines(string(b)) {
		rest, ok := strings.CutPrefix(line, "::")
		if !ok {
			continue
		}
		head, _, ok := strings.Cut(rest, "::")
		_, props, spaced := strings.Cut(head, " ")
		if !ok || !spaced {
			t.Fatalf("no command: %q", line)
		}
		var p place
		for _, kv := range strings.Split(props, ",") {
			k, v, _ := strings.Cut(kv, "=")
			switch v = plain.Replace(v); k {
			case "file":
				p.file = v
			case "line":
				p.line, _ = strconv.Atoi(v)
			case "title":
				p.rule, _, _ = strings.Cut(v, " (")
			}
		}
		out = append(out, p)
	}
	return out
}

func backJUnit(t testing.TB, b []byte) (out []place) {
	var doc junitSuites
	if err := xml.Unmarshal(b, &doc); err != nil {
		t.Fatal(err)
	}
	for _, s := range doc.Suites {
		for _, c := range s.Cases {
			if c.Name != accepted {
				id, _, _ := strings.Cut(c.Name, " at ")
				out = append(out, place{id, c.File, c.Line})
			}
		}
	}
	return out
}
