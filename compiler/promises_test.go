package compiler

import (
	"bytes"
	"encoding/json"
	"regexp"
	"strings"
	"testing"

	"isocue.example/compiler/calendar"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/report/plans"
	"isocue.example/compiler/tree"
)

// plain is a tree as encoding/json reads it back, numbers as they were written.
func plain(t *testing.T, n *tree.Node) (v any) {
	t.Helper()
	b, err := json.Marshal(n)
	if err != nil {
		t.Fatal(err)
	}
	d := json.NewDecoder(bytes.NewReader(b))
	d.UseNumber()
	if err := d.Decode(&v); err != nil {
		t.Fatal(err)
	}
	return v
}

// lay puts a case over a protocol, record by record; null takes a field away.
func lay(base, over any) any {
	b, ok1 := base.(map[string]any)
	o, ok2 := over.(map[string]any)
	if !ok1 || !ok2 {
		return over
	}
	for k, v := range o {
		if v == nil {
			delete(b, k)
		} else {
			b[k] = lay(b[k], v)
		}
	}
	return b
}

// Every failing case that a refusing rule about protocols names is written as a file, read, and compiled beside a sound
// protocol for the demo client: no plan, and a finding that refuses. No waiver stands in the way of an unsafe one.
func TestRefusedCasesNeverYieldAPlan(t *testing.T) {
	c := engine(t)
	beside := map[string]string{"slow-breathing": "handgrip-alternating"}
	tried, unsafe := 0, 0
	for _, r := range c.Check.Base.All() {
		if r.About != "protocol" && r.About != "stage" || r.Verdict == finding.Caution {
			continue
		}
		std := c.Standard(r.Example.Of)
		if std == nil {
			continue
		}
		for _, over := range r.Example.Fail {
			p := lay(plain(t, std.Protocols[0].Node), plain(t, over)).(map[string]any)
			p["id"] = "the-case"
			src, err := json.MarshalIndent(p, "", " ")
			if err != nil {
				t.Fatal(err)
			}
			f := c.Reader.Bytes("case.json", src)
			if len(f.Protocols) == 0 { // the schema refuses it already
				if !finding.Rejected(f.Findings) {
					t.Errorf("%s: neither a protocol nor a rejection", r.ID)
				}
				continue
			}
			tried++
			if r.Verdict == finding.Unsafe {
				unsafe++
			}
			other := beside[std.Protocols[0].Node.Get("modality").Text()]
			if other == "" {
				other = "slow-breathing-even"
			}
			in := demo(t, c, other)
			in.Protocols = append(in.Protocols, &f.Protocols[0])
			res, err := c.Compile(in)
			if err != nil || res.Plan != nil {
				t.Errorf("%s: a plan stands on\n%s", r.ID, src)
				continue
			}
			told := false
			for _, x := range res.Findings {
				told = told || x.Rejects() && x.Pos.File == "case.json" && x.Pos.IsValid()
			}
			if !told {
				t.Errorf("%s: no refusing finding has a place in the file: %v", r.ID, res.Findings)
			}
		}
	}
	if tried < 30 || unsafe < 10 {
		t.Errorf("only %d cases, %d of them unsafe, were compiled", tried, unsafe)
	}
}

// One finding for one mistake: a graver rule silences the milder ones that it names, and nothing else.
func TestMilder(t *testing.T) {
	c := engine(t)
	for _, x := range []struct{ old, new, want, why, source string }{
		{"fraction: 0.30", "fraction: 0.61", "grip-load-ceiling", "over the ceiling is not also outside the range", "schema/rules/grip-load-ceiling.cue"},
		{"rounds:         4", "rounds: 12", "grip-rounds-ceiling", "one number, one finding", "schema/rules/grip-rounds-ceiling.cue"},
	} {
		if x.why == "" || x.source == "" {
			t.Errorf("%s has no why or no source", x.new)
		}
		src := c.Standard("handgrip-alternating").Source
		if !bytes.Contains(src, []byte(x.old)) {
			t.Fatalf("%q does not stand in the protocol", x.old)
		}
		src = bytes.Replace(src, []byte(x.old), []byte(x.new), 1)
		f := c.Reader.Bytes("a.cue", src)
		fs := c.Lint(f, now)
		n := 0
		for _, fd := range fs {
			if fd.Rule == x.want {
				n++
			}
			for _, m := range c.Check.Base.Rule(x.want).Milder {
				if fd.Rule == m {
					t.Errorf("%s: %s is told beside %s", x.why, m, x.want)
				}
			}
		}
		if n != 1 {
			t.Errorf("%s: %s stands %d times in %v", x.why, x.want, n, fs)
		}
	}
}

const (
	medicine = `(?:medicines?|medications?|tablets?|drugs?|pills?|beta-?blockers?|diuretics?|thiazides?)`
	between  = `(?: (?:the|your|a|an|this|that|any|their|his|her|one|every|all|dose|doses|amount|of|taking|with|less|more|half|blood|pressure|heart|evening|morning))*`
	verbs    = `(?:stop|reduce|lower|skip|increase|raise|change|double|halve|cut|adjust|taper|switch|take|pause|omit|drop|start)`
)

var (
	orders   = regexp.MustCompile(`\b` + verbs + `(?:ping|ing)?` + between + ` ` + medicine + `\b`)
	passive  = regexp.MustCompile(`\b` + medicine + `\b[^.;:]* (?:should|must|can|may|could|to) be (?:stopped|reduced|lowered|skipped|increased|raised|changed|doubled|halved|cut|adjusted|tapered|switched|taken|paused|dropped)`)
	harmless = regexp.MustCompile(`change nothing about` + between + ` ` + medicine + `|(?:last|a|any|every|each|the) change of` + between + ` ` + medicine)
)

// advises finds the words that tell somebody to change medicine: an order, or a passive one. The sentence that says to
// leave it alone, and a change that lies in the past, are none.
func advises(text string) string {
	s := harmless.ReplaceAllString(strings.Join(strings.Fields(strings.ToLower(text)), " "), "")
	return orders.FindString(s) + passive.FindString(s)
}

// The net catches what it is for, and lets through what it must.
func TestAdvisesIsANet(t *testing.T) {
	for _, s := range []string{"Stop your medicine.", "skip a tablet on that day", "ask to reduce the dose of medicine", "Raise the beta-blocker.", "halve the pill and rest",
		"your tablets can be halved by half", "take less of your medicine", "keep skipping the evening tablet"} {
		if advises(s) == "" {
			t.Errorf("%q went through", s)
		}
	}
	for _, s := range []string{"Change nothing about your medicine.", "Stop when you feel dizzy. Tell your physician about every medicine.", "reduce the load", "is on a beta-blocker",
		"count from the last change of medicine", "no medicine changed in the last four weeks"} {
		if c := advises(s); c != "" {
			t.Errorf("%q was caught at %q", s, c)
		}
	}
}

// Nothing that a person may read tells anyone to change medicine: rules with their remedies, questions, cautions, the
// calendar and the table of a demo client. Source: docs/architecture.md, refusal 7.
func TestNobodyAdvisesOnMedicine(t *testing.T) {
	c := engine(t)
	b := c.Check.Base
	texts := map[string]string{}
	for _, r := range b.All() {
		for part, s := range map[string]string{"message": r.Message, "remedy": r.Remedy, "rationale": r.Rationale, "title": r.Title} {
			texts[r.ID+" "+part] = s
		}
	}
	for _, q := range b.Questions() {
		texts[q.ID+" asks"], texts[q.ID+" says"] = q.Asks, q.Says
	}
	for _, x := range b.Cautions {
		texts[x.ID] = x.Text
	}
	for _, id := range c.StandardIDs() {
		p := plan(t, c, demo(t, c, id))
		ics, err := calendar.Encode(nil, p, calendar.Options{Version: "t"})
		if err != nil {
			t.Fatal(err)
		}
		texts[id+".ics"] = strings.NewReplacer("\r\n ", "", "\\,", ",", "\\;", ";", "\\n", ". ").Replace(string(ics))
		var table bytes.Buffer
		if err := plans.Table(&table, p); err != nil {
			t.Fatal(err)
		}
		texts[id+" table"] = table.String()
	}
	if len(texts) < 300 {
		t.Errorf("only %d texts were read", len(texts))
	}
	for where, s := range texts {
		if at := advises(s); at != "" {
			t.Errorf("%s tells somebody to change medicine: %q", where, at)
		}
	}
}

// A compile does not write into what it was given: the same records compile again, and in any order of protocols, to
// the same bytes of the same sessions.
func TestCompileLeavesItsInputAlone(t *testing.T) {
	c := engine(t)
	in := demo(t, c, "handgrip-start", "slow-breathing-even")
	first := emit(t, plan(t, c, in))
	client := *in.Client.Record
	other := in
	other.Protocols = []*load.Protocol{in.Protocols[1]}
	plan(t, c, other)
	if emit(t, plan(t, c, in)) != first {
		t.Error("a compile in between changed the next")
	}
	if len(client.Grip) != len(in.Client.Record.Grip) || len(client.Answers) != len(in.Client.Record.Answers) {
		t.Error("the client record was changed")
	}
	if emit(t, plan(t, engine(t), demo(t, engine(t), "handgrip-start", "slow-breathing-even"))) != first {
		t.Error("another compiler gives other bytes")
	}
}

func emit(t *testing.T, p *record.Plan) string {
	t.Helper()
	var b bytes.Buffer
	if err := plans.JSON(&b, p); err != nil {
		t.Fatal(err)
	}
	ics, err := calendar.Encode(nil, p, calendar.Options{Version: "t"})
	if err != nil {
		t.Fatal(err)
	}
	return b.String() + string(ics)
}

// Two compiles of one compiler at once: the sharing that the package promises.
func TestCompilesAtOnce(t *testing.T) {
	c := engine(t)
	first := emit(t, plan(t, c, demo(t, c, "handgrip-alternating")))
	out := make(chan string)
	for range 4 {
		go func() {
			f := c.Standard("handgrip-alternating")
			in := demoOf(c)
			in.Protocols = []*load.Protocol{&f.Protocols[0]}
			r, err := c.Compile(in)
			if err != nil || r.Plan == nil {
				out <- "no plan"
				return
			}
			ics, _ := calendar.Encode(nil, r.Plan, calendar.Options{Version: "t"})
			var b bytes.Buffer
			plans.JSON(&b, r.Plan)
			out <- b.String() + string(ics)
		}()
	}
	for range 4 {
		if <-out != first {
			t.Error("compiles at once differ")
		}
	}
}

// demoOf reads the demo client without a test to fail, for use in goroutines.
func demoOf(c *Compiler) Input {
	f, err := c.Reader.Path("../testdata/demo/client.yaml")
	if err != nil {
		return Input{}
	}
	return Input{Client: f.Client, Now: now, Start: f.Client.Record.Screened + 2}
}
