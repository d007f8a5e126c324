package compiler

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"isocue.example/compiler/finding"
)

// One gate a clearance, and a clinician who may open it. The neighbours are the same record with the right gate or role.
func TestGatesOpenByTheirOwnClearance(t *testing.T) {
	c := engine(t)
	slow := readings([3]string{"134", "84", "38"}, 0, [3]string{})
	high := readings([3]string{"172", "104", "68"}, 0, [3]string{})
	by := func(role string, gate string) edits {
		e := clearedFor(gate, "handgrip")
		return edits{e[0], strings.Replace(e[1], "role: physician", "role: "+role, 1)}
	}
	for _, x := range []struct {
		why      string
		e        edits
		pressure func(string) string
		want     string // "" for none of the rules below
	}{
		{"a slow pulse", nil, slow, "pulse-floor"},
		{"a slow pulse, the pressure cleared", by("physician", "pressure"), slow, "pulse-floor"},
		{"a slow pulse, cleared", by("physician", "pulse"), slow, ""},
		{"a high pressure, the pulse cleared", by("physician", "pulse"), high, "pressure-systolic-clearance"},
		{"a high pressure, cleared by a yoga teacher", by("yoga teacher", "pressure"), high, "clearance-role"},
		{"by a coach", by("Head coach", "pressure"), high, "clearance-role"},
		{"by an eye doctor", by("ophthalmologist", "pressure"), high, "clearance-role"},
		{"by a word that holds a physician", by("physician's wife", "pressure"), high, "clearance-role"},
		{"by a general practitioner, as people write it", by("General-Practitioner", "pressure"), high, ""},
		{"in German", by("Hausärztin", "pressure"), high, ""},
		{"a retina, cleared by an eye doctor", append(yes("eye-bleed-or-surgery", "since: 2020-01-01"), by("ophthalmologist", "eye-bleed-or-surgery")...), nil, ""},
		{"a retina, cleared by a midwife", append(yes("eye-bleed-or-surgery", "since: 2020-01-01"), by("midwife", "eye-bleed-or-surgery")...), nil, "screening-clearance"},
	} {
		r := judgedFor(t, c, x.e, x.pressure, "handgrip-alternating")
		found := func(rules ...string) bool {
			return slices.ContainsFunc(r.Findings, func(f finding.Finding) bool { return f.Rejects() && slices.Contains(rules, f.Rule) })
		}
		if x.want != "" && !found(x.want) || x.want == "" && found("pulse-floor", "pressure-systolic-clearance", "clearance-role", "screening-clearance") {
			t.Errorf("%s: want %q: %v", x.why, x.want, r.Findings)
		}
	}
}

// Whoever may not give a clearance opens no alert of a log either.
func TestRolesOfAlerts(t *testing.T) {
	c := engine(t)
	const log = "at,systolic,diastolic\n2027-01-01T07:30,205,118\n"
	for role, closed := range map[string]bool{"physician": false, "coach": true, "midwife": true} {
		src := string(file(t, "../testdata/demo/client.yaml"))
		e := clearedFor("alert-in-log", "slow-breathing")
		src = strings.Replace(src, e[0], strings.Replace(e[1], "role: physician", "role: "+role, 1), 1)
		by, _ := closedBy(t, c, c.Reader.Bytes("client.yaml", []byte(src)).Client, "log.csv", log, now)
		if len(by) > 0 != closed {
			t.Errorf("%s: closed by %v", role, by)
		}
	}
}

// Limits between which nothing lies are a slip, and are told.
func TestLimitsLeaveSomething(t *testing.T) {
	c := engine(t)
	for _, row := range []struct{ why, policy, want string }{
		{"a floor over its ceiling", `limits: {"grip-load-floor": floor: 0.35, "grip-load-ceiling": ceiling: 0.30}`, "limit floor of grip-load-floor is 0.35, and limit ceiling of grip-load-ceiling is 0.30: no load.fraction passes both"},
		{"a floor over the base's ceiling", `limits: "grip-load-floor": floor: 0.61`, "and limit ceiling of grip-load-ceiling is 0.60"},
		{"a floor on its ceiling leaves that one", `limits: {"grip-load-floor": floor: 0.30, "grip-load-ceiling": ceiling: 0.30}`, ""},
		{"the same of a hold", `limits: "grip-hold-floor": floor: 200`, "and limit ceiling of grip-hold-ceiling is 180"},
	} {
		_, bad := c.Under(c.Reader.Bytes("policy.cue", []byte(row.policy)))
		if told := fmt.Sprint(bad); finding.Rejected(bad) != (row.want != "") || !strings.Contains(told, row.want) {
			t.Errorf("%s: %s", row.why, told)
		}
	}
	if x := c.Check.Base.Contradictions(c.Check.Base.IDs()); len(x) > 0 {
		t.Errorf("the base contradicts itself: %v", x)
	}
}
