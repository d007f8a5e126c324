//go:build full

package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"isocue.example/schema"
)

// What somebody who knows CUE types first is silent: in the schema, in the standard protocols, in a new clinic's folder with a rule of its
// own, and in a module that imports our rules.
func TestCUEIsSilent(t *testing.T) {
	cue := cueCommand(t)
	clinic := newClinic(t)
	isocue(t, "new", "rule", filepath.Join(clinic, "clinic-ours.cue"))
	importer := t.TempDir()
	ours := filepath.Join(importer, "cue.mod", "pkg", schema.Path)
	if err := os.CopyFS(ours, schema.FS); err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{
		"cue.mod/module.cue": "module: \"importer.example@v0\"\nlanguage: version: \"v0.17.0\"\n",
		"ours.cue": "package ours\n\nimport (\n\t\"isocue.example/schema\"\n\t\"isocue.example/schema/rules\"\n)\n\n#longest: rules.#rules[\"grip-hold-ceiling\"].limit.ceiling\n\n" +
			"gentle: schema.#Handgrip & {id: \"gentle\", title: \"Gentle\", revision: 1, modality: \"handgrip\", load: fraction: 0.20, holdSeconds: 120, restSeconds: 240, rounds: 4, hands: \"alternate\", daysPerWeek: 3, sessionsPerDay: 1, weeks: 8}\n",
	} {
		if err := os.WriteFile(filepath.Join(importer, filepath.FromSlash(name)), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for _, dir := range []string{"../../schema", "../../protocols", clinic, importer} {
		for _, args := range [][]string{{"vet", "."}, {"vet", "./..."}, {"vet", "-c", "./..."}, {"fmt", "--check", "./..."}, {"eval", "./..."}, {"export", "./..."}} {
			c := exec.Command(cue, args...)
			var out, errw bytes.Buffer
			c.Dir, c.Env, c.Stdout, c.Stderr = dir, offline(t), &out, &errw
			prints := args[0] == "eval" || args[0] == "export"
			if err := c.Run(); err != nil || errw.Len() > 0 || (out.Len() > 0) != prints {
				t.Errorf("cue %q in %s: %v\n%s%s", args, dir, err, errw.String(), map[bool]string{false: out.String()}[prints])
			}
		}
	}
	// and not deaf
	if err := os.WriteFile(filepath.Join(importer, "ours.cue"), []byte("package ours\n\nimport \"isocue.example/schema\"\n\np: schema.#Handgrip & {weeks: 105}\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	c := exec.Command(cue, "vet", "./...")
	c.Dir, c.Env = importer, offline(t)
	if out, err := c.CombinedOutput(); err == nil {
		t.Errorf("a course of 105 weeks is taken: %s", out)
	}
}
