package docs

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// licence names what a licence file grants, by sentences that each of these has and no other; "" is none that this test knows.
// Source: the texts at spdx.org.
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

type module struct {
	Path, Version, Dir string
	Main               bool
}

// granted reads a module's licence in the module cache.
func (m module) granted(t *testing.T) string {
	t.Helper()
	for _, pattern := range []string{"LICENSE*", "LICENCE*", "COPYING*"} {
		files, err := filepath.Glob(filepath.Join(m.Dir, pattern))
		if err != nil {
			t.Fatal(err)
		}
		if len(files) > 0 {
			b, err := os.ReadFile(files[0])
			if err != nil {
				t.Fatal(err)
			}
			return licence(string(b))
		}
	}
	return ""
}

// list runs the go command and reads the modules that it prints.
func list(t *testing.T, args ...string) (out []module) {
	t.Helper()
	c := exec.Command("go", append([]string{"list"}, args...)...)
	c.Dir = root
	b, err := c.Output()
	if err != nil {
		t.Fatal(err)
	}
	for d := json.NewDecoder(strings.NewReader(string(b))); d.More(); {
		var m module
		if err := d.Decode(&m); err != nil {
			t.Fatal(err)
		}
		out = append(out, m)
	}
	return out
}

// Every direct dependency stands in the table of docs/architecture.md with its version, a reason, what it costs, and the licence
// that its own file says; every module in the binary has a licence of those kinds.
func TestLicences(t *testing.T) {
	b, err := os.ReadFile(filepath.Join(root, "docs", "architecture.md"))
	if err != nil {
		t.Fatal(err)
	}
	_, table, ok := strings.Cut(string(b), "## Dependencies\n")
	if !ok {
		t.Fatal("there is no table of dependencies")
	}
	table, _, _ = strings.Cut(table, "\n## ")
	rows := map[string][]string{} // module and version -> cells
	for _, m := range regexp.MustCompile(`(?m)^\| (\S+ v[0-9]\S*)(?: \([a-z]+\))? \| ([^|]+) \| ([^|]+) \| ([^|]+) \|$`).FindAllStringSubmatch(table, -1) {
		rows[m[1]] = m[2:]
	}
	gomod, err := os.ReadFile(filepath.Join(root, "go.mod"))
	if err != nil {
		t.Fatal(err)
	}
	direct := 0
	list(t, "-test", "-deps", "-json=ImportPath", "./...") // fetches what other packages' tests need, where these run alone
	for _, m := range list(t, "-m", "-json=Path,Version,Dir,Main", "all") {
		if m.Main || !regexp.MustCompile(`(?m)^\t`+regexp.QuoteMeta(m.Path)+` \S+$`).Match(gomod) {
			continue
		}
		direct++
		row := rows[m.Path+" "+m.Version]
		if row == nil {
			t.Errorf("docs/architecture.md does not list %s %s", m.Path, m.Version)
			continue
		}
		delete(rows, m.Path+" "+m.Version)
		if got := m.granted(t); got == "" || got != strings.TrimSpace(row[0]) {
			t.Errorf("%s: the table says %s, its licence file %q", m.Path, row[0], got)
		}
	}
	for r := range rows {
		t.Errorf("docs/architecture.md lists %s, which go.mod does not require", r)
	}
	linked := map[string]bool{}
	c := exec.Command("go", "list", "-deps", "-f", "{{with .Module}}{{if not .Main}}{{.Path}}\t{{.Version}}\t{{.Dir}}{{end}}{{end}}", "./cmd/isocue")
	c.Dir = root
	out, err := c.Output()
	if err != nil {
		t.Fatal(err)
	}
	for l := range strings.Lines(string(out)) {
		f := strings.Split(strings.TrimSpace(l), "\t")
		if len(f) != 3 || linked[f[0]] {
			continue
		}
		linked[f[0]] = true
		m := module{Path: f[0], Version: f[1], Dir: f[2]}
		for _, l := range strings.Split(m.granted(t), " and ") {
			if !slices.Contains([]string{"MIT", "Apache-2.0", "BSD-2-Clause", "BSD-3-Clause", "ISC"}, l) {
				t.Errorf("%s %s is in the binary under %q, allowed: MIT, Apache-2.0, BSD-2-Clause, BSD-3-Clause or ISC", m.Path, m.Version, l)
			}
		}
	}
	if direct < 8 || len(linked) < 8 {
		t.Errorf("only %d direct dependencies and %d modules in the binary seen", direct, len(linked))
	}
	// what this test would not accept, it tells from what it does
	for text, want := range map[string]string{
		"GNU GENERAL PUBLIC LICENSE Version 3": "", "Permission is hereby granted, free of charge, to any person obtaining a copy\nof this software and associated documentation files (the \"Software\")": "MIT",
		"": "", "Licensed under the Apache License, Version 2.0": "Apache-2.0",
	} {
		if got := licence(text); got != want {
			t.Errorf("%q is read as %q, want %q", text, got, want)
		}
	}
}
