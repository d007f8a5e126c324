package docs

import (
	"io/fs"
	"os"
	"strings"
	"testing"
	"time"

	cuelang "cuelang.org/go/cue"
	"cuelang.org/go/cue/build"
	"cuelang.org/go/cue/cuecontext"
	"cuelang.org/go/cue/token"
	"cuelang.org/go/encoding/yaml"

	"isocue.example/compiler"
	"isocue.example/compiler/finding"
	"isocue.example/schema"
)

// The guide has the list of Differences.
func TestGuideListsDifferences(t *testing.T) {
	b, err := os.ReadFile(root + "docs/guide.md")
	if err != nil {
		t.Fatal(err)
	}
	before, after, ok := strings.Cut(string(b), differencesBegin)
	_, after, ok2 := strings.Cut(after, differencesEnd)
	if !ok || !ok2 {
		t.Fatal("docs/guide.md has no place for the list")
	}
	want := before + differenceList() + after
	if string(b) == want {
		return
	}
	if !*update {
		t.Fatal("docs/guide.md does not have the list; run: go test ./cmd/isocue/docs -update")
	}
	if err := os.WriteFile(root+"docs/guide.md", []byte(want), 0o644); err != nil {
		t.Fatal(err)
	}
}

// Each difference is one, in the way it is said to be: by lint, and by CUE beside the schema. The real cue command judges the same
// samples in .ci/run.
func TestDifferencesDiffer(t *testing.T) {
	eng, err := compiler.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	all := append([]Difference{{What: "nothing: both take it", Samples: protocols(`{weeks: 8, %s}`)}, {What: "nothing: both refuse it", Samples: protocols(`{weeks: 105, %s}`)}}, Differences...)
	for i, d := range all {
		if d.What == "" || d.Lint && d.Why == "" || len(d.Samples) == 0 {
			t.Errorf("%q has no reason or no sample", d.What)
		}
		for _, s := range d.Samples {
			lint := false
			f := eng.Reader.Bytes(s.File, []byte(s.Source))
			for _, x := range eng.Lint(f, time.Date(2027, 1, 3, 9, 0, 0, 0, time.UTC)) {
				lint = lint || x.Verdict == finding.Malformed
			}
			vet := vetted(t, s)
			wantLint, wantVet := d.Lint, !d.Lint
			if i < 2 {
				wantLint, wantVet = i == 1, i == 1
			}
			if lint != wantLint || (vet != nil) != wantVet {
				t.Errorf("%s: lint refuses %v %v, CUE refuses %v\n%s", d.What, lint, f.Findings, vet, s.Source)
			}
		}
	}
}

// vetted is what CUE says of a file beside the schema, by itself or, where it is no CUE, as the record that it is.
func vetted(t *testing.T, s Sample) error {
	t.Helper()
	ctx, b := cuecontext.New(), build.NewContext()
	var find build.LoadFunc
	find = func(pos token.Pos, path string) *build.Instance {
		if path != schema.Path {
			return nil // of CUE's own library
		}
		inst := b.NewInstance("schema", find)
		names, err := fs.Glob(schema.FS, "*.cue")
		if err != nil || len(names) == 0 {
			t.Fatal("no schema", err)
		}
		for _, n := range names {
			src, err := schema.FS.ReadFile(n)
			if err == nil {
				err = inst.AddFile(n, src)
			}
			if err != nil {
				t.Fatal(err)
			}
		}
		if err := inst.Complete(); err != nil {
			t.Fatal(err)
		}
		return inst
	}
	if !strings.HasSuffix(s.File, ".cue") {
		f, err := yaml.Extract(s.File, s.Source)
		if err != nil {
			return err
		}
		return ctx.BuildInstance(find(token.NoPos, schema.Path)).LookupPath(cuelang.ParsePath("#Client")).Unify(ctx.BuildFile(f)).Validate(cuelang.Final(), cuelang.Concrete(true))
	}
	inst := b.NewInstance("sample", find)
	if err := inst.AddFile(s.File, s.Source); err != nil {
		return err
	}
	if err := inst.Complete(); err != nil {
		return err
	}
	return ctx.BuildInstance(inst).Validate(cuelang.Final(), cuelang.Concrete(true))
}
