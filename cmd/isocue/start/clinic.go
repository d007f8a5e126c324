package start

import (
	"fmt"
	"io/fs"
	"path"
	"strings"
	"time"

	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/tree"
	"isocue.example/schema"
)

// File is one file of the clinic's folder, by its slash path in it.
type File struct {
	Name string
	Data []byte
	Mode fs.FileMode // 0600 for what is about clients
}

// Where things of ours stand in the clinic's folder.
const (
	Module  = "cue.mod/module.cue"         // tells a clinic's folder
	Copy    = "cue.mod/pkg/" + schema.Path // the copy of the schema, for the editor and the cue command
	Records = "clients/clients.cue"        // holds the client records against the schema, for the same two
)

// Ours are the files that belong to isocue and not to the clinic: the copy of the schema, and what leads to it. They are the
// same in every clinic's folder, and a refresh writes them anew.
func Ours() ([]File, error) {
	names, err := fs.Glob(schema.FS, "*.cue")
	if err != nil {
		return nil, err
	}
	var out []File
	for _, n := range names {
		b, err := schema.FS.ReadFile(n)
		if err != nil {
			return nil, err
		}
		out = append(out, File{path.Join(Copy, n), b, 0o644})
	}
	b, err := texts.ReadFile("clinic/clients.cue")
	return append(out, File{Records, b, 0o644}), err
}

// Clinic is a clinic's folder: example protocols, one made-up client, policy, waivers, an empty ledger, a hook, and Ours.
// Module comes last: until it is there, the folder is not told as a clinic's. standard finds a standard protocol by id.
func Clinic(b *rule.Base, standard func(id string) *tree.Node, now time.Time) ([]File, error) {
	out, err := Ours()
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
		out = append(out, File{"protocols/" + x.id + ".cue", p, 0o644})
	}
	var answers strings.Builder
	for _, q := range b.Questions {
		fmt.Fprintf(&answers, "    %s: \"no\"\n", q.ID)
	}
	client, err := text("clinic/client.yaml", dated(now, map[string]string{"questions": fmt.Sprint(b.QuestionSet),
		"answers": strings.TrimSuffix(answers.String(), "\n")}))
	if err != nil {
		return nil, err
	}
	out = append(out, File{"clients/plover-12.yaml", []byte(client), 0o600}, File{"ledger.jsonl", nil, 0o600})
	for _, x := range []struct {
		from, to string
		mode     fs.FileMode
	}{{"README.md", "README.md", 0o644}, {"policy.cue", "policy.cue", 0o644}, {"waivers.cue", "waivers.cue", 0o644},
		{"pre-commit", "hooks/pre-commit", 0o755}, {"module.cue", Module, 0o644}} {
		b, err := texts.ReadFile("clinic/" + x.from)
		if err != nil {
			return nil, err
		}
		out = append(out, File{x.to, b, x.mode})
	}
	return out, nil
}
