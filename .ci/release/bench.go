package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"

	"isocue.example/cmd/isocue/cli"
	"isocue.example/cmd/isocue/docs"
)

// bench is a place to build at: a copy of the source, and what the go command is told of its caches.
type bench struct {
	source string
	env    []string
}

// fixed are settings of the go command that reach the program's bytes. They are set, whatever the machine has: no C, the oldest
// processors, no experiment, no flag of the user's.
var fixed = []string{"CGO_ENABLED=0", "GOAMD64=v1", "GOARM64=v8.0", "GOEXPERIMENT=", "GOFIPS140=off", "GOFLAGS=", "GOWORK=off", "GOTOOLCHAIN=local"}

func benchIn(source string) (bench, error) {
	abs, err := filepath.Abs(source)
	return bench{abs, append(os.Environ(), fixed...)}, err
}

// elsewhere is a second bench under tmp: a copy of the source under another name, an empty cache of the compiler, and modules that are
// unpacked once more, from what the first bench has downloaded and held to go.sum again.
func (b bench) elsewhere(tmp string) (bench, error) {
	if _, err := b.run("mod", "download"); err != nil {
		return bench{}, err
	}
	cache, err := b.run("env", "GOMODCACHE")
	if err != nil {
		return bench{}, err
	}
	source := filepath.Join(tmp, "another place")
	for _, name := range []string{"cmd", "compiler", "protocols", "schema"} {
		if err := os.CopyFS(filepath.Join(source, name), os.DirFS(filepath.Join(b.source, name))); err != nil {
			return bench{}, err
		}
	}
	for _, name := range []string{"go.mod", "go.sum"} {
		text, err := os.ReadFile(filepath.Join(b.source, name))
		if err != nil {
			return bench{}, err
		}
		if err := os.WriteFile(filepath.Join(source, name), text, 0o644); err != nil {
			return bench{}, err
		}
	}
	downloads := filepath.ToSlash(filepath.Join(strings.TrimSpace(string(cache)), "cache", "download"))
	if !strings.HasPrefix(downloads, "/") {
		downloads = "/" + downloads // a drive of Windows
	}
	return bench{source, append(b.env,
		"GOCACHE="+filepath.Join(tmp, "cache"), "GOMODCACHE="+filepath.Join(tmp, "modules"), "GOPROXY=file://"+downloads,
		"GOFLAGS=-modcacherw", // so that the folder can be removed; no flag of the build
	)}, nil
}

// run runs the go command at the bench.
func (b bench) run(args ...string) ([]byte, error) { return b.on("", args...) }

func (b bench) on(system string, args ...string) ([]byte, error) {
	c := exec.Command("go", args...)
	c.Dir, c.Env = b.source, b.env
	if goos, goarch, ok := strings.Cut(system, "/"); ok {
		c.Env = append(c.Env[:len(c.Env):len(c.Env)], "GOOS="+goos, "GOARCH="+goarch)
	}
	var said bytes.Buffer
	c.Stderr = &said
	out, err := c.Output()
	if err != nil {
		return nil, fmt.Errorf("go %s: %w\n%s", strings.Join(args, " "), err, said.Bytes())
	}
	return out, nil
}

// build builds the program for a system into a file and reads it. The state of a checkout is left out: the same source gives the same
// bytes with git and without.
func (b bench) build(system, file string) ([]byte, error) {
	if _, err := b.on(system, "build", "-trimpath", "-buildvcs=false", "-ldflags", "-s -w -buildid=", "-o", file, "./cmd/isocue"); err != nil {
		return nil, err
	}
	return os.ReadFile(file)
}

// licences is the text that goes with the programs: what is in them, under which licence, and each licence to the letter, as they ask.
func (b bench) licences(systems []string) ([]byte, error) {
	modules, err := docs.Linked(systems, func(system string, args ...string) ([]byte, error) {
		return b.on(system, append([]string{"list"}, args...)...)
	})
	if err != nil {
		return nil, err
	}
	root, err := b.run("env", "GOROOT")
	if err != nil {
		return nil, err
	}
	// Go's own library is in every program too, and its licence asks the same.
	modules = append(modules, docs.Module{Path: "the Go standard library", Version: runtime.Version(), Dir: strings.TrimSpace(string(root))})
	var list, texts bytes.Buffer
	fmt.Fprintf(&list, "isocue %s holds, beside its own source and the public domain's time zone data, these modules:\n\n", cli.Version)
	for _, m := range modules {
		l, err := m.Licence()
		if err != nil {
			return nil, err
		}
		if !docs.Allowed(l) {
			return nil, fmt.Errorf("%s %s is granted under %q, which is not among the licences that are allowed", m.Path, m.Version, l)
		}
		fmt.Fprintf(&list, "%s %s: %s\n", m.Path, m.Version, l)
		all, err := m.Texts()
		if err != nil {
			return nil, err
		}
		for _, t := range all {
			fmt.Fprintf(&texts, "\n%s\n%s %s, %s\n%s\n\n%s\n", strings.Repeat("=", 80), m.Path, m.Version, t.Name, strings.Repeat("=", 80), strings.TrimSpace(t.Words))
		}
	}
	fmt.Fprintf(&list, "\nTheir licences and notices, to the letter:\n")
	return append(list.Bytes(), texts.Bytes()...), nil
}
