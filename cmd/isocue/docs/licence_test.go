package docs

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

type module struct {
	Module
	Main bool
}

// goList runs the go command for one system; "" is the one that the test runs on.
func goList(system string, args ...string) ([]byte, error) {
	c := exec.Command("go", append([]string{"list"}, args...)...)
	c.Dir, c.Env = root, os.Environ()
	if goos, goarch, ok := strings.Cut(system, "/"); ok {
		c.Env = append(c.Env, "GOOS="+goos, "GOARCH="+goarch, "CGO_ENABLED=0")
	}
	return c.Output()
}

// list runs the go command and reads the modules that it prints.
func list(t *testing.T, args ...string) (out []module) {
	t.Helper()
	b, err := goList("", args...)
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
// that its own file says; every module in the binary of any system has a licence of those kinds.
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
		if got, err := m.Licence(); err != nil || got == "" || got != strings.TrimSpace(row[0]) {
			t.Errorf("%s: the table says %s, its licence file %q, %v", m.Path, row[0], got, err)
		}
	}
	for r := range rows {
		t.Errorf("docs/architecture.md lists %s, which go.mod does not require", r)
	}
	linked, err := Linked(Systems, goList)
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range linked {
		if l, err := m.Licence(); err != nil || !Allowed(l) {
			t.Errorf("%s %s is in the binary under %q, %v, allowed: MIT, Apache-2.0, BSD-2-Clause, BSD-3-Clause or ISC", m.Path, m.Version, l, err)
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
		if Allowed(want) != (want != "") {
			t.Errorf("a licence %q: allowed is %v", want, Allowed(want))
		}
	}
}
