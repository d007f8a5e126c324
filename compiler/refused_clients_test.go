package compiler

import (
	"slices"
	"strings"
	"testing"

	"isocue.example/compiler/finding"
)

// An edit of the demo record: what stands there, and what stands there instead, in turns.
type edits []string

// yes answers a question with yes and gives its detail.
func yes(question, detail string) edits {
	return edits{question + `: "no"`, question + `: "yes"`, "conditions: []", "conditions: [{code: " + question + ", " + detail + "}]"}
}

// clearedFor has a physician open a gate for modalities on the day of the screening.
func clearedFor(gate, modalities string) edits {
	return edits{"clearances: []", "clearances: [{for: [" + gate + ", " + modalities + "], by: \"R. Okafor\", role: physician, date: 2027-01-02, until: 2027-06-30}]"}
}

// readings writes every reading of the record anew: upper, lower, pulse; the first n of them as the second three.
func readings(all [3]string, n int, first [3]string) func(string) string {
	return func(src string) string {
		lines, seen := strings.Split(src, "\n"), 0
		for i, l := range lines {
			at, rest, ok := strings.Cut(l, "systolic: ")
			if !ok {
				continue
			}
			x := all
			if seen++; seen <= n {
				x = first
			}
			_, rest, _ = strings.Cut(rest, "setting: ")
			lines[i] = at + "systolic: " + x[0] + ", diastolic: " + x[1] + ", pulse: " + x[2] + ", setting: " + rest
		}
		return strings.Join(lines, "\n")
	}
}

// judgedFor judges the edited record with a protocol, from the day after the last reading.
func judgedFor(t *testing.T, c *Compiler, e edits, pressure func(string) string, id string) *Result {
	t.Helper()
	src := string(file(t, "../testdata/demo/client.yaml"))
	if pressure != nil {
		src = pressure(src)
	}
	for i := 0; i < len(e); i += 2 {
		if !strings.Contains(src, e[i]) {
			t.Fatalf("%q does not stand in the record", e[i])
		}
		src = strings.Replace(src, e[i], e[i+1], 1)
	}
	in := demo(t, c, id)
	if in.Client = c.Reader.Bytes("client.yaml", []byte(src)).Client; in.Client == nil {
		t.Fatal("the record is not read")
	}
	in.Now = now.AddDate(0, 0, 1)
	r, err := c.Compile(in)
	if err != nil {
		t.Fatal(err)
	}
	return &r
}

// Clients who must not train as they stand, each with the neighbour who may: the rule that refuses is the one named, and the
// neighbour has a plan.
func TestClientsWhoMustNotTrain(t *testing.T) {
	c := engine(t)
	for _, x := range refusedClients {
		r := judgedFor(t, c, x.edits, x.pressure, x.with)
		if r.Plan != nil || !slices.ContainsFunc(r.Findings, func(f finding.Finding) bool { return f.Rule == x.rule && f.Rejects() }) {
			t.Errorf("%s: want a refusal by %s, got %v", x.why, x.rule, r.Findings)
		}
		if r := judgedFor(t, c, x.but, x.butPressure, x.with); r.Plan == nil {
			t.Errorf("beside %s: want a plan, got %v", x.why, r.Findings)
		}
	}
}

var refusedClients = []struct {
	why, with, rule string
	edits           edits
	pressure        func(string) string
	but             edits
	butPressure     func(string) string
}{
	{
		why: "a home mean over the line for home, with one clinic reading in the week", with: "handgrip-alternating", rule: "pressure-home-systolic",
		edits: edits{"setting: home", "setting: clinic"}, pressure: readings([3]string{"156", "84", "70"}, 0, [3]string{}),
		but: edits{"setting: home", "setting: clinic"}, butPressure: readings([3]string{"144", "84", "70"}, 0, [3]string{}),
	},
	{
		why: "an operation last week, written before one of years ago", with: "handgrip-alternating", rule: "screening-waits",
		edits: yes("surgery-lately", "since: 2026-12-26}, {code: surgery-lately, since: 2020-01-01"),
		but:   yes("surgery-lately", "since: 2021-12-26}, {code: surgery-lately, since: 2020-01-01"),
	},
	{
		why: "an operation last week with an end before it", with: "handgrip-alternating", rule: "screening-waits",
		edits: yes("surgery-lately", "since: 2026-12-26, until: 2020-01-01"),
		but:   yes("surgery-lately", "since: 2021-12-26, until: 2022-01-01"),
	},
	{
		why: "heart failure that is getting worse", with: "slow-breathing-even", rule: "screening-blocking-answer",
		edits: yes("heart-failure-worse", "since: 2026-12-01"),
		but:   append(yes("heart-failure-stable", "since: 2026-12-01"), clearedFor("heart-failure-stable", "slow-breathing")...),
	},
	{
		why: "blood that is coughed up", with: "slow-breathing-even", rule: "screening-blocking-answer",
		edits: yes("cough-blood", "since: 2026-12-01"),
	},
	{
		why: "a heart attack of some days ago, breathing alone, seen by nobody", with: "slow-breathing-even", rule: "screening-clearance",
		edits: yes("heart-attack-lately", "since: 2026-12-20"),
		but:   append(yes("heart-attack-lately", "since: 2026-12-20"), clearedFor("heart-attack-lately", "slow-breathing")...),
	},
	{
		why: "a clot of some days ago, breathing alone, seen by nobody", with: "slow-breathing-even", rule: "screening-clearance",
		edits: yes("clot-lately", "since: 2026-12-28"),
		but:   append(yes("clot-lately", "since: 2026-12-28"), clearedFor("clot-lately", "slow-breathing")...),
	},
	{
		why: "light-headed on standing up, seen by nobody", with: "slow-breathing-even", rule: "screening-clearance",
		edits: yes("light-headed-standing", "since: 2026-12-01"),
		but:   append(yes("light-headed-standing", "since: 2026-12-01"), clearedFor("light-headed-standing", "slow-breathing")...),
	},
	{
		why: "a stroke of December, cleared as one of long ago", with: "handgrip-alternating", rule: "screening-stroke-recent",
		edits: append(yes("stroke-past", "since: 2026-12-01"), clearedFor("stroke-past", "handgrip")...),
		but:   append(yes("stroke-past", "since: 2026-10-01"), clearedFor("stroke-past", "handgrip")...),
	},
	{
		why: "a stroke of December, and breathing alone", with: "slow-breathing-even", rule: "screening-stroke-recent",
		edits: yes("stroke-past", "since: 2026-12-01"),
		but:   yes("stroke-past", "since: 2026-10-01"),
	},
	{
		why: "a heart attack of December, cleared as one of long ago", with: "walking-start", rule: "screening-heart-recent",
		edits: append(yes("heart-disease-stable", "since: 2026-12-01"), clearedFor("heart-disease-stable", "walking")...),
		but:   append(yes("heart-disease-stable", "since: 2026-10-01"), clearedFor("heart-disease-stable", "walking")...),
	},
	{
		why: "a pacemaker of December, cleared", with: "handgrip-alternating", rule: "screening-pacemaker-recent",
		edits: append(yes("pacemaker", "since: 2026-12-01"), clearedFor("pacemaker", "handgrip")...),
		but:   append(yes("pacemaker", "since: 2026-10-01"), clearedFor("pacemaker", "handgrip")...),
	},
	{
		why: "a sitting under 90, breathing alone", with: "slow-breathing-even", rule: "pressure-systolic-very-low",
		pressure: readings([3]string{"89", "56", "70"}, 0, [3]string{}), butPressure: readings([3]string{"100", "60", "70"}, 0, [3]string{}),
	},
	{
		why: "a week under 100 that ends over it, at sixty-one", with: "handgrip-alternating", rule: "pressure-mean-low",
		edits: edits{"born: 1971", "born: 1966"}, but: edits{"born: 1971", "born: 1966"},
		pressure: readings([3]string{"102", "62", "70"}, 20, [3]string{"96", "58", "70"}), butPressure: readings([3]string{"102", "62", "70"}, 20, [3]string{"100", "58", "70"}),
	},
	{
		why: "a sitting over 180 some days ago that the week's mean hides", with: "handgrip-alternating", rule: "pressure-week-systolic",
		pressure: readings([3]string{"134", "82", "70"}, 3, [3]string{"190", "96", "70"}), butPressure: readings([3]string{"134", "82", "70"}, 3, [3]string{"179", "96", "70"}),
	},
	{
		why: "a sitting over 110 diastolic some days ago", with: "walking-start", rule: "pressure-week-diastolic",
		pressure: readings([3]string{"134", "82", "70"}, 3, [3]string{"150", "112", "70"}), butPressure: readings([3]string{"134", "82", "70"}, 3, [3]string{"150", "109", "70"}),
	},
	{
		why: "a pulse of 36 that nobody has looked at, the pressure cleared", with: "handgrip-alternating", rule: "pulse-floor",
		edits: clearedFor("pressure", "handgrip"), pressure: readings([3]string{"134", "82", "36"}, 0, [3]string{}),
		but: clearedFor("pulse", "handgrip"), butPressure: readings([3]string{"134", "82", "36"}, 0, [3]string{}),
	},
	{
		why: "nobody knows how old", with: "handgrip-alternating", rule: "age-known",
		edits: edits{"born: 1971\n", ""},
	},
	{
		why: "a child who breathes", with: "slow-breathing-even", rule: "age-adult",
		edits: edits{"born: 1971", "born: 2015"}, but: edits{"born: 1971", "born: 2008"},
	},
	{
		why: "a clearance that a trainer gave", with: "handgrip-alternating", rule: "clearance-role",
		edits: append(yes("pacemaker", "since: 2020-12-01"), edits{"clearances: []", "clearances: [{for: [pacemaker, handgrip], by: \"M. Osei\", role: trainer, date: 2027-01-02, until: 2027-06-30}]"}...),
		but:   append(yes("pacemaker", "since: 2020-12-01"), clearedFor("pacemaker", "handgrip")...),
	},
	{
		why: "a pressure of 165 that a trainer cleared", with: "handgrip-alternating", rule: "clearance-role", pressure: readings([3]string{"165", "84", "70"}, 0, [3]string{}),
		edits: edits{"clearances: []", "clearances: [{for: [pressure, handgrip], by: \"M. Osei\", role: Trainer, date: 2027-01-02, until: 2027-06-30}]"},
		but:   clearedFor("pressure", "handgrip"), butPressure: readings([3]string{"165", "84", "70"}, 0, [3]string{}),
	},
	{
		why: "three weeks after birth, 150 some days ago", with: "slow-breathing-even", rule: "pregnancy-week-systolic", pressure: readings([3]string{"124", "78", "70"}, 3, [3]string{"150", "84", "70"}),
		edits: append(yes("pregnancy", "since: 2026-12-10"), clearedFor("pregnancy", "slow-breathing")...),
		but:   append(yes("pregnancy", "since: 2026-12-10"), clearedFor("pregnancy", "slow-breathing")...), butPressure: readings([3]string{"124", "78", "70"}, 3, [3]string{"139", "84", "70"}),
	},
	{
		why: "a sitting over 180 some days ago, breathing alone: a log would close it too", with: "slow-breathing-even", rule: "pressure-week-systolic",
		pressure: readings([3]string{"134", "82", "70"}, 3, [3]string{"206", "96", "70"}), butPressure: readings([3]string{"134", "82", "70"}, 3, [3]string{"206", "96", "70"}),
		but: clearedFor("alert-in-log", "slow-breathing"),
	},
	{
		why: "a sitting over 110 diastolic some days ago, breathing alone", with: "slow-breathing-even", rule: "pressure-week-diastolic",
		pressure: readings([3]string{"134", "82", "70"}, 3, [3]string{"166", "126", "70"}), butPressure: readings([3]string{"134", "82", "70"}, 3, [3]string{"166", "109", "70"}),
	},
	{
		why: "a clearance for pressure opens 160 for effort, and no severe sitting, as in a log", with: "handgrip-alternating", rule: "pressure-week-systolic",
		edits: clearedFor("pressure", "handgrip"), pressure: readings([3]string{"134", "82", "70"}, 3, [3]string{"190", "96", "70"}),
		but: clearedFor("alert-in-log", "handgrip"), butPressure: readings([3]string{"134", "82", "70"}, 3, [3]string{"190", "96", "70"}),
	},
	{
		why: "a resting pulse over 120 some days ago that the week's mean hides", with: "slow-breathing-even", rule: "pulse-earlier",
		pressure: readings([3]string{"134", "82", "70"}, 3, [3]string{"134", "82", "140"}), butPressure: readings([3]string{"134", "82", "70"}, 3, [3]string{"134", "82", "120"}),
	},
	{
		why: "a sitting over 180 that nobody has cleared since", with: "handgrip-alternating", rule: "pressure-week-systolic",
		pressure: readings([3]string{"134", "82", "70"}, 3, [3]string{"190", "96", "70"}), butPressure: readings([3]string{"134", "82", "70"}, 3, [3]string{"190", "96", "70"}),
		but: clearedFor("alert-in-log", "handgrip"),
	},
}
