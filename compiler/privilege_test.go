package compiler

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/internal/testkit"
	"isocue.example/compiler/rule"
)

// told is one rejection, known by rule, place and value.
func told(f finding.Finding) string { return f.Rule + " at " + f.Path + " found " + f.Found }

// underClinic judges one protocol as a clinic judges it; a policy or waivers that are refused are not in force, and the run is refused.
func underClinic(c *Compiler, name, protocol, policy, waivers string, now time.Time) (fs []finding.Finding, refused bool) {
	p := c.Reader.Bytes("policy.cue", []byte(policy))
	judge, bad := c.Under(p)
	if finding.Rejected(bad) {
		return bad, true
	}
	if waivers != "" {
		w, bad := judge.NewWaivers(c.Reader.Bytes("waivers.cue", []byte(waivers)), p)
		if finding.Rejected(bad) {
			return bad, true
		}
		judge.Waivers = w
	}
	fs = judge.Lint(c.Reader.Bytes(name, []byte(protocol)), now)
	return fs, finding.Rejected(fs)
}

// hidden is what the base alone rejects and a judgement lets through: neither rejected by the same rule at the same place with the same
// value, nor covered by such a rejection at least as grave, nor accepted by a waiver that names just it.
func hidden(base, now []finding.Finding, signed []string) (out []string) {
	var all func(fs []finding.Finding, open bool) map[string]bool
	all = func(fs []finding.Finding, open bool) map[string]bool {
		m := map[string]bool{}
		for _, f := range fs {
			if open || f.Rejects() {
				m[told(f)] = true
				for k := range all(f.Covers, true) {
					m[k] = true
				}
			}
		}
		return m
	}
	have := all(now, false)
	var walk func(fs []finding.Finding)
	walk = func(fs []finding.Finding) {
		for _, f := range fs {
			if f.Rejects() && !have[told(f)] && !slices.Contains(signed, told(f)) {
				out = append(out, told(f))
			}
			walk(f.Covers)
		}
	}
	walk(base)
	return out
}

// bent is a standard protocol with fields that the rules mostly refuse.
func bent(r *rand.Rand) string {
	pick := func(xs ...string) string { return xs[r.IntN(len(xs))] }
	ramp := pick("", `, ramp: [{weeks: 1, load: fraction: 0.10}]`, `, ramp: [{weeks: 2, holdSeconds: 138}, {weeks: 1, rounds: 20}]`, `, ramp: [{weeks: 3, load: fraction: 0.75}]`)
	if r.IntN(3) == 0 {
		return fmt.Sprintf(`id: "ours", title: %q, revision: 1, modality: "inspiratory", load: fraction: %s, sets: %s, breathsPerSet: 6, restSeconds: %s, sessionsPerDay: %s, daysPerWeek: %s, weeks: %s`,
			pick("Ours", "Stop your pills"), pick("0.10", "0.55", "0.75", "0.95"), pick("5", "20"), pick("60", "5"), pick("1", "4"), pick("6", "7"), pick("1", "6", "40"))
	}
	return fmt.Sprintf(`id: "ours", title: %q, revision: 1, modality: "handgrip", load: fraction: %s, holdSeconds: %s, restSeconds: %s, rounds: %s, hands: %q, daysPerWeek: %s, sessionsPerDay: %s, weeks: %s%s`,
		pick("Ours", "Heals high pressure"), pick("0.05", "0.20", "0.30", "0.61", "0.90"), pick("10", "120", "180", "240"), pick("10", "60", "240"), pick("1", "4", "7", "12"),
		pick("alternate", "together", "left"), pick("1", "3", "7"), pick("1", "3"), pick("1", "8", "30"), ramp)
}

// clinics makes a policy and waivers that try what a clinic may and may not do, and says which findings a waiver names.
func clinics(r *rand.Rand, c *Compiler, base []finding.Finding) (policy, waivers string, signed []string) {
	ids := c.Check.Base.IDs()
	var b strings.Builder
	b.WriteString("reviewers: [\"B. Reviewer\"]\n")
	for range r.IntN(4) {
		x := c.Check.Base.Rule(ids[r.IntN(len(ids))])
		if len(x.Limits) == 0 {
			continue
		}
		name := x.Limits[r.IntN(len(x.Limits))]
		fmt.Fprintf(&b, "limits: %q: %s: %s\n", x.ID, name, []string{x.Limit[name].Raw, "0", "1", "1000000", "-5", "0.4"}[r.IntN(6)])
	}
	if r.IntN(2) == 0 {
		milder := ""
		if r.IntN(2) == 0 {
			milder = fmt.Sprintf("milder: [%q]", ids[r.IntN(len(ids))])
		}
		fmt.Fprintf(&b, `rules: "clinic-ours": {title: "ours", about: "stage", verdict: %q, given: {...}, when: modality: "handgrip", limit: ceiling: 0.01, value: given.load.fraction
	must: <=limit.ceiling, at: "load.fraction", message: "load is {value}, over {limit.ceiling}", rationale: "Ours, for a test of who may silence whom in a judgement.", remedy: "write less", sources: ["practice"], since: "v0.1"
	%s, examples: {of: "handgrip-alternating", pass: [{load: fraction: 0.01}], fail: [{load: fraction: 0.02}]}}
`, []string{"unsafe", "out-of-evidence", "caution"}[r.IntN(3)], milder)
	}
	if r.IntN(3) == 0 {
		fmt.Fprintf(&b, "options: homeWindow: %q\n", []string{"all-days", "drop-first-day"}[r.IntN(2)])
	}
	for _, f := range base {
		if f.Verdict != finding.OutOfEvidence || r.IntN(2) == 0 || f.Path == "" || f.Found == "" {
			continue
		}
		found := f.Found
		if r.IntN(4) == 0 {
			found = "16.1"
		}
		if _, err := fmt.Sscanf(found, "%f", new(float64)); err != nil {
			found = fmt.Sprintf("%q", found)
		}
		waivers += fmt.Sprintf(`{protocol: "ours", revision: 1, rule: %q, path: %q, found: %s, reason: "agreed with the physician in writing", by: "B. Reviewer", date: "2026-11-01", until: "2027-07-01"},`+"\n", f.Rule, f.Path, found)
		signed = append(signed, f.Rule+" at "+f.Path+" found "+strings.Trim(found, `"`))
	}
	if waivers != "" {
		waivers = "waivers: [" + waivers + "]\n"
	}
	return b.String(), waivers, signed
}

// privilegeLaw: no policy, clinic rule, waiver or file name turns a rejection of the base into less than a rejection.
func privilegeLaw(t *testing.T, c *Compiler, seed uint64) {
	t.Helper()
	r := rand.New(rand.NewPCG(seed, 1))
	now := time.Date(2027, 1, 3, 9, 0, 0, 0, time.UTC)
	protocol := bent(r)
	base := c.Lint(c.Reader.Bytes("ours.cue", []byte(protocol)), now)
	policy, waivers, signed := clinics(r, c, base)
	name := []string{"ours.cue", "policy.cue", "accepted.cue", "handgrip-alternating.cue", "OURS.CUE"}[r.IntN(5)]
	fs, refused := underClinic(c, name, protocol, policy, waivers, now)
	if h := hidden(base, fs, signed); len(h) > 0 && !(refused && slices.ContainsFunc(fs, func(f finding.Finding) bool { return f.Rule == PolicyRule || f.Rule == WaiverRule })) {
		t.Errorf("seed %d: let through %q\n%s\nunder\n%s%s", seed, h, protocol, policy, waivers)
	}
}

func FuzzPrivilege(f *testing.F) {
	c := engine(f)
	for i := range uint64(20) {
		f.Add(i)
	}
	f.Fuzz(func(t *testing.T, seed uint64) {
		privilegeLaw(t, c, seed)
		recordLaw(t, c, seed)
		alertLaw(t, c, seed)
	})
}

func TestNobodyHidesARejection(t *testing.T) {
	c := engine(t)
	for seed := range uint64(100) {
		privilegeLaw(t, c, seed)
	}
	for seed := range uint64(60) {
		recordLaw(t, c, seed)
		alertLaw(t, c, seed)
	}
}

// Who may overrule whom, a row for each cell that this package decides.
func TestPrivileges(t *testing.T) {
	c := engine(t)
	now := time.Date(2027, 1, 3, 9, 0, 0, 0, time.UTC)
	const hard = `id: "ours", title: "Ours", revision: 1, modality: "handgrip", load: fraction: 0.90, holdSeconds: 120, restSeconds: 240, rounds: 4, hands: "alternate", daysPerWeek: 3, sessionsPerDay: 1, weeks: 8`
	own := func(more string) string {
		return `rules: "clinic-ours": {title: "ours", about: "stage", verdict: "caution", given: {...}, when: modality: "handgrip", limit: ceiling: 0.01, value: given.load.fraction
	must: <=limit.ceiling, at: "load.fraction", message: "load is {value}", rationale: "Ours, for a test of who may silence whom in a judgement.", remedy: "write less", sources: ["practice"], since: "v0.1"
	` + more + `, examples: {of: "handgrip-alternating", pass: [{load: fraction: 0.01}], fail: [{load: fraction: 0.02}]}}`
	}
	for _, row := range []struct{ why, policy, waivers, want string }{
		{"the base alone", `reviewers: ["B"]`, ``, "grip-load-ceiling"},
		{"a clinic's rule adds a finding, and the base's stays", own(""), ``, "grip-load-ceiling"},
		{"a clinic's rule has no milder", own(`milder: ["grip-load-ceiling"]`), ``, "a clinic's own rule silences nothing"},
		{"not even of a rule that does not exist", own(`milder: ["no-such-rule"]`), ``, "a clinic's own rule silences nothing"},
		{"a clinic does not rewrite a rule of the base", `rules: "grip-load-ceiling": {}`, ``, "rule grip-load-ceiling: a policy cannot change a rule of the base"},
		{"a limit is not widened", `limits: "grip-load-ceiling": ceiling: 0.95`, ``, "is widened to 0.95"},
		{"unsafe is not waived", `reviewers: ["B"]`, `waivers: [{protocol: "ours", revision: 1, rule: "grip-load-ceiling", path: "load.fraction", found: 0.90, reason: "agreed in writing", by: "B", date: "2026-11-01", until: "2027-07-01"}]`, "which is unsafe, allowed: a rule that is out-of-evidence"},
	} {
		fs, refused := underClinic(c, "ours.cue", hard, row.policy, row.waivers, now)
		if !refused || !slices.ContainsFunc(fs, func(f finding.Finding) bool { return f.Rejects() && strings.Contains(f.Rule+": "+f.Message, row.want) }) {
			t.Errorf("%s: refused %v, want %q in %v", row.why, refused, row.want, fs)
		}
	}
}

// A waiver forgives the value that it names and no other, nor what its finding stood in for.
func TestWaiverForgivesOneValue(t *testing.T) {
	c := engine(t)
	now := time.Date(2027, 1, 3, 9, 0, 0, 0, time.UTC)
	const two = `id: "ours", title: "Ours", revision: 1, modality: "handgrip", load: fraction: 0.20, holdSeconds: 180, restSeconds: 240, rounds: 7, hands: "alternate", daysPerWeek: 3, sessionsPerDay: 1, weeks: 8, ramp: [{weeks: 1, holdSeconds: 138}]`
	sign := func(found string) string {
		return `waivers: [{protocol: "ours", revision: 1, rule: "grip-tension-ceiling", path: "rounds", found: ` + found + `, reason: "agreed in writing", by: "B", date: "2026-11-01", until: "2027-07-01"}]`
	}
	for _, found := range []string{"16.1", "21"} { // each stage's own
		fs, refused := underClinic(c, "ours.cue", two, `reviewers: ["B"]`, sign(found), now)
		waived := 0
		for _, f := range fs {
			if f.Waiver.Signed() {
				waived++
			}
		}
		if !refused || waived != 1 {
			t.Errorf("found %s: refused %v, %d waived", found, refused, waived)
		}
	}
}

// What a finding stood in for comes back when it is waived, and asks for a waiver of its own.
func TestWaiverUncovers(t *testing.T) {
	c := engine(t)
	p := c.Reader.Bytes("policy.cue", []byte(`reviewers: ["B"]`))
	one := func(rule, path, found string) string {
		return `{protocol: "ours", revision: 1, rule: "` + rule + `", path: "` + path + `", found: ` + found + `, reason: "agreed in writing", by: "B", date: "2026-11-01", until: "2027-07-01"}`
	}
	over := finding.Finding{Rule: "grip-tension-ceiling", Verdict: finding.OutOfEvidence, Path: "rounds", Found: "21", Protocol: "ours", Revision: 1}
	under := over
	under.Rule, under.Found = "course-under", "7"
	over.Covers = []finding.Finding{under}
	w, bad := c.NewWaivers(c.Reader.Bytes("waivers.cue", []byte("waivers: ["+one(over.Rule, over.Path, over.Found)+"]")), p)
	if finding.Rejected(bad) {
		t.Fatal(bad)
	}
	fs := w.apply([]finding.Finding{over}, "ours", testkit.Date(t, "2027-01-04"))
	if len(fs) != 2 || !fs[0].Waiver.Signed() || fs[1].Rule != under.Rule || !fs[1].Rejects() {
		t.Errorf("%v", fs)
	}
}

// The order of the base: made-up rules that would silence a graver or a more urgent one are told.
func TestBaseObeysTheOrder(t *testing.T) {
	r := func(id, about string, v finding.Verdict, who, soon string) *rule.Rule {
		return &rule.Rule{ID: id, About: about, Verdict: v, Tell: rule.Tell{Who: who, HowSoon: soon}}
	}
	soft, hard := r("soft", "log", finding.Caution, "coach", "this week"), r("hard", "log", finding.Unsafe, "prescriber", "today")
	help := r("help", "log", finding.Unsafe, "emergency", "now")
	for _, row := range []struct {
		why      string
		by, over *rule.Rule
		ok       bool
	}{
		{"the graver covers the milder", hard, soft, true}, {"the milder never the graver", soft, hard, false},
		{"the urgent covers the less urgent", help, hard, true}, {"never the other way", hard, help, false},
		{"what never meets", hard, r("x", "stage", finding.Caution, "", ""), false}, {"itself", hard, hard, false}, {"nothing", hard, nil, false},
		{"a clinic's own covers nothing", r("clinic-x", "log", finding.Unsafe, "emergency", "now"), soft, false},
		{"help and the prescriber at once", r("p", "log", finding.Unsafe, "prescriber", "now"), help, false},
	} {
		if err := row.by.MaySilence(row.over); (err == nil) != row.ok {
			t.Errorf("%s: %v", row.why, err)
		}
	}
	if err := engine(t).Check.Base.Check(); err != nil {
		t.Error(err)
	}
}
