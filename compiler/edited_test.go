package compiler

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/report/plans"
	"isocue.example/compiler/unit"
)

// written is a plan as it is written, with a seal that fits.
func writtenPlan(t testing.TB, p *record.Plan) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := plans.JSON(&b, p); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// soundPlan wants nothing to be found in a plan that isocue wrote.
func soundPlan(t *testing.T, c *Compiler, why string, p *record.Plan, in Input) {
	t.Helper()
	if _, fs := c.ReadPlan("plan.json", writtenPlan(t, p), in.Now); len(fs) > 0 {
		t.Errorf("%s: %s: %s", why, fs[0].Path, fs[0].Message)
	}
}

// Law: nothing is found in what isocue wrote: every standard protocol, in every language, and whatever became of the course since,
// moved, paused, measured again, with a protocol more or less, in any order, stopped at last.
func TestWhatIsocueWroteIsNotEdited(t *testing.T) {
	c := engine(t)
	for _, id := range c.StandardIDs() {
		in := demo(t, c, id)
		r, err := c.Compile(in)
		if err != nil || r.Plan == nil {
			continue // the demo client may not train it
		}
		soundPlan(t, c, id, r.Plan, in)
	}
	rnd := rand.New(rand.NewPCG(7, 7))
	sets := [][]string{{"handgrip-alternating"}, {"handgrip-start"}, {"slow-breathing-even"}, {"inspiratory-strength"}, {"wall-squat-home"},
		{"handgrip-alternating", "slow-breathing-even"}, {"handgrip-start", "slow-breathing-short-pause"}, {"walking-start"}, {"strength-basic"}}
	runs, followed := 12, 0
	if full {
		runs = 200
	}
	for run := range runs {
		ids := sets[run%len(sets)]
		if _, ok := missing(c, ids); ok {
			continue
		}
		in := demo(t, c, ids...)
		r, err := c.Compile(in)
		if err != nil || r.Plan == nil {
			continue
		}
		p := r.Plan
		for step := range 4 {
			next := demo(t, c, ids...)
			next.Previous, next.Start, next.Pauses = p, p.Start, p.Pauses
			next.Now = in.Now.AddDate(0, 0, 3+rnd.IntN(12))
			day := unit.DateOf(next.Now)
			switch rnd.IntN(4) {
			case 0:
				next.Pauses = append(next.Pauses, record.Span{From: day + 3, To: day + 3 + unit.Date(rnd.IntN(20))})
			case 1:
				if step == 0 { // before it has begun
					next.Now = in.Now
					next.Start, next.Move = next.Start+unit.Date(rnd.IntN(9)), true
				}
			case 2:
				next.Closed = []record.Span{{From: day + 1, To: day + 2}}
			}
			r, err := c.Compile(next)
			if err != nil || r.Plan == nil {
				break
			}
			followed++
			soundPlan(t, c, fmt.Sprint(ids, run, step), r.Plan, next)
			p, in = r.Plan, next
		}
		if stopped, _, err := c.Stop(p, unit.DateOf(in.Now)+1, in.Now); err == nil {
			soundPlan(t, c, fmt.Sprint(ids, run, "stopped"), stopped, in)
		}
	}
	if followed < runs {
		t.Errorf("%d plans were followed in %d runs", followed, runs)
	}
}

func missing(c *Compiler, ids []string) (string, bool) {
	for _, id := range ids {
		if c.Standard(id) == nil {
			return id, true
		}
	}
	return "", false
}

// eachLoad changes every load of a plan, and the steps that ask for it where both is set: as somebody does who knows what a plan is.
func eachLoad(both bool, change func(d *record.Dose)) func(p *record.Plan) {
	return func(p *record.Plan) {
		for key, k := range p.Kinds {
			for i := range k.Loads {
				d := &k.Loads[i]
				change(d)
				for j := range k.Steps {
					if s := &k.Steps[j]; both && s.Target != nil && s.Hand == d.Hand {
						target, low, high := d.Set, d.Low, d.High
						s.Target = &target
						if s.Low != nil {
							s.Low, s.High = &low, &high
						}
					}
				}
			}
			p.Kinds[key] = k
		}
	}
}

// Whoever edits a plan and knows the seal as well is found by what the plan says of itself.
func TestAForgedPlanContradictsItself(t *testing.T) {
	c := engine(t)
	dec := unit.MustDec
	scale := func(d *record.Dose, by string) {
		d.Set, d.Low, d.High = d.Set.Mul(dec(by)), d.Low.Mul(dec(by)), d.High.Mul(dec(by))
	}
	loaded := []string{"handgrip-alternating", "inspiratory-strength", "wall-squat-home"}
	all := append([]string{"slow-breathing-even"}, loaded...)
	for _, x := range []struct {
		why  string
		of   []string
		edit func(p *record.Plan)
	}{
		{"a load is 0.9 of the maximum", []string{"handgrip-alternating", "inspiratory-strength"}, eachLoad(false, func(d *record.Dose) { d.Set = d.Maximum.Mul(dec("0.9")) })},
		{"a load is twice as high, in loads and steps", loaded[:2], eachLoad(true, func(d *record.Dose) { scale(d, "2") })},
		{"a load is twice as high, and so is its share", loaded[:2], eachLoad(true, func(d *record.Dose) { scale(d, "2"); d.Share = d.Set.Quo(d.Maximum) })},
		{"and what was wanted", loaded[:2], eachLoad(true, func(d *record.Dose) { scale(d, "2"); d.Share, d.Wanted = d.Set.Quo(d.Maximum), d.Wanted.Mul(dec("2")) })},
		{"a squat is deeper", loaded[2:], eachLoad(true, func(d *record.Dose) { d.Set = d.Set.Sub(unit.Int(30)) })},
		{"a target of 1e60", loaded, eachLoad(true, func(d *record.Dose) { d.Set = dec("1e60") })},
		{"a target of one step", loaded, func(p *record.Plan) {
			for _, k := range p.Kinds {
				for i := range k.Steps {
					if k.Steps[i].Target != nil {
						more := k.Steps[i].Target.Add(unit.Int(1))
						k.Steps[i].Target = &more
						return
					}
				}
			}
		}},
		{"a longer step, and more work", all, func(p *record.Plan) {
			for key, k := range p.Kinds {
				k.Steps[0].Seconds *= 2
				k.WorkSeconds += k.Steps[0].Seconds / 2
				p.Kinds[key] = k
			}
		}},
		{"longer steps, under a rule base that never was", all, func(p *record.Plan) {
			p.Rules = "v0.0"
			for key, k := range p.Kinds {
				k.Steps[0].Seconds *= 2
				k.WorkSeconds += k.Steps[0].Seconds / 2
				p.Kinds[key] = k
			}
		}},
		{"a step more", all, func(p *record.Plan) {
			for key, k := range p.Kinds {
				k.Steps = append(k.Steps, k.Steps[0])
				k.WorkSeconds += k.Steps[0].Seconds
				p.Kinds[key] = k
			}
		}},
		{"the first line of the gate is higher", all, func(p *record.Plan) { p.Gate.Systolic = unit.Int(220) }},
		{"the line for effort is higher", all, func(p *record.Plan) { p.Gate.EffortDiastolic = unit.Int(125) }},
		{"the low line is lower", all, func(p *record.Plan) { p.Gate.LowSystolic = unit.Int(60) }},
		{"the pulse line is higher", all, func(p *record.Plan) { p.Gate.PulseClinic = unit.Int(190) }},
		{"a caution is gone", all, func(p *record.Plan) { p.Cautions = p.Cautions[1:] }},
		{"a caution says less", all, func(p *record.Plan) { p.Cautions[2].Text = "Breathe." }},
		{"another client's", all, func(p *record.Plan) { p.Client = "wren-3" }},
		{"a session stands twice", all, func(p *record.Plan) {
			s := p.Sessions[3]
			s.Slot += 7
			s.UID = record.Identity(p.Client, s.Protocol, p.Start.String(), fmt.Sprint(s.Week), fmt.Sprint(s.Slot))
			s.Start = s.Until()
			s.Gate = true
			p.Sessions = append(p.Sessions[:4:4], append([]record.Session{s}, p.Sessions[4:]...)...)
		}},
		{"two sessions are two hours apart", []string{"handgrip-alternating", "wall-squat-home"}, func(p *record.Plan) { p.Sessions[1].Start = p.Sessions[0].Start + 120 }},
		{"two dates are swapped", all, func(p *record.Plan) { a, b := &p.Sessions[0], &p.Sessions[7]; a.Start, b.Start = b.Start, a.Start }},
		{"no gate before a session", all, func(p *record.Plan) { p.Sessions[2].Gate = false }},
		{"the start is another", all, func(p *record.Plan) { p.Start -= 7 }},
		{"an old measurement counts", []string{"handgrip-alternating", "inspiratory-strength"}, func(p *record.Plan) {
			for i := range p.Sessions {
				p.Sessions[i].Status = record.Confirmed
			}
		}},
		{"a measurement of another day", loaded[:2], eachLoad(true, func(d *record.Dose) { d.Measured -= 3 })},
		{"a session longer than its work", all, func(p *record.Plan) { p.Sessions[2].Seconds += 600 }},
		{"a protocol of a higher load", []string{"handgrip-alternating"}, func(p *record.Plan) {
			p.Protocols[0] = bytes.Replace(p.Protocols[0], []byte(`"fraction": 0.3`), []byte(`"fraction": 0.5`), 1)
		}},
		{"another title", all, func(p *record.Plan) {
			for key, k := range p.Kinds {
				k.Title = "Squeeze as hard as you can"
				p.Kinds[key] = k
			}
		}},
		{"made in the future, so that all has begun", loaded[:2], func(p *record.Plan) {
			p.Now = "2028-01-01T00:00:00Z"
			eachLoad(true, func(d *record.Dose) { scale(d, "2"); d.Share, d.Wanted = d.Set.Quo(d.Maximum), d.Wanted.Mul(dec("2")) })(p)
		}},
	} {
		for _, id := range x.of {
			in := demo(t, c, id)
			src := writtenPlan(t, plan(t, c, in))
			p, err := load.ReadPlan(src)
			if err != nil {
				t.Fatal(err)
			}
			x.edit(p)
			forged := writtenPlan(t, p)
			if bytes.Equal(forged, src) {
				t.Errorf("%s, %s: nothing was edited", x.why, id)
			}
			if _, fs := c.ReadPlan("plan.json", forged, in.Now); !finding.Rejected(fs) {
				t.Errorf("%s, %s: nobody finds it", x.why, id)
			}
		}
	}
}

// A seal that does not fit is told, and so is one that is missing; how the text is laid out does not count.
func TestSeal(t *testing.T) {
	c := engine(t)
	in := demo(t, c, "handgrip-alternating")
	src := string(writtenPlan(t, plan(t, c, in)))
	at := strings.LastIndex(src, ",\n  \"seal\"")
	for _, x := range []struct {
		why, text string
		want      finding.Verdict
	}{
		{"as written", src, ""},
		{"in one line", strings.ReplaceAll(strings.ReplaceAll(src, "\n", ""), "  ", ""), ""},
		{"with line ends of Windows", strings.ReplaceAll(src, "\n", "\r\n"), ""},
		{"another number to call", strings.Replace(src, `"emergency": "911"`, `"emergency": "912"`, 1), finding.Malformed},
		{"a space in a text", strings.Replace(src, "Alternating handgrip", "Alternating  handgrip", 1), finding.Malformed},
		{"another seal", strings.Replace(src, src[at+13:at+17], "0000", 1), finding.Malformed},
		{"no seal", src[:at] + "\n}\n", finding.Caution},
	} {
		_, fs := c.ReadPlan("plan.json", []byte(x.text), in.Now)
		var got finding.Verdict
		if len(fs) > 0 {
			got = fs[0].Verdict
		}
		if got != x.want {
			t.Errorf("%s: %q, want %q", x.why, got, x.want)
		}
	}
}
