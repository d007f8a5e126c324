package compiler

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"isocue.example/compiler/check"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/report/plans"
	"isocue.example/compiler/unit"
)

// packed is a plan as it lies in a pack.
func packed(t testing.TB, c *Compiler, in Input) []byte {
	t.Helper()
	p := plan(t, c, in)
	var b bytes.Buffer
	if err := plans.JSON(&b, p); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// Laws of a plan in a pack: what is read again is what was written, to the byte; judged again by the rules that made it, it is
// not refused, with the client's record or without; judged by tighter ones, it is.
func TestPlanIsJudgedAgain(t *testing.T) {
	c := engine(t)
	for _, ids := range [][]string{{"handgrip-alternating"}, {"handgrip-guideline"}, {"handgrip-start"}, {"slow-breathing-even"}, {"slow-breathing-short-pause"},
		{"inspiratory-strength"}, {"inspiratory-light-paced"}, {"wall-squat-home"}, {"handgrip-alternating", "slow-breathing-even"}} {
		in := demo(t, c, ids...)
		src := packed(t, c, in)
		f := c.Reader.Bytes("pack/plan.json", src)
		if f.Kind != load.IsPlan || f.Plan == nil || len(f.Findings) > 0 || len(f.Plan.Protocols) != len(ids) {
			t.Fatalf("%v: %v", ids, f.Findings)
		}
		var again bytes.Buffer
		if err := plans.JSON(&again, f.Plan.Record); err != nil || !bytes.Equal(again.Bytes(), src) {
			t.Errorf("%v: read and written again it is another plan (%v)", ids, err)
		}
		var last unit.Date
		for _, s := range f.Plan.Record.Sessions {
			last = max(last, s.Start.Date())
		}
		for _, cl := range []*load.Client{nil, in.Client} {
			fs, until := c.Recall(f.Plan, cl, now)
			if finding.Rejected(fs) || until != last {
				t.Errorf("%v: until %s, want %s; %v", ids, until, last, fs)
			}
		}
		if fs, until := c.Recall(f.Plan, nil, last.Time().AddDate(0, 0, 2)); len(fs) > 0 || until != last {
			t.Errorf("%v: a course that is over is judged: %v", ids, fs)
		}
	}
}

// Each way in which a plan can be refused later is found: a stage, a protocol, a load as it was set, a session as it stands, the
// plan as a whole. A waiver that stood then counts on its days alone.
func TestRecallFindsWhatIsRefusedNow(t *testing.T) {
	c := engine(t)
	for _, row := range []struct{ why, protocol, policy, rule string }{
		{"a stage", "handgrip-alternating", `limits: "grip-load-ceiling": ceiling: 0.25`, "grip-load-ceiling"},
		{"a protocol", "handgrip-alternating", `limits: "grip-weeks-ceiling": ceiling: 6`, "grip-weeks-ceiling"},
		{"a load as it was set: 10.5 of 36 kgf is 0.29", "handgrip-alternating", `limits: "grip-share-floor": floor: 0.295`, "grip-share-floor"},
		{"sessions as they stand: 24 h apart", "wall-squat-home", `limits: "squat-gap-floor": floor: 100`, "squat-gap-floor"},
		{"the plan as a whole", "slow-breathing-even", `limits: "plan-minutes-day": ceiling: 5`, "plan-minutes-day"},
	} {
		f := c.Reader.Bytes("pack/plan.json", packed(t, c, demo(t, c, row.protocol)))
		strict, bad := c.Under(c.Reader.Bytes("policy.cue", []byte(row.policy)))
		if len(bad) > 0 {
			t.Fatalf("%s: %v", row.why, bad)
		}
		fs, _ := strict.Recall(f.Plan, nil, now)
		found := false
		for _, x := range fs {
			found = found || x.Rule == row.rule
		}
		if !found {
			t.Errorf("%s: %s is not found: %v", row.why, row.rule, fs)
		}
	}
	in := demo(t, c)
	odd := strings.NewReplacer("weeks:          8", "weeks: 30", `"handgrip-alternating"`, `"odd"`).Replace(string(c.Standard("handgrip-alternating").Source))
	o := c.Reader.Bytes("odd.cue", []byte(odd))
	in.Protocols = []*load.Protocol{&o.Protocols[0]}
	policy := c.Reader.Bytes("policy.cue", []byte(`reviewers: ["B. Reviewer"]`))
	w, bad := c.NewWaivers(c.Reader.Bytes("waivers.cue", []byte(`waivers: [{protocol: "odd", revision: 1, rule: "grip-weeks-ceiling", path: "weeks", found: 30, reason: "upkeep agreed with the physician", by: "B. Reviewer", date: "2026-11-01", until: "2027-01-20"}]`)), policy)
	if len(bad) > 0 {
		t.Fatal(bad)
	}
	signed := &Compiler{Reader: c.Reader, Check: check.New(c.Check.Base), Waivers: w}
	f := c.Reader.Bytes("pack/plan.json", packed(t, signed, in))
	if fs, _ := signed.Recall(f.Plan, nil, now); finding.Rejected(fs) {
		t.Errorf("under its waiver the plan is refused: %v", fs)
	}
	if fs, until := c.Recall(f.Plan, nil, now); !finding.Rejected(fs) {
		t.Errorf("without its waiver the plan is not refused: %v until %s", fs, until)
	}
}

// Whatever stands in a plan, reading it and judging it again ends in findings: each line is taken out, each number replaced; in the
// quick check in every fourth line.
func TestBrokenPlansEndInFindings(t *testing.T) {
	c := engine(t)
	src := string(packed(t, c, demo(t, c, "handgrip-alternating", "inspiratory-strength", "wall-squat-home")))
	client := demo(t, c).Client
	judged, refused := 0, 0
	judge := func(text string) {
		f := c.Reader.Bytes("plan.json", []byte(text))
		if f.Plan == nil {
			if !finding.Rejected(f.Findings) {
				t.Fatalf("neither read nor refused: %s", text)
			}
			refused++
			return
		}
		judged++
		c.Recall(f.Plan, nil, now)
		c.Recall(f.Plan, client, time.Time{})
	}
	lines := strings.SplitAfter(src, "\n")
	seen := map[string]bool{} // sessions are much alike: each shape of line once
	shape := regexp.MustCompile(`[0-9a-f-]{8,}|[0-9]+`)
	number := regexp.MustCompile(`-?[0-9]+(\.[0-9]+)?`)
	for i, l := range lines {
		if k := shape.ReplaceAllString(l, "#"); seen[k] {
			continue
		} else {
			seen[k] = true
		}
		if !full && len(seen)%4 > 0 {
			continue
		}
		rest := func(with string) string { return strings.Join(lines[:i], "") + with + strings.Join(lines[i+1:], "") }
		judge(rest(""))
		for _, n := range []string{"0", "-1", "1e6", "99999999999999999999", `"x"`, "null", "[]"} {
			if number.MatchString(l) {
				judge(rest(number.ReplaceAllString(l, n)))
			}
		}
	}
	if least := map[bool]int{true: 100, false: 20}[full]; judged < least || refused < least {
		t.Errorf("%d plans judged and %d refused, want both sides", judged, refused)
	}
}

// A plan is known by its content in any layout, at any size that a real one has, and what is wrong with it is said.
func TestPlansAreRead(t *testing.T) {
	c := engine(t)
	var p record.Plan
	if err := json.Unmarshal(packed(t, c, demo(t, c, "slow-breathing-even")), &p); err != nil {
		t.Fatal(err)
	}
	write := func(change func(*record.Plan)) string {
		q := p
		change(&q)
		b, err := json.Marshal(q)
		if err != nil {
			t.Fatal(err)
		}
		return string(b)
	}
	for _, row := range []struct{ why, src, says string }{
		{"on one line", write(func(*record.Plan) {}), ""},
		{"larger than a person's file may be", write(func(*record.Plan) {}) + strings.Repeat(" ", load.MaxBytes), ""},
		{"of a later form", write(func(q *record.Plan) { q.Version = 3 }), "the plan has version 3, allowed: 1 to 2"},
		{"of an earlier form", write(func(q *record.Plan) { q.Version = 1 }), ""},
		{"without protocols", write(func(q *record.Plan) { q.Protocols = nil }), "plan does not carry the protocols"},
		{"with a zone that is none", write(func(q *record.Plan) { q.Zone = "Europe/Lisboa" }), "Europe/Lisboa"},
		{"with a session of no protocol", write(func(q *record.Plan) { q.Protocols = []json.RawMessage{[]byte(`{"id":"x","modality":"handgrip"}`)} }), "which the plan does not carry"},
		{"cut off", write(func(*record.Plan) {})[:900], "not a plan that isocue wrote: "},
		{"with something behind it", write(func(*record.Plan) {}) + "{}", "something stands behind its end"},
	} {
		f := c.Reader.Bytes("plan.json", []byte(row.src))
		if f.Kind != load.IsPlan || (row.says == "") != (f.Plan != nil) {
			t.Errorf("%s: kind %s, %v", row.why, f.Kind, f.Findings)
		}
		if row.says != "" && (len(f.Findings) == 0 || !strings.Contains(f.Findings[0].Message, row.says)) {
			t.Errorf("%s: %v, want %q", row.why, f.Findings, row.says)
		}
	}
	big := filepath.Join(t.TempDir(), "plan.json")
	if err := os.WriteFile(big, []byte(write(func(*record.Plan) {})+strings.Repeat(" ", load.MaxBytes)), 0o600); err != nil {
		t.Fatal(err)
	}
	if f, err := c.Reader.Path(big); err != nil || f.Plan == nil {
		t.Errorf("a large plan is not read from its file: %v", err)
	}
	// A protocol of the plan that today's schema refuses is a reason to call back, not a plan that cannot be read.
	f := c.Reader.Bytes("plan.json", []byte(strings.ReplaceAll(write(func(*record.Plan) {}), `"inhaleSeconds":5,"exhaleSeconds":5}`, `"inhaleSeconds":500,"exhaleSeconds":5}`)))
	if f.Plan == nil {
		t.Fatal(f.Findings)
	}
	if fs, _ := c.Recall(f.Plan, nil, now); !finding.Rejected(fs) {
		t.Errorf("a protocol that the schema refuses is not told: %v", fs)
	}
}
