package compiler

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/progress"
	"isocue.example/compiler/record"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/unit"
)

// narrowed is a judge under a policy that the program accepts, drawn at random: limits of rules that matter here made tighter by a
// little or by much, and options. A limit that the draw would widen stays as it is.
func narrowed(t testing.TB, r *rand.Rand, c *Compiler, concerns func(*rule.Rule) bool) (judge *Compiler, policy string) {
	t.Helper()
	ids := slices.DeleteFunc(c.Check.Base.IDs(), func(id string) bool { x := c.Check.Base.Rule(id); return len(x.Limits) == 0 || !concerns(x) })
	judge = c
	lines := map[string]string{}
	for range 1 + r.IntN(6) {
		x := c.Check.Base.Rule(ids[r.IntN(len(ids))])
		name := x.Limits[r.IntN(len(x.Limits))]
		by := []string{"0.5", "0.9", "0.97", "1.03", "1.1", "2", "4"}[r.IntN(7)]
		value := x.Limit[name].Num.Mul(unit.MustDec(by)).Text(2)
		try := maps.Clone(lines)
		try[x.ID] = fmt.Sprintf("limits: %q: %s: %s\n", x.ID, name, value)
		src := strings.Join(slices.Sorted(maps.Values(try)), "")
		if j, bad := c.Under(c.Reader.Bytes("policy.cue", []byte(src))); !finding.Rejected(bad) {
			judge, policy, lines = j, src, try
		}
	}
	policy += fmt.Sprintf("options: {homeWindow: %q, classes: %q}\n", []string{"all-days", "drop-first-day"}[r.IntN(2)], []string{"acc-aha-2025", "esc-2024", "esh-2023"}[r.IntN(3)])
	judge, bad := c.Under(c.Reader.Bytes("policy.cue", []byte(policy)))
	if finding.Rejected(bad) {
		t.Fatalf("%s: %v", policy, bad)
	}
	return judge, policy
}

// aLog is some weeks of readings around a mean, with what makes rules speak: a first day unlike the rest, a severe sitting, a low one,
// pairs that lie close together, a fast pulse, words, a cell that is not read, days that were not measured.
func aLog(r *rand.Rand) string {
	var b strings.Builder
	b.WriteString("at,systolic,diastolic,pulse,arm,posture,note\n")
	up, down := 96+r.IntN(75), 60+r.IntN(40)
	first, later := r.IntN(60)-30, r.IntN(40)-20
	day := time.Date(2027, 1, 25, 0, 0, 0, 0, time.UTC)
	for d, last := 0, 7+r.IntN(50); d < last; d++ {
		if r.IntN(5) == 0 {
			continue
		}
		u, l := up, down
		switch {
		case d%7 == 0:
			u += first
		case d > last/2:
			u += later
		}
		for _, at := range []string{"07:00", "07:01", "20:00"}[:1+r.IntN(3)] {
			s, w := fmt.Sprint(u+r.IntN(9)-4), fmt.Sprint(min(l+r.IntN(7)-3, u-5))
			pulse, arm, posture, note := fmt.Sprint(60+r.IntN(20)), []string{"left", "left", "left", "right"}[r.IntN(4)], "", ""
			switch r.IntN(40) {
			case 0:
				s, w = "205", "118"
			case 1:
				s, w = "92", "61"
			case 2:
				w = fmt.Sprint(u - 18 - r.IntN(30))
			case 3:
				pulse = []string{"31", "104", "128", "145"}[r.IntN(4)]
			case 4:
				note = []string{"dizzy", "chest pain", "new pills", "hand hurts"}[r.IntN(4)]
			case 5:
				s = []string{"", "20.5", "about 190", "18O"}[r.IntN(4)]
			case 6:
				posture = "standing"
			}
			fmt.Fprintf(&b, "%sT%s,%s,%s,%s,%s,%s,%s\n", day.AddDate(0, 0, d).Format("2006-01-02"), at, s, w, pulse, arm, posture, note)
		}
	}
	return b.String()
}

// followed is what is told of a log, read and judged by one judge.
func followed(t testing.TB, c *Compiler, cl *load.Client, src, sessions string, at time.Time) progress.Followed {
	t.Helper()
	span, err := c.LogSpan(cl.Record, at)
	if err != nil {
		t.Fatal(err)
	}
	l, err := load.PressureLog("log.csv", []byte(src), span)
	if err != nil {
		t.Fatalf("%s: %v", src, err)
	}
	in := Following{Client: cl, Log: l, Now: at, Modalities: record.Modalities}
	if sessions != "" {
		if in.Sessions, err = load.SessionLog("sessions.csv", []byte(sessions), span); err != nil {
			t.Fatalf("%s: %v", sessions, err)
		}
	}
	return c.Follow(in)
}

// milder is the alerts of one judgement for which another has none that is as urgent, closes as much and is as new, by the same rule
// or one that may silence it.
func milder(c *Compiler, base, now []progress.Tell) (out []string) {
	for _, b := range base {
		if !slices.ContainsFunc(now, func(x progress.Tell) bool {
			closes := !slices.ContainsFunc(b.Closed, func(m record.Modality) bool { return !slices.Contains(x.Closed, m) })
			newer := x.Rule != b.Rule || x.On >= b.On && (x.On > b.On || x.Times >= b.Times)
			return progress.Urgency(x) <= progress.Urgency(b) && closes && newer && c.Check.Base.Covers(x.Rule, b.Rule)
		}) {
			out = append(out, fmt.Sprintf("%s on %s, %s %s, closing %v: %s", b.Rule, b.On, b.Who, b.HowSoon, b.Closed, b.Why))
		}
	}
	return out
}

// alertLaw: no limit, option or rule of a clinic makes an alert of the base milder, later or absent.
func alertLaw(t *testing.T, c *Compiler, seed uint64) {
	t.Helper()
	r := rand.New(rand.NewPCG(seed, 2))
	judge, policy := narrowed(t, r, c, func(x *rule.Rule) bool { return x.About == "log" || x.About == "measurement" })
	cl := tomas(t, c, [](func(string) string){nil, func(s string) string { return strings.Replace(s, `pregnancy: "no"`, `pregnancy: "yes"`, 1) },
		func(s string) string {
			return strings.Replace(s, "[pressure, handgrip]", "[alert-in-log, handgrip]", 1)
		}}[r.IntN(3)])
	src, at := aLog(r), time.Date(2027, 3, 29, 8, 0, 0, 0, time.UTC).AddDate(0, 0, -r.IntN(60))
	sessions := []string{"", "at,outcome,symptoms\n2027-02-01T07:00,completed,\n2027-02-03T07:00,stopped,dizzy\n2027-02-05T07:00,stopped,\n"}[r.IntN(2)]
	base, now := followed(t, c, cl, src, sessions, at), followed(t, judge, cl, src, sessions, at)
	if m := milder(c, base.Tells, now.Tells); len(m) > 0 {
		t.Errorf("seed %d: milder, later or absent: %q\nunder\n%s\n%s", seed, m, policy, src)
	}
	if (base.Closing() != nil) && (now.Closing() == nil || now.Next.Step != progress.Wait) {
		t.Errorf("seed %d: no longer closed", seed)
	}
}

// aRecord is the invented client with a few fields that the rules mostly refuse.
func aRecord(t testing.TB, r *rand.Rand) string {
	src := string(file(t, "../testdata/demo/client.yaml"))
	num := func(n ...string) string { return n[r.IntN(len(n))] }
	for range 1 + r.IntN(3) {
		switch r.IntN(9) {
		case 0:
			src = readings([3]string{num("96", "118", "146", "165", "185", "205"), num("58", "84", "101", "121"), num("36", "48", "68", "104", "130")}, r.IntN(4), [3]string{num("138", "190"), num("84", "118"), "70"})(src)
		case 1:
			q := num("ill-now", "pregnancy", "palpitations", "carpal-tunnel", "glaucoma", "hernia")
			src = strings.Replace(src, q+`: "no"`, q+`: "yes"`, 1)
		case 2:
			src = strings.Replace(src, "born: 19", "born: "+num("19", "20"), 1)
		case 3:
			src = strings.Replace(src, "medicines: []", "medicines: [{class: "+num("beta-blocker", "thiazide", "anticoagulant")+", changed: "+num("2026-12-30", "2026-01-05")+"}, {class: "+num("beta-blocker", "statin", "ace-inhibitor")+", changed: 2025-01-01}]", 1)
			src = strings.Replace(src, "clearances: []", "clearances: [{for: [thiazide, handgrip], by: \"R. Okafor\", role: physician, date: 2027-01-02, until: 2027-01-20}, {for: [thiazide, handgrip], by: \"R. Okafor\", role: "+num("physician", "yoga-teacher")+", date: 2027-01-02, until: 2027-06-30}]", 1)
		case 4:
			src = strings.Replace(src, "step: 0.5", "step: "+num("5", "12", "0.5"), 1)
		case 5:
			src = strings.Replace(src, "trials: [38.5", "trials: ["+num("12", "90", "250", "38.5"), 1)
		case 6:
			src = strings.Replace(src, "date: 2027-01-02", "date: "+num("2026-06-01", "2026-11-20", "2027-01-02"), 1+r.IntN(4))
		case 7:
			src = strings.Replace(src, `: "no"`, `: "`+num("yes", "unanswered")+`"`, 1+r.IntN(3))
		case 8:
			src = strings.Replace(src, "conditions: []", "conditions: [{code: "+num("surgery-lately", "stroke-past", "heart-attack-lately", "hand-hurt")+", side: right, since: "+num("2026-12-20", "2025-01-01")+"}, {code: "+num("surgery-lately", "ill-now")+", since: 2026-11-01, until: 2026-12-01}]", 1)
		}
	}
	return src
}

// recordLaw: what the base refuses about a record stays refused under a clinic's limits and options, alone and for protocols.
func recordLaw(t *testing.T, c *Compiler, seed uint64) {
	t.Helper()
	r := rand.New(rand.NewPCG(seed, 3))
	judge, policy := narrowed(t, r, c, func(x *rule.Rule) bool { return x.About != "log" })
	src, name := aRecord(t, r), []string{"heron-07.yaml", "Heron-07.YAML", "policy.yml", "x (1).yaml"}[r.IntN(4)]
	var ps []*load.Protocol
	for _, i := range r.Perm(len(standards))[:1+r.IntN(2)] {
		if f := c.Standard(standards[i]); !finding.Rejected(judge.Lint(f, time.Date(2027, 1, 3, 9, 0, 0, 0, time.UTC))) { // what the clinic refuses has no loads
			ps = append(ps, &f.Protocols[0])
		}
	}
	at := time.Date(2027, 1, 3+r.IntN(3), 9, 0, 0, 0, time.UTC)
	base, fs := c.Lint(c.Reader.Bytes("heron-07.yaml", []byte(src)), at, ps...), judge.Lint(c.Reader.Bytes(name, []byte(src)), at, ps...)
	if h := hidden(base, fs, nil); len(h) > 0 {
		t.Errorf("seed %d: let through %q\nunder\n%s\nof\n%s", seed, h, policy, src)
	}
	slices.Reverse(ps)
	if h := hidden(fs, judge.Lint(c.Reader.Bytes(name, []byte(src)), at, ps...), nil); len(h) > 0 {
		t.Errorf("seed %d: in another order of protocols let through %q", seed, h)
	}
}

var standards = []string{"handgrip-alternating", "handgrip-start", "slow-breathing-even", "inspiratory-strength", "wall-squat-home", "strength-home", "walking-start"}

// Ways in which a clinic's own count once took an alert away: the alert of the base stays, and says whose count it is.
func TestClinicsCountHidesNoAlert(t *testing.T) {
	c := engine(t)
	at := time.Date(2027, 2, 8, 8, 0, 0, 0, time.UTC)
	for _, row := range []struct{ why, policy, log, want, says string }{
		{"the first day counts, and is lower", `options: homeWindow: "all-days"`, logHead + strings.Replace(days("2027-01-31", 147, 84), "147", "118", 4), "log-mean-high-systolic", "147 mmHg systolic, allowed: under 145 mmHg; so the rule base alone counts"},
		{"pairs that lie closer than the clinic's limit are readings still", `limits: "pressure-difference-floor": floor: 60`, logHead + days("2027-02-01", 150, 95), "log-mean-high-systolic", "150 mmHg"},
		{"a limit of the clinic's own is heard by itself", `limits: "log-mean-high-systolic": below: 130`, logHead + days("2027-02-01", 132, 80), "log-mean-high-systolic", "allowed: under 130 mmHg"},
	} {
		judge, bad := c.Under(c.Reader.Bytes("policy.cue", []byte(row.policy)))
		if finding.Rejected(bad) {
			t.Fatal(row.why, bad)
		}
		f := followed(t, judge, tomas(t, c, nil), row.log, "", at)
		if !slices.ContainsFunc(f.Tells, func(x progress.Tell) bool { return x.Rule == row.want && strings.Contains(x.Why, row.says) }) {
			t.Errorf("%s: %+v", row.why, f.Tells)
		}
	}
}
