package rule

import (
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"

	"isocue.example/schema"
)

// madeUp is a copy of the embedded rule base with some files replaced, or taken away where the text is "".
func madeUp(t *testing.T, files map[string]string) fs.FS {
	t.Helper()
	out := fstest.MapFS{}
	err := fs.WalkDir(schema.FS, ".", func(p string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		b, err := fs.ReadFile(schema.FS, p)
		out[p] = &fstest.MapFile{Data: b}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	for name, text := range files {
		if !strings.Contains(name, "/") {
			name = "base/" + name
		}
		if text == "" {
			delete(out, name)
		} else {
			out[name] = &fstest.MapFile{Data: []byte(text)}
		}
	}
	return out
}

// A changelog that does not fit its rule base is an error of the base: it would tell people what never happened.
func TestChangelogIsHeldToTheBase(t *testing.T) {
	const v1 = `{version: "v0.1", date: "2026-11-25", says: "the first"}`
	gone := map[string]string{"rules/grip-days-many.cue": ""}
	for _, row := range []struct {
		why, changes, version, says string
		files                       map[string]string
	}{
		{"the base as it is", v1, "v0.1", "", nil},
		{"a version on top", v1 + `, {version: "v0.2", date: "2027-02-01", says: "words"}`, "v0.2", "", nil},
		{"ten comes after nine", v1 + `, {version: "v0.9", date: "2027-02-01", says: "w"}, {version: "v0.10", date: "2027-02-01", says: "w"}`, "v0.10", "", nil},
		{"a base without its version", v1, "v0.2", `the newest version is "v0.1", the rule base is v0.2`, nil},
		{"versions in the wrong order", `{version: "v0.2", date: "2027-02-01", says: "w"}, ` + v1, "v0.1", "version v0.1 follows v0.2, allowed: a later one", nil},
		{"dates in the wrong order", v1 + `, {version: "v0.2", date: "2026-02-01", says: "w"}`, "v0.2", "version v0.2 is dated 2026-02-01, before the version before it", nil},
		{"a rule of a version that is not listed", `{version: "v0.2", date: "2027-02-01", says: "w"}`, "v0.2", "is there since v0.1, which is no version", nil},
		{"retired, gone, and pointing on", v1 + `, {version: "v0.2", date: "2027-02-01", says: "w", retired: "grip-days-many": {title: "t", why: "w", by: ["grip-days-ceiling"]}}`, "v0.2", "", gone},
		{"retired with nothing in its place", v1 + `, {version: "v0.2", date: "2027-02-01", says: "w", retired: "grip-days-many": {title: "t", why: "w", by: []}}`, "v0.2", "", gone},
		{"retired and still there", v1 + `, {version: "v0.2", date: "2027-02-01", says: "w", retired: "grip-days-many": {title: "t", why: "w", by: []}}`, "v0.2", "grip-days-many is retired in v0.2 and still a rule", nil},
		{"pointing on to nothing", v1 + `, {version: "v0.2", date: "2027-02-01", says: "w", retired: "grip-days-many": {title: "t", why: "w", by: ["grip-daze"]}}`, "v0.2", "grip-days-many points on to grip-daze, which is no other rule", gone},
		{"a limit that moved to where it is", v1 + `, {version: "v0.2", date: "2027-02-01", says: "w", limits: "grip-load-ceiling": ceiling: {old: 0.70, new: 0.60, why: "w"}}`, "v0.2", "", nil},
		{"a limit that moved elsewhere", v1 + `, {version: "v0.2", date: "2027-02-01", says: "w", limits: "grip-load-ceiling": ceiling: {old: 0.60, new: 0.50, why: "w"}}`, "v0.2", "grip-load-ceiling ceiling was last moved to 0.50, which the rule base does not have", nil},
		{"a limit that does not exist", v1 + `, {version: "v0.2", date: "2027-02-01", says: "w", limits: "grip-load-ceiling": top: {old: 0.60, new: 0.50, why: "w"}}`, "v0.2", "grip-load-ceiling top was last moved to 0.50", nil},
		{"a limit that did not move", v1 + `, {version: "v0.2", date: "2027-02-01", says: "w", limits: "grip-load-ceiling": ceiling: {old: 0.6, new: 0.60, why: "w"}}`, "v0.2", "moves from 0.6 to 0.60 in v0.2, allowed: another number", nil},
		{"moves that do not join", v1 + `, {version: "v0.2", date: "2027-02-01", says: "w", limits: "grip-load-ceiling": ceiling: {old: 0.80, new: 0.70, why: "w"}}, {version: "v0.3", date: "2027-03-01", says: "w", limits: "grip-load-ceiling": ceiling: {old: 0.65, new: 0.60, why: "w"}}`,
			"v0.3", "grip-load-ceiling ceiling moves from 0.65 in v0.3, it was left at 0.70", nil},
	} {
		files := map[string]string{"changes.cue": "package schema\nchanges: [" + row.changes + "]\n", "version.cue": "package schema\nruleBase: \"" + row.version + "\"\n"}
		for k, v := range row.files {
			files[k] = v
		}
		b, err := LoadFS(madeUp(t, files))
		if err == nil {
			err = b.Check()
		}
		switch {
		case row.says == "" && err != nil:
			t.Errorf("%s: %v", row.why, err)
		case row.says != "" && (err == nil || !strings.Contains(err.Error(), row.says)):
			t.Errorf("%s: %v, want %q", row.why, err, row.says)
		}
	}
}

// Every rule came with one of the versions.
func TestAdded(t *testing.T) {
	b, err := Load()
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, c := range b.Changes {
		n += len(b.Added(c.Version))
	}
	if n != b.Len() || n == 0 {
		t.Errorf("the versions brought %d rules of %d", n, b.Len())
	}
	if n := len(b.Added("v99.0")); n != 0 {
		t.Errorf("a version that is none brought %d rules", n)
	}
}
