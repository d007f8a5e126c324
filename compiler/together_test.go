package compiler

import (
	"slices"
	"strings"
	"testing"
	"time"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// jointly is the rules that refuse something in several protocols together, each with its verdict.
func jointly(fs []finding.Finding) []string {
	return rejecting(slices.DeleteFunc(slices.Clone(fs), func(f finding.Finding) bool { return !strings.Contains(f.Message, " together: ") }))
}

// What standard protocols make together, one a row.
func TestStandardProtocolsTogether(t *testing.T) {
	c := engine(t)
	for _, row := range []struct {
		why  string
		ids  []string
		want []string // the rejections
	}{
		{"each modality once is no sum", []string{"handgrip-alternating", "wall-squat-home", "inspiratory-strength", "slow-breathing-even", "walking-start", "strength-home"}, nil},
		{"two kinds of slow breathing stay within a day's minutes", []string{"slow-breathing-even", "slow-breathing-short-pause"}, nil},
		{"two of squeezes", []string{"handgrip-alternating", "handgrip-guideline"}, []string{"grip-days-ceiling unsafe", "grip-load-time unsafe"}},
		{"three of squeezes", []string{"handgrip-alternating", "handgrip-guideline", "handgrip-start"}, []string{"grip-days-ceiling unsafe", "grip-rounds-ceiling unsafe"}},
		{"upkeep beside a course", []string{"handgrip-alternating", "handgrip-maintenance"}, []string{"grip-days-ceiling unsafe", "grip-load-time unsafe"}},
		{"two of loaded breaths", []string{"inspiratory-light-paced", "inspiratory-strength"}, []string{"inspiratory-breaths-day out-of-evidence"}},
	} {
		r, err := c.Compile(demo(t, c, row.ids...))
		if err != nil {
			t.Fatal(err)
		}
		if got := jointly(r.Findings); !slices.Equal(got, row.want) {
			t.Errorf("%s: %v, want %v", row.why, got, row.want)
		}
		if (r.Plan == nil) != (row.want != nil) {
			t.Errorf("%s: a plan %v beside %v", row.why, r.Plan != nil, r.Findings)
		}
		in := demo(t, c, row.ids...)
		if got := jointly(c.Lint(&load.File{Client: in.Client}, now, in.Protocols...)); !slices.Equal(got, row.want) {
			t.Errorf("%s: a record judged with them: %v, want %v", row.why, got, row.want)
		}
	}
}

// A waiver is signed for one value of one protocol: what two make together nobody can sign.
func TestNoWaiverForASum(t *testing.T) {
	c := engine(t)
	policy := c.Reader.Bytes("policy.cue", []byte(`reviewers: ["B"]`))
	const of = `, title: "Ours", revision: 1, modality: "slow-breathing", breath: {inhaleSeconds: 5, exhaleSeconds: 5}, daysPerWeek: 5, sessionsPerDay: 1, weeks: 8, minutesPerSession: `
	f := c.Reader.Bytes("ours.cue", []byte(`"a": {id: "a"`+of+"20}\n"+`"b": {id: "b"`+of+"20}"))
	w, bad := c.NewWaivers(c.Reader.Bytes("waivers.cue", []byte(`waivers: [{protocol: "a", revision: 1, rule: "breath-minutes-session", path: "minutesPerSession", found: 40, reason: "agreed in writing", by: "B", date: "2026-11-01", until: "2027-07-01"}]`)), policy)
	if len(f.Findings)+len(bad) > 0 {
		t.Fatal(f.Findings, bad)
	}
	c.Waivers = w
	in := demo(t, c)
	in.Protocols = []*load.Protocol{&f.Protocols[0], &f.Protocols[1]}
	r, err := c.Compile(in)
	if err != nil || r.Plan != nil || !slices.Equal(jointly(r.Findings), []string{"breath-minutes-session out-of-evidence"}) {
		t.Errorf("%v %v", err, r.Findings)
	}
}

// evening is the demo client with hours in the evening of one day and from the morning of the next on.
func evening(t *testing.T, in Input) Input {
	t.Helper()
	r := *in.Client.Record
	r.Hours = []record.Hours{
		{Days: []time.Weekday{time.Monday}, From: 19 * 60, To: 20 * 60},
		{Days: []time.Weekday{time.Tuesday, time.Thursday, time.Saturday}, From: 7 * 60, To: 20 * 60},
	}
	in.Client = &load.Client{Node: in.Client.Node, Record: &r}
	return in
}

// Rest does not ask which protocol came before: another one that takes the place of the first keeps the gap to its last session,
// within a course and after it.
func TestGapToAnotherProtocol(t *testing.T) {
	c := engine(t)
	first := plan(t, c, evening(t, demo(t, c, "handgrip-alternating")))
	if got := first.Sessions[0].Start.String(); got != "2027-01-04T19:00" {
		t.Fatalf("the first session stands at %s", got)
	}
	over := *first
	over.Sessions = first.Sessions[:1]
	for why, before := range map[string]*record.Plan{"within the course": first, "after the course": &over} {
		in := evening(t, demo(t, c, "handgrip-guideline"))
		in.Start, _ = unit.ParseDate("2027-01-05")
		in.Now, in.Previous = time.Date(2027, 1, 5, 5, 0, 0, 0, time.UTC), before
		next := plan(t, c, in)
		for _, s := range next.Sessions {
			if s.Status == record.Cancelled || s.Start <= first.Sessions[0].Start {
				continue
			}
			if gap := s.Start - first.Sessions[0].Start; gap < 24*60 { // Tuesday at 7 would be twelve hours later
				t.Errorf("%s: a session at %s, %d h after the last one", why, s.Start, gap/60)
			}
			break
		}
	}
}

// A second plan of a client counts with the first where the two are judged again, by dose and by gap; an older sheet of the same
// course does not, nor does a plan of another modality.
func TestTwoPlansOfOneClient(t *testing.T) {
	c := engine(t)
	read := func(in Input) *load.Plan {
		f := c.Reader.Bytes("plan.json", packed(t, c, in))
		if f.Plan == nil {
			t.Fatal(f.Findings)
		}
		return f.Plan
	}
	grip, other := read(demo(t, c, "handgrip-alternating")), read(demo(t, c, "handgrip-guideline"))
	for _, row := range []struct {
		why  string
		with *load.Plan
		want []string
	}{
		{"another protocol of squeezes", other, []string{"grip-days-ceiling unsafe", "grip-gap-floor unsafe", "grip-load-time unsafe"}},
		{"the same sheet", grip, nil},
		{"breathing", read(demo(t, c, "slow-breathing-even")), nil},
	} {
		fs, _ := c.Recall(grip, nil, now, row.with)
		if got := jointly(fs); !slices.Equal(got, row.want) || finding.Rejected(fs) != (row.want != nil) {
			t.Errorf("%s: %v, want %v", row.why, got, row.want)
		}
	}
}

// Walks of two protocols begin near to what the client walks now, both together.
func TestTwoWalksBeginTogether(t *testing.T) {
	c := engine(t)
	steady := `, title: "Walks", revision: 1, modality: "walking", intensity: "light", minutesPerSession: 10, daysPerWeek: 5, sessionsPerDay: 1, weeks: 8`
	f := c.Reader.Bytes("walks.cue", []byte(`"a": {id: "a"`+steady+"}\n"+`"b": {id: "b"`+steady+"}"))
	for n, want := range map[int]bool{1: false, 2: true} {
		in := walker(t, c, 40, "2027-01-02")
		for i := range n {
			in.Protocols = append(in.Protocols, &f.Protocols[i])
		}
		r, err := c.Compile(in)
		if err != nil {
			t.Fatal(err)
		}
		if got := slices.ContainsFunc(r.Findings, func(f finding.Finding) bool { return f.Rule == "walking-start-step" && f.Rejects() }); got != want {
			t.Errorf("%d walks of 50 min a week after 40: refused %v, want %v; %v", n, got, want, r.Findings)
		}
	}
}

// A clinic's own limit on a day, on a sitting or on the amount of one is held over several protocols too.
func TestClinicLimitsOverProtocols(t *testing.T) {
	c := engine(t)
	own := func(about, value, at, limit, pass, fail, of string) string {
		return `rules: "clinic-ours": {title: "ours", about: "` + about + `", verdict: "unsafe", given: {...}, when: modality: "slow-breathing", limit: ceiling: ` + limit + `, value: given.` + value + `
	must: <=limit.ceiling, at: "` + at + `", message: "found {value}, over {limit.ceiling}", rationale: "Ours, for a test of limits that several protocols must keep.", remedy: "write less for now", sources: ["practice"], since: "v0.1"
	examples: {of: "` + of + `", pass: [{modality: "slow-breathing", ` + pass + `}], fail: [{modality: "slow-breathing", ` + fail + `}]}}`
	}
	for why, policy := range map[string]string{
		"sessions of a day":    own("session", "perDay", "client.hours", "2", "perDay: 2", "perDay: 3", "grip-session"),
		"minutes of a sitting": own("session", "workMinutes", "client.hours", "15", "workMinutes: 15", "workMinutes: 16", "grip-session"),
		"minutes of a session": own("stage", "minutesPerSession", "minutesPerSession", "15", "minutesPerSession: 15", "minutesPerSession: 16", "slow-breathing-even"),
	} {
		judge, bad := c.Under(c.Reader.Bytes("policy.cue", []byte(policy)))
		if len(bad) > 0 {
			t.Fatal(why, bad)
		}
		for _, ids := range [][]string{{"slow-breathing-even"}, {"slow-breathing-short-pause"}, {"slow-breathing-even", "slow-breathing-short-pause"}} {
			r, err := judge.Compile(demo(t, c, ids...))
			if err != nil {
				t.Fatal(err)
			}
			if got, want := jointly(r.Findings), len(ids) == 2; slices.Contains(got, "clinic-ours unsafe") != want || (r.Plan == nil) != want {
				t.Errorf("%s of %v: %v", why, ids, r.Findings)
			}
		}
	}
}
