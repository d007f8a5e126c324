package rule

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"strings"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/internal/guard"
	"isocue.example/compiler/record"
	"isocue.example/compiler/tree"
	"isocue.example/schema"
)

// Source is what a rule rests on. Seen says how its figures were seen: read, secondary or memory.
type Source struct {
	Key, Authors, Title, In, Where, Kind, Seen, Figures string
	Year                                                int
}

// Unpublished says whether the source is the trade's habit or our own line, with nothing to look up.
func (s Source) Unpublished() bool { return s.In == "" && s.Where == "" && s.Kind == s.Key }

// Cite prints a source on one line.
func (s Source) Cite() string {
	if s.Unpublished() {
		return s.Title
	}
	t := fmt.Sprintf("%s (%d). %s", s.Authors, s.Year, s.Title)
	for _, x := range []string{s.In, s.Where} {
		if x != "" {
			t = strings.TrimSuffix(t, ".") + ". " + x
		}
	}
	return t
}

// Base is the rule base with the data that stands beside it.
type Base struct {
	Version     string
	rules       []*lazy // sorted by id
	deferred    deferred
	Medicines   map[string]MedicineClass
	Grip        []GripNorm
	Inspiratory []InspiratoryNorm
	Classes     []PressureClass // of a set and setting the gravest first
	UsualSet    string          // the guideline set of Classes that counts where nobody chose one
	Effects     []Effect
	Expected    map[record.Modality]string
	Sitting     record.Sitting
	MadeUp      MadeUp // names and numbers that belong to nobody
	Roles       Roles  // who may open a gate
	Steps       map[record.Strain]Step
	Light       record.Light // when a walk is light
	LowFromAge  int          // years from which a low pressure is a finding without a medicine too
	Course      record.CourseDays
	Signing     Signing
	gaps        []*tree.Node
	longGap     int // days
	SteadyDays  int // for which no load rises after a medicine changed
	Easings     []GapRow
	SquatLower  SquatLower
	Comparison  record.Comparison
	Cautions    []record.Caution
	Language    string          // of Cautions and Expected: a tag, "" for English
	others      map[string]told // the same in other languages, by tag
	Changes     []Change        // by version, the oldest first
}

// Load reads the embedded rule base. An error is a defect of the program.
func Load() (*Base, error) { return LoadFS(schema.FS) }

// Digest is the SHA-256 of the rule base and the data beside it, hexadecimal: two programs of one digest judge alike.
func Digest() (string, error) {
	h := sha256.New()
	err := fs.WalkDir(schema.FS, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		b, err := fs.ReadFile(schema.FS, name)
		fmt.Fprintf(h, "%s %d\n", name, len(b))
		h.Write(b)
		return err
	})
	return hex.EncodeToString(h.Sum(nil)), err
}

// LoadFS reads a rule base from the top and the rules folder of fsys. Rules are compiled when they are asked for; Check
// compiles them all.
func LoadFS(fsys fs.FS) (*Base, error) {
	b := &Base{Medicines: map[string]MedicineClass{}, deferred: readDeferred(fsys)}
	var err error
	if b.rules, err = scan(fsys); err != nil {
		return nil, err
	}
	return b, b.readData(fsys)
}

// Limit is the number that a rule of this base sets. A missing rule or limit is a defect of the program.
func (b *Base) Limit(rule, limit string) *tree.Node {
	if r := b.Rule(rule); r != nil {
		if n := r.Limit[limit]; n != nil {
			return n
		}
	}
	panic(finding.Bug{What: fmt.Sprintf("the rule base has no limit %s of rule %s", limit, rule)})
}

func data(fsys fs.FS, name string) (*tree.Node, error) {
	name = "base/" + name
	src, err := fs.ReadFile(fsys, name)
	if err != nil {
		return nil, err
	}
	d, bad := guard.Trusted("schema/"+name, src, guard.CUE, schema.Path)
	if d == nil {
		return nil, fmt.Errorf("%s: %s", bad[0].Pos, bad[0].Message)
	}
	return d.Root, nil
}

func (b *Base) readData(fsys fs.FS) error {
	var errs []error
	read := func(name string, use func(*tree.Node)) {
		if n, err := data(fsys, name); err != nil {
			errs = append(errs, err)
		} else {
			use(n)
		}
	}
	read("changes.cue", b.readChanges)
	read("version.cue", func(n *tree.Node) { b.Version = n.Get("ruleBase").Text() })
	read("medicines.cue", b.readMedicines)
	read("norms.cue", b.readNorms)
	read("classes.cue", b.readClasses)
	read("effects.cue", b.readEffects)
	read("sitting.cue", b.readSitting)
	read("examples.cue", b.readMadeUp)
	read("roles.cue", b.readRoles)
	read("steps.cue", b.readSteps)
	read("course.cue", b.readCourse)
	read("signing.cue", b.readSigning)
	read("gaps.cue", b.readGaps)
	read("comparison.cue", b.readComparison)
	read("cautions.cue", func(n *tree.Node) {
		for _, c := range n.Get("cautions").Items() {
			b.Cautions = append(b.Cautions, record.Caution{ID: c.Get("id").Text(), Text: c.Get("text").Text()})
			b.other(c, func(t *told, s string) {
				t.cautions = append(t.cautions, record.Caution{ID: c.Get("id").Text(), Text: s})
			})
		}
	})
	return errors.Join(errs...)
}
