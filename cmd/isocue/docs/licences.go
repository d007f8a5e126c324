package docs

import (
	"cmp"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// Systems are those that a release has a program for, as the go command names them: GOOS/GOARCH.
var Systems = []string{"darwin/amd64", "darwin/arm64", "linux/amd64", "linux/arm64", "windows/amd64", "windows/arm64"}

// Module is one module of others, where the go command has put it.
type Module struct{ Path, Version, Dir string }

// Linked lists the modules of others that are linked into the program of any of the systems, each once. It starts no program itself:
// list runs `go list` with the arguments, for one system.
func Linked(systems []string, list func(system string, args ...string) ([]byte, error)) (out []Module, err error) {
	for _, s := range systems {
		b, err := list(s, "-deps", "-f", "{{with .Module}}{{if not .Main}}{{.Path}}\t{{.Version}}\t{{.Dir}}{{end}}{{end}}", "./cmd/isocue")
		if err != nil {
			return nil, fmt.Errorf("%s: %w", s, err)
		}
		for l := range strings.Lines(string(b)) {
			f := strings.Split(strings.TrimSpace(l), "\t")
			if len(f) != 3 {
				continue // a package of ours, or of Go's own library
			}
			if m := (Module{f[0], f[1], f[2]}); !slices.Contains(out, m) {
				out = append(out, m)
			}
		}
	}
	slices.SortFunc(out, func(a, b Module) int { return cmp.Compare(a.Path, b.Path) })
	return out, nil
}

// Text is a file of a module that whoever passes the program on must pass on too.
type Text struct{ Name, Words string }

// Texts reads a module's licence, then its notices. The first is what it is granted under.
func (m Module) Texts() (out []Text, err error) {
	for _, pattern := range []string{"LICENSE*", "LICENCE*", "COPYING*", "NOTICE*", "PATENTS*", "THIRD_PARTY_LICENSES/*"} {
		files, err := filepath.Glob(filepath.Join(m.Dir, pattern))
		if err != nil {
			return nil, err
		}
		for _, f := range files {
			b, err := os.ReadFile(f)
			if err != nil {
				return nil, err
			}
			name, err := filepath.Rel(m.Dir, f)
			if err != nil {
				return nil, err
			}
			out = append(out, Text{filepath.ToSlash(name), strings.ReplaceAll(string(b), "\r\n", "\n")})
		}
	}
	return out, nil
}

// Licence names what the module is granted under; "" is nothing that this package knows.
func (m Module) Licence() (string, error) {
	texts, err := m.Texts()
	if err != nil || len(texts) == 0 {
		return "", err
	}
	return licence(texts[0].Words), nil
}

// Allowed says whether a program may be passed on with a module of this licence, its texts beside it and nothing more.
func Allowed(licence string) bool {
	for _, l := range strings.Split(licence, " and ") {
		if !slices.Contains([]string{"MIT", "Apache-2.0", "BSD-2-Clause", "BSD-3-Clause", "ISC"}, l) {
			return false
		}
	}
	return true
}

// licence names what a licence file grants, by sentences that each of these has and no other. Source: the texts at spdx.org.
func licence(text string) string {
	text = strings.Join(strings.Fields(text), " ")
	var out []string
	for _, l := range []struct{ name, has string }{
		{"MIT", "Permission is hereby granted, free of charge, to any person obtaining a copy of this software and associated documentation files"},
		{"Apache-2.0", "Apache License, Version 2.0"},
		{"Apache-2.0", "Apache License Version 2.0, January 2004"},
		{"ISC", "Permission to use, copy, modify, and/or distribute this software for any purpose with or without fee is hereby granted"},
		{"BSD", "Redistributions in binary form must reproduce the above copyright notice"},
	} {
		if !strings.Contains(text, l.has) || slices.Contains(out, l.name) {
			continue
		}
		if l.name == "BSD" {
			l.name = "BSD-2-Clause"
			if strings.Contains(text, "may be used to endorse or promote products derived from") {
				l.name = "BSD-3-Clause"
			}
		}
		out = append(out, l.name)
	}
	return strings.Join(out, " and ")
}
