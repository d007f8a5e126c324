package docs

import (
	"bytes"
	"encoding/json"
	"os"
	"os/exec"
	"slices"
	"strings"
	"testing"
)

const mod = "isocue.example/"

// paths matches packages: a name ending in /... stands for everything below it as well.
type paths []string

func (ps paths) has(p string) bool {
	return slices.ContainsFunc(ps, func(q string) bool {
		if below, ok := strings.CutSuffix(q, "/..."); ok {
			return p == below || strings.HasPrefix(p, below+"/")
		}
		return p == q
	})
}

// rooms are packages of compiler by their short names.
func rooms(names ...string) (out paths) {
	for _, n := range names {
		out = append(out, mod+"compiler/"+n)
	}
	return out
}

var (
	shared   = rooms("bound", "finding", "unit", "tree", "near", "page", "record", "say", "zone", "history", "phrase")
	cueSide  = rooms("internal/...", "load", "rule", "check", "dated")
	numbers  = rooms("dose", "course", "session", "schedule", "calendar", "handout", "compare", "fhir", "progress")
	prints   = rooms("report", "report/plans", "report/followup") // and report/judged, which prints rules too
	cue      = paths{"cuelang.org/go/..."}
	commands = paths{"github.com/spf13/cobra/...", "github.com/spf13/pflag/..."}
	ours     = paths{strings.TrimSuffix(mod, "/") + "/..."}
	cmd      = paths{mod + "cmd/..."}
	docsOnly = mod + "cmd/isocue/docs"
)

// ban says that no package of from may import one of to, unless it is among but, or the import among except. A deep
// ban holds for what is imported indirectly too. Breach is an import that the ban must catch.
type ban struct {
	from, but, to, except paths
	deep                  bool
	reason                string
	breach                [2]string
}

var bans = []ban{
	{from: shared, to: ours, except: shared, deep: true, breach: [2]string{mod + "compiler/unit", mod + "schema"},
		reason: "shared types stand at the bottom: whatever they import, everybody imports"},
	{from: slices.Concat(numbers, prints, shared), to: cue, deep: true, breach: [2]string{mod + "compiler/dose", "cuelang.org/go/cue"},
		reason: "no evaluator under a number that a client sets or a byte that a client reads"},
	{from: numbers, to: append(rooms("report/..."), cueSide...), deep: true, breach: [2]string{mod + "compiler/calendar", mod + "compiler/internal/guard"},
		reason: "the two columns meet only in compiler"},
	{from: cueSide, to: append(rooms("report/..."), numbers...), deep: true, breach: [2]string{mod + "compiler/check", mod + "compiler/dose"},
		reason: "the two columns meet only in compiler, from this side too"},
	{from: rooms("course"), to: rooms("dose", "session", "schedule", "calendar", "compare"), deep: true, breach: [2]string{mod + "compiler/course", mod + "compiler/schedule"},
		reason: "what is trained is known before it has a load, a length or an hour"},
	{from: rooms("dose"), to: rooms("session", "schedule", "calendar", "compare"), deep: true, breach: [2]string{mod + "compiler/dose", mod + "compiler/session"},
		reason: "doses come before sessions"},
	{from: rooms("session"), to: rooms("schedule", "calendar", "compare"), deep: true, breach: [2]string{mod + "compiler/session", mod + "compiler/calendar"},
		reason: "sessions come before their dates"},
	{from: rooms("schedule"), to: rooms("calendar"), deep: true, breach: [2]string{mod + "compiler/schedule", mod + "compiler/calendar"},
		reason: "dates come before the calendar that shows them"},
	{from: rooms("ical"), to: ours, except: rooms("bound"), deep: true, breach: [2]string{mod + "compiler/ical", mod + "compiler/record"},
		reason: "a reader of other programs' calendars knows nothing of what we make of them"},
	{from: rooms("progress"), to: ours, except: append(shared, mod+"compiler/progress"), deep: true, breach: [2]string{mod + "compiler/progress", mod + "compiler/schedule"},
		reason: "a follow-up is arithmetic on records: what it counts was decided elsewhere"},
	{from: ours, but: rooms("progress"), to: paths{"gonum.org/v1/gonum/..."}, breach: [2]string{mod + "compiler/dose", "gonum.org/v1/gonum/mathext"},
		reason: "floats decide no limit, so one room has them, for an interval that is only printed"},
	// judged prints rules and what they found, so it imports rule and has CUE below it. It is the one exception in the output
	// column, and it goes no further.
	{from: rooms("report/judged"), to: append(rooms("load", "check", "internal/..."), cue...), breach: [2]string{mod + "compiler/report/judged", mod + "compiler/load"},
		reason: "judged prints what rule holds; it reads no file and judges nothing"},
	{from: prints, to: cueSide, deep: true, breach: [2]string{mod + "compiler/report/followup", mod + "compiler/rule"},
		reason: "a plan or a follow-up is printed as it was decided: its room could not ask a rule again"},
	{from: rooms("report/..."), to: rooms("report/..."), except: rooms("report"), deep: true, breach: [2]string{mod + "compiler/report", mod + "compiler/report/plans"},
		reason: "a family of forms knows no other; what two of them need stands in report"},
	{from: rooms("report"), to: ours, except: shared, deep: true, breach: [2]string{mod + "compiler/report", mod + "compiler/progress"},
		reason: "report has what every printed form needs, so it knows none of what is printed"},
	{from: rooms("report/plans"), to: ours, except: append(rooms("report"), shared...), deep: true, breach: [2]string{mod + "compiler/report/plans", mod + "compiler/schedule"},
		reason: "a plan is printed from its record alone"},
	{from: rooms("report/followup"), to: ours, except: append(rooms("report", "progress"), shared...), deep: true, breach: [2]string{mod + "compiler/report/followup", mod + "compiler/compare"},
		reason: "a follow-up is printed from what progress found"},
	{from: rooms("load", "rule", "check"), to: rooms("check"), deep: true, breach: [2]string{mod + "compiler/load", mod + "compiler/check"},
		reason: "judging comes after reading"},
	{from: ours, but: append(rooms("internal/cueval", "internal/guard", "load", "rule", "check"), docsOnly), to: cue, breach: [2]string{mod + "compiler", "cuelang.org/go/cue"},
		reason: "CUE stays in the rooms that read files and rules; docs reads the schema's comments"},
	{from: ours, but: rooms("internal/cueval"), to: paths{"cuelang.org/go/cue", "cuelang.org/go/cue/cuecontext"}, breach: [2]string{mod + "compiler/load", "cuelang.org/go/cue"},
		reason: "one place lets CUE evaluate, and one place reads its errors"},
	{from: paths{mod + "cmd/isocue/clinic", mod + "cmd/isocue/start"}, to: paths{mod + "cmd/isocue/cli"}, deep: true, breach: [2]string{mod + "cmd/isocue/clinic", mod + "cmd/isocue/cli"},
		reason: "the clinic's folder is worked on for every front end, and knows none"},
	{from: rooms("diary"), to: ours, except: append(shared, mod+"compiler/diary"), deep: true, breach: [2]string{mod + "compiler/diary", mod + "compiler/load"},
		reason: "what entries mean together is worked out without a file, a clock or a rule"},
	{from: rooms("files"), to: ours, except: append(shared, mod+"compiler/files"), deep: true, breach: [2]string{mod + "compiler/files", mod + "compiler/load"},
		reason: "files are bytes with a name: what stands in them is somebody else's"},
	{from: append(rooms("dose", "session", "schedule", "calendar", "handout", "compare", "fhir", "progress", "report/..."), shared...), to: rooms("files"), deep: true, breach: [2]string{mod + "compiler/handout", mod + "compiler/files"},
		reason: "arithmetic and output are pure: whoever calls them has the files"},
	{from: ours, but: paths{mod + "cmd/isocue/cli", docsOnly}, to: commands, breach: [2]string{mod + "cmd/isocue", "github.com/spf13/cobra"},
		reason: "the command tree is cli's own affair; docs reads it"},
	{from: ours, but: cmd, to: commands, deep: true, breach: [2]string{mod + "compiler", "github.com/spf13/cobra"},
		reason: "the command line stands on top; nothing below knows it"},
	{from: ours, but: cmd, to: append(cmd, mod+"compiler"), deep: true, breach: [2]string{mod + "compiler/check", mod + "compiler"},
		reason: "only compiler knows the order of work, and only cmd calls it"},
	{from: paths{mod + "schema", mod + "protocols"}, to: append(ours, cue...), deep: true, breach: [2]string{mod + "schema", mod + "compiler/rule"},
		reason: "data knows nothing of its readers"},
	{from: ours, but: paths{mod + "compiler/internal/guard"}, to: paths{"go.yaml.in/yaml/..."}, breach: [2]string{mod + "compiler/load", "go.yaml.in/yaml/v3"},
		reason: "people's files are read in one place"},
	{from: ours, but: rooms("publish"), to: paths{"net", "net/http/...", "github.com/emersion/..."}, breach: [2]string{mod + "cmd/isocue/cli", "net/http"},
		reason: "one room speaks to a network, for one verb"},
	{from: ours, to: paths{"net/rpc/...", "net/smtp", "os/user", "os/exec", "plugin", "log/syslog"}, breach: [2]string{mod + "compiler/publish", "os/exec"},
		reason: "no verb starts a program, sends mail or asks a directory of users"},
	{from: rooms("publish"), to: ours, except: rooms("bound"), deep: true, breach: [2]string{mod + "compiler/publish", mod + "compiler/record"},
		reason: "what speaks to a network knows bytes and nothing of clients"},
	{from: ours, to: rooms("internal/testkit"), breach: [2]string{mod + "compiler/calendar", mod + "compiler/internal/testkit"},
		reason: "test support is imported by tests alone"},
	{from: ours, to: paths{"gonum.org/v1/gonum/stat/...", "github.com/arran4/golang-ical/...", "github.com/chromedp/...", "github.com/go-audio/...", "github.com/google/go-cmp/...", "github.com/rogpeppe/go-internal/...", "github.com/santhosh-tekuri/jsonschema/..."}, breach: [2]string{mod + "compiler/calendar", "github.com/arran4/golang-ical"},
		reason: "these are for tests"},
}

// catches says whether the ban forbids one import.
func (b ban) catches(from, to string) bool {
	return b.from.has(from) && !b.but.has(from) && from != to && b.to.has(to) && !b.except.has(to)
}

type listedPackage struct {
	ImportPath    string
	Imports, Deps []string
}

// packages are ours, with all that they import outside their tests.
func packages(t *testing.T) (out []listedPackage) {
	t.Helper()
	list := exec.Command("go", "list", "-deps", "-json=ImportPath,Imports,Deps", "./...")
	list.Dir = root
	b, err := list.Output()
	if err != nil {
		t.Fatal(err)
	}
	d := json.NewDecoder(bytes.NewReader(b))
	for d.More() {
		var p listedPackage
		if err := d.Decode(&p); err != nil {
			t.Fatal(err)
		}
		if ours.has(p.ImportPath) {
			out = append(out, p)
		}
	}
	return out
}

// The import order goes one way.
func TestImportOrder(t *testing.T) {
	ps := packages(t)
	for _, b := range bans {
		bound := 0
		for _, p := range ps {
			if b.from.has(p.ImportPath) && !b.but.has(p.ImportPath) {
				bound++
			}
			list := p.Imports
			if b.deep {
				list = p.Deps
			}
			for _, x := range list {
				if b.catches(p.ImportPath, x) {
					t.Errorf("%s imports %s: %s", p.ImportPath, x, b.reason)
				}
			}
		}
		if bound == 0 {
			t.Errorf("the ban %q binds no package", b.reason)
		}
	}
}

// Every ban catches a breach of itself, so none of them is a ban in name only.
func TestBansBite(t *testing.T) {
	for _, b := range bans {
		if b.reason == "" || !b.catches(b.breach[0], b.breach[1]) {
			t.Errorf("the ban %q does not catch %s importing %s", b.reason, b.breach[0], b.breach[1])
		}
	}
}

// judged is the named exception: the day it loses CUE, this says so and the ban can take it in.
func TestJudgedIsStillTheException(t *testing.T) {
	for _, p := range packages(t) {
		if p.ImportPath == mod+"compiler/report/judged" && !slices.ContainsFunc(p.Deps, cue.has) {
			t.Error("judged no longer has CUE below it: add it to the ban on CUE under output")
		}
	}
}

// docs/architecture.md has a row for each room. The maker of the zone archive stands in the row of its room, and the command itself
// calls cli and nothing else.
func TestRoomsAreDescribed(t *testing.T) {
	text, err := os.ReadFile(root + "docs/architecture.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range packages(t) {
		room := strings.TrimPrefix(p.ImportPath, mod)
		if room != "compiler/zone/gen" && room != "cmd/isocue" && !bytes.Contains(text, []byte("\n| `"+room+"` | ")) {
			t.Errorf("docs/architecture.md has no row for %s", room)
		}
	}
}
