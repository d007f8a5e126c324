package cli

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"isocue.example/compiler/rule"
	"isocue.example/schema"
)

// nextBase is a made-up version of the rule base, one after the built-in one: handgrip is held to a lower ceiling, and one rule
// went into another.
func nextBase(t *testing.T) func() (*rule.Base, error) {
	t.Helper()
	files := fstest.MapFS{}
	err := fs.WalkDir(schema.FS, ".", func(p string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		b, err := fs.ReadFile(schema.FS, p)
		files[p] = &fstest.MapFile{Data: b}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	edit := func(name, old, now string) {
		s := string(files[name].Data)
		if strings.Count(s, old) != 1 {
			t.Fatalf("%q stands in schema/%s %d times, want once", old, name, strings.Count(s, old))
		}
		files[name] = &fstest.MapFile{Data: []byte(strings.Replace(s, old, now, 1))}
	}
	edit("rules/grip-load-ceiling.cue", "limit: ceiling: 0.60", "limit: ceiling: 0.25")
	edit("base/version.cue", "v0.1", "v0.2")
	edit("base/changes.cue", `"the first rule base, not yet released"},`, `"the first rule base, not yet released"},
	{version: "v0.2", date: "2027-02-01", says: "made up"
		retired: "grip-days-many": {title: "a made-up rule that went", why: "the ceiling says the same", by: ["grip-days-ceiling"]}
		limits: "grip-load-ceiling": ceiling: {old: 0.60, new: 0.25, why: "made up for this test"}
	},`)
	delete(files, "rules/grip-days-many.cue")
	return func() (*rule.Base, error) {
		b, err := rule.LoadFS(files)
		if err == nil {
			err = b.Check()
		}
		return b, err
	}
}

// under runs a command under a rule base, nil for the built-in one.
func under(t *testing.T, base func() (*rule.Base, error), args ...string) (out, errw string, err error) {
	t.Helper()
	var o, e bytes.Buffer
	a := &app{in: strings.NewReader(""), out: &o, err: &e, base: base}
	root := a.root()
	root.SetArgs(args)
	root.SetOut(&o)
	root.SetErr(&e)
	err = root.Execute()
	return o.String(), e.String(), err
}

// The made-up upgrade of a clinic: what was accepted under the old rule base and is in use is told under the new one, with what
// changed, and nobody is called back before.
func TestUpgradeOfTheRuleBase(t *testing.T) {
	next := nextBase(t)
	t.Chdir(t.TempDir())
	run := func(base func() (*rule.Base, error), refused bool, args ...string) (string, string) {
		t.Helper()
		out, errw, err := under(t, base, append(args, "--now", "2027-01-10T09:00:00Z")...)
		if (err != nil) != refused || err != nil && !errors.Is(err, errRefused) {
			t.Fatalf("%q: %v\n%s%s", args, err, out, errw)
		}
		return out, errw
	}
	run(nil, false, "new", "clinic", "harbour")
	t.Chdir("harbour")
	client := filepath.Join("clients", "plover-12.yaml")
	run(nil, false, "compile", "protocols/harbour-grip.cue", "--client", client, "--start", "2027-01-11", "--pack", "packs/plover-12", "--record", "ledger.jsonl", "--by", "M. Osei")
	run(nil, false, "lint", ".")

	out, errw := run(next, true, "lint", ".", "--why")
	for _, want := range []string{
		"client plover-12 trains until 2027-03-05 by a plan that is refused now, compiled under rule base v0.1: load is 0.30 of maximal grip, allowed: at most 0.25 [grip-load-ceiling] [recall]",
		"caution: this file was accepted on 2027-01-10 by M. Osei under rule base v0.1, and is refused now under v0.2 [accepted-before]",
		"unsafe: load is 0.30 of maximal grip, allowed: at most 0.25 [grip-load-ceiling]",
	} {
		if !strings.Contains(out, want) {
			t.Errorf("lint under the next base does not say %q:\n%s", want, out)
		}
	}
	if errw != "isocue: call back: plover-12\n" {
		t.Errorf("lint under the next base says %q on standard error", errw)
	}

	for _, row := range []struct {
		why  string
		args []string
		says []string
	}{
		{"a rule that went points on", []string{"explain", "grip-days-many"}, []string{
			"grip-days-many: a made-up rule that went\n", "the rule was retired in v0.2 (2027-02-01), judged since by grip-days-ceiling\n", "why      the ceiling says the same\n",
			"now      grip-days-ceiling: ", "see      isocue explain grip-days-ceiling\n"}},
		{"a rule whose limit moved says so", []string{"explain", "grip-load-ceiling"}, []string{"limit    ceiling 0.25\n", "moved    ceiling 0.60 to 0.25 in v0.2 (2027-02-01): made up for this test\n"}},
		{"the version", []string{"version"}, []string{"rule base v0.2, "}},
	} {
		out, _ := run(next, false, row.args...)
		for _, want := range row.says {
			if !strings.Contains(out, want) {
				t.Errorf("%s: %q does not say %q:\n%s", row.why, row.args, want, out)
			}
		}
	}

	// A policy and a waiver that name a rule that went are refused with what became of it, never passed over.
	write := func(name, text string) {
		t.Helper()
		if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	write("policy.cue", `reviewers: ["B. Reviewer"], limits: "grip-days-many": usual: 3`)
	out, _ = run(next, true, "lint", "slow-breathing-even")
	if want := `"grip-days-many" was retired in v0.2 (2027-02-01), judged since by grip-days-ceiling; ` + "`isocue explain grip-days-many` says why [policy]"; !strings.Contains(out, want) {
		t.Errorf("a policy on a rule that went: want %q:\n%s", want, out)
	}
	write("policy.cue", `reviewers: ["B. Reviewer"]`)
	write("waivers.cue", `waivers: [{protocol: "x", revision: 1, rule: "grip-days-many", path: "daysPerWeek", found: 6, reason: "upkeep agreed with the physician", by: "B. Reviewer", date: "2027-01-04", until: "2027-07-01"}]`)
	out, _ = run(next, true, "lint", "slow-breathing-even")
	if want := `waivers[0].rule is "grip-days-many", which was retired in v0.2 (2027-02-01), judged since by grip-days-ceiling [waiver]`; !strings.Contains(out, want) {
		t.Errorf("a waiver of a rule that went: want %q:\n%s", want, out)
	}
}
