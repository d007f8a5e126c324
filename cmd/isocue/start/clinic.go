package start

import (
	"fmt"
	"io/fs"
	"path"
	"strings"
	"time"

	"isocue.example/compiler/files"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/tree"
	"isocue.example/schema"
)

// Where things of ours stand in the clinic's folder.
const (
	Module  = "cue.mod/module.cue"         // tells a clinic's folder
	Copy    = "cue.mod/pkg/" + schema.Path // the copy of the schema, for the editor and the cue command
	Clients = "clients"
	// Version says which form the folder has.
	Version = "isocue.yaml"
	// Attributes tells git to keep the lines of both where two people added to one diary or log.
	Attributes = ".gitattributes"
)

// SchemaCopy is the copy of the schema: the same in every clinic's folder, and not the clinic's to change.
func SchemaCopy() ([]files.File, error) {
	names, err := fs.Glob(schema.FS, "*.cue")
	if err != nil {
		return nil, err
	}
	var out []files.File
	for _, n := range names {
		b, err := schema.FS.ReadFile(n)
		if err != nil {
			return nil, err
		}
		out = append(out, files.File{Name: path.Join(Copy, n), Data: b, Mode: 0o644})
	}
	return out, nil
}

// AttributesText is what stands in Attributes.
func AttributesText() ([]byte, error) { return texts.ReadFile("clinic/gitattributes") }

// example is the file of the made-up client.
const example = "plover-12.yaml"

// Clinic is a clinic's folder: example protocols, one made-up client, policy, waivers, a hook, the schema copy.
// Module comes last: until it is there, the folder is not told as a clinic's. standard finds a standard protocol by id.
func Clinic(b *rule.Base, standard func(id string) *tree.Node, now time.Time) ([]files.File, error) {
	out, err := SchemaCopy()
	if err != nil {
		return nil, err
	}
	for _, x := range []struct {
		m         record.Modality
		id, title string
	}{{record.Handgrip, "harbour-grip", "Harbour handgrip"}, {record.SlowBreathing, "harbour-breath", "Harbour slow breathing"}} {
		p, err := Protocol(standard(From[x.m]), x.id, x.title, load.CUE)
		if err != nil {
			return nil, err
		}
		out = append(out, files.File{Name: "protocols/" + x.id + ".cue", Data: p, Mode: 0o644})
	}
	var answers strings.Builder
	for _, q := range b.Questions() {
		fmt.Fprintf(&answers, "    %s: \"no\"\n", q.ID)
	}
	client, err := text("clinic/client.yaml", dated(now, b.MadeUp.Names, map[string]string{"questions": fmt.Sprint(b.QuestionSet()),
		"answers": strings.TrimSuffix(answers.String(), "\n")}))
	if err != nil {
		return nil, err
	}
	out = append(out, files.File{Name: path.Join(Clients, example), Data: []byte(client), Mode: 0o600},
		files.File{Name: path.Join(Clients, RecordsName), Data: Records([]string{example}), Mode: 0o644})
	for _, x := range []struct {
		from, to string
		mode     fs.FileMode
	}{{"README.md", "README.md", 0o644}, {"policy.cue", "policy.cue", 0o644}, {"waivers.cue", "waivers.cue", 0o644},
		{"pre-commit", "hooks/pre-commit", 0o755}, {"ci.sh", "hooks/ci.sh", 0o755}, {"pre-commit-hooks.yaml", ".pre-commit-hooks.yaml", 0o644}, {"gitattributes", Attributes, 0o644}, {"isocue.yaml", Version, 0o644}, {"module.cue", Module, 0o644}} {
		b, err := texts.ReadFile("clinic/" + x.from)
		if err != nil {
			return nil, err
		}
		out = append(out, files.File{Name: x.to, Data: b, Mode: x.mode})
	}
	return out, nil
}
