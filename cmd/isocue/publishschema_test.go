//go:build full

package main

import (
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"
)

// The schema is a module: the cue command publishes it from its folder to a registry, and somebody else's module imports it from there,
// the language alone or with the rules.
func TestSchemaIsPublished(t *testing.T) {
	cue := cueCommand(t)
	free, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	at := free.Addr().String()
	free.Close()
	reg := exec.Command(cue, "mod", "registry", at)
	reg.Env = offline(t)
	if err := reg.Start(); err != nil {
		t.Fatal(err)
	}
	defer func() { reg.Process.Kill(); reg.Wait() }()
	for tries := 0; ; tries++ { // it says nothing when it is ready
		c, err := net.Dial("tcp", at)
		if err == nil {
			c.Close()
			break
		}
		if tries == 1000 {
			t.Fatalf("the registry does not answer: %v", err)
		}
		time.Sleep(20 * time.Millisecond)
	}
	clean := t.TempDir()
	if err := os.CopyFS(clean, os.DirFS("../../schema")); err != nil {
		t.Fatal(err)
	}
	run := func(dir string, args ...string) {
		t.Helper()
		c := exec.Command(cue, args...)
		c.Dir, c.Env = dir, append(offline(t), "CUE_REGISTRY="+at+"+insecure")
		if out, err := c.CombinedOutput(); err != nil {
			t.Fatalf("cue %q in %s: %v\n%s", args, dir, err, out)
		}
	}
	run(clean, "mod", "publish", "v0.1.0")
	importer := t.TempDir()
	for name, text := range map[string]string{
		"cue.mod/module.cue": "module: \"importer.example@v0\"\nlanguage: version: \"v0.17.0\"\ndeps: \"isocue.example/schema@v0\": v: \"v0.1.0\"\n",
		"ours.cue":           "package ours\n\nimport (\n\t\"isocue.example/schema\"\n\t\"isocue.example/schema/rules\"\n)\n\n#longest: schema.#Handgrip & {holdSeconds: rules.#rules[\"grip-hold-ceiling\"].limit.ceiling}\n",
	} {
		file := filepath.Join(importer, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(file), 0o700); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	run(importer, "mod", "tidy", "--check")
	run(importer, "vet", "./...")
}
