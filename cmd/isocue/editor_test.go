//go:build full

package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"net/textproto"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// editorRow is one place in one file, marked ‸, and what the CUE language server gives there.
type editorRow struct {
	why, file, text string
	offers, bars    []string // labels that completion must and must not have
	nothing         bool     // completion gives no label: a limit of the server, kept here so that an upgrade tells when it moves
	hover           string   // what hover says first, "" where hover is not asked for
}

const clinicHead = "package clinic\n\nimport \"isocue.example/schema\"\n\n"

const head = "package protocols\n\nimport \"isocue.example/schema\"\n\n"

var editorRows = []editorRow{
	{why: "a field is being typed in a protocol", file: "protocols/typed.cue", text: head + "typed: schema.#Protocol & {\n\thold‸\n}\n",
		offers: []string{"holdSeconds", "restSeconds", "rounds", "hands", "breath", "minutesPerSession", "sets", "load", "ramp", "weeks", "expects", "phase"}},
	{why: "the modality's own definition narrows what is offered", file: "protocols/typed.cue", text: head + "typed: schema.#Handgrip & {\n\thold‸\n}\n",
		offers: []string{"holdSeconds", "restSeconds", "rounds", "hands", "startHand", "load", "ramp"}, bars: []string{"breath", "minutesPerSession", "sets"}},
	{why: "inside a load", file: "protocols/typed.cue", text: head + "typed: schema.#Handgrip & {\n\tload: {\n\t\t‸\n\t}\n}\n",
		offers: []string{"fraction"}, bars: []string{"kneeDegrees"}},
	{why: "inside a ramp entry", file: "protocols/typed.cue", text: head + "typed: schema.#SlowBreathing & {\n\tramp: [{\n\t\t‸\n\t}]\n}\n",
		offers: []string{"weeks", "breath", "minutesPerSession"}},
	{why: "the definitions of the schema, behind its name", file: "protocols/typed.cue", text: head + "typed: schema.‸\n",
		offers: []string{"#Protocol", "#Handgrip", "#SlowBreathing", "#Inspiratory", "#WallSquat"}},
	{why: "the words that a field may have are not offered", file: "protocols/typed.cue", text: head + "typed: schema.#Handgrip & {\n\thands: \"al‸\"\n}\n", nothing: true},
	{why: "hover tells what a field is, its unit and its span", file: "protocols/typed.cue", text: head + "typed: schema.#Handgrip & {\n\thold‸Seconds: 120\n}\n",
		offers: []string{"holdSeconds"}, hover: "Length of one squeeze in whole seconds, 1 to 3600."},
	{why: "hover in a protocol of no chosen definition", file: "protocols/typed.cue", text: head + "typed: schema.#Protocol & {\n\tretest‸Weeks: 4\n}\n",
		offers: []string{"retestWeeks"}, hover: "After how many weeks to measure again and compile again, 1 to 104."},
	{why: "a field of a client record", file: "clients/heron-07.yaml", text: "id: heron-07\nzo‸ne: Europe/Lisbon\n",
		offers: []string{"born", "dominantHand", "measured", "screening", "medicines", "hours", "devices", "away"}, bars: []string{"holdSeconds"}, hover: "IANA time zone, such as Europe/Lisbon."},
	{why: "inside a list of a client record", file: "clients/heron-07.yaml", text: "id: heron-07\nhours:\n  - {fr‸om: \"07:00\"}\n", offers: []string{"days", "from", "to"}, hover: "From this time of day."},
	{why: "a client record in JSON", file: "clients/heron-07.json", text: "{\"id\": \"heron-07\", \"zo‸ne\": \"Europe/Lisbon\"}\n", offers: []string{"\"dominantHand\"", "\"zone\""}, hover: "IANA time zone, such as Europe/Lisbon."},
	{why: "an entry of a diary", file: "clients/heron-07.diary.yaml", text: "- {date: 2027-01-02, by: \"L. Brandt\", il‸l: \"fever\"}\n",
		offers: []string{"note", "time", "well", "symptom", "pause", "void"}, bars: []string{"zone", "measured"}, hover: "Ill from that day on, until well: what it is, such as \"fever\"."},
	{why: "inside an entry", file: "clients/heron-07.diary.yaml", text: "- {date: 2027-01-02, by: \"L. Brandt\", grip: {ha‸nd: left}}\n", offers: []string{"unit", "trials", "score", "with"}, bars: []string{"date"}, hover: "Which hand."},
	{why: "an empty line of a client record", file: "clients/heron-07.yaml", text: "id: heron-07\n‸\nzone: Europe/Lisbon\n", nothing: true},
	{why: "a name half typed in YAML is an error of syntax, and nothing is offered", file: "clients/heron-07.yaml", text: "id: heron-07\nzon‸\n", nothing: true},
	{why: "a field of the policy", file: "policy.cue", text: clinicHead + "policy: schema.#Policy & {\n\tlim‸its: \"grip-load-ceiling\": ceiling: 0.40\n}\n",
		offers: []string{"limits", "reviewers", "options"}, bars: []string{"holdSeconds"}, hover: "Tighter numbers for limits of the rule base: rule id, limit name, number."},
	{why: "a waiver", file: "waivers.cue", text: clinicHead + "waivers: schema.#Waivers & [{\n\tru‸\n}]\n", offers: []string{"rule", "found", "until", "by"}},
	{why: "a field of a rule of the clinic's own", file: "clinic-ours.cue", text: clinicHead + "#rules: \"clinic-ours\": schema.#Rule & {\n\trem‸\n}\n",
		offers: []string{"remedy", "write", "given", "milder"}},
	{why: "a fact that is misspelt so far: the right one is offered", file: "clinic-ours.cue",
		text:   clinicHead + "#rules: \"clinic-ours\": schema.#Rule & {\n\tgiven: schema.#Given.stage\n\tvalue: given.holdSecond‸\n}\n",
		offers: []string{"holdSeconds", "load", "previous"}, bars: []string{"ageDays"}},
}

// In a clinic's folder, offline, the CUE language server completes and explains what the schema says. It is driven as an editor
// drives it: LSP 3.17 over standard input and output.
func TestEditorCompletesAndExplains(t *testing.T) {
	cue := cueCommand(t)
	for _, row := range editorRows {
		dir := newClinic(t)
		ed := openEditor(t, cue, dir)
		labels, hover := ed.ask(row)
		hover, _, _ = strings.Cut(hover, "\n([") // without the link to the schema
		t.Logf("%s: %d labels; hover %q", row.why, len(labels), hover)
		for _, w := range row.offers {
			if !slices.Contains(labels, w) {
				t.Errorf("%s: %q is not offered; offered: %q", row.why, w, labels)
			}
		}
		for _, w := range row.bars {
			if slices.Contains(labels, w) {
				t.Errorf("%s: %q is offered; offered: %q", row.why, w, labels)
			}
		}
		if row.nothing && len(labels) > 0 {
			t.Errorf("%s: %q is offered now; say so in docs/guide.md", row.why, labels)
		}
		if row.hover != "" && hover != row.hover {
			t.Errorf("%s: hover is %q, want the line %q", row.why, hover, row.hover)
		}
		ed.close()
	}
}

// editor is an LSP client that knows just enough to ask.
type editor struct {
	t    *testing.T
	dir  string
	cmd  *exec.Cmd
	in   io.WriteCloser
	out  *bufio.Reader
	last int
}

type message struct {
	Version string          `json:"jsonrpc"`
	ID      any             `json:"id,omitempty"`
	Method  string          `json:"method,omitempty"`
	Params  any             `json:"params,omitempty"`
	Result  json.RawMessage `json:"result,omitempty"`
	Error   json.RawMessage `json:"error,omitempty"`
}

func fileURI(path string) string {
	return (&url.URL{Scheme: "file", Path: filepath.ToSlash(path)}).String()
}

func openEditor(t *testing.T, cue, dir string) *editor {
	t.Helper()
	e := &editor{t: t, dir: dir, cmd: exec.Command(cue, "lsp")}
	e.cmd.Dir, e.cmd.Env, e.cmd.Stderr = dir, offline(t), io.Discard
	in, err := e.cmd.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := e.cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := e.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	e.in, e.out = in, bufio.NewReader(out)
	t.Cleanup(func() { e.cmd.Process.Kill(); e.cmd.Wait() })
	folder := map[string]any{"uri": fileURI(dir), "name": "clinic"}
	var got struct {
		Capabilities struct {
			CompletionProvider any
			HoverProvider      any
		}
	}
	e.call("initialize", map[string]any{"processId": nil, "rootUri": fileURI(dir), "capabilities": map[string]any{}, "workspaceFolders": []any{folder}}, &got)
	if got.Capabilities.CompletionProvider == nil || got.Capabilities.HoverProvider != true {
		t.Fatalf("the server offers completion %v and hover %v", got.Capabilities.CompletionProvider, got.Capabilities.HoverProvider)
	}
	e.send(message{Method: "initialized", Params: map[string]any{}})
	return e
}

// ask opens the row's text, without its mark, as its file, and asks for completion and hover at the mark.
func (e *editor) ask(row editorRow) (labels []string, hover string) {
	e.t.Helper()
	before, after, ok := strings.Cut(row.text, "‸")
	if !ok {
		e.t.Fatalf("%s: no mark", row.why)
	}
	path := filepath.Join(e.dir, filepath.FromSlash(row.file))
	if err := os.WriteFile(path, []byte(before+after), 0o600); err != nil {
		e.t.Fatal(err)
	}
	isocue(e.t, "new", "clinic", e.dir, "--refresh") // the record is new: list it for the editor
	doc := map[string]any{"uri": fileURI(path)}
	e.send(message{Method: "textDocument/didOpen", Params: map[string]any{"textDocument": map[string]any{
		"uri": fileURI(path), "languageId": strings.TrimPrefix(filepath.Ext(path), "."), "version": 1, "text": before + after}}})
	at := map[string]any{"textDocument": doc, "position": map[string]any{
		"line": strings.Count(before, "\n"), "character": len(before) - strings.LastIndexByte(before, '\n') - 1}}
	var list struct{ Items []struct{ Label string } }
	e.call("textDocument/completion", at, &list)
	for _, i := range list.Items {
		if !slices.Contains(labels, i.Label) {
			labels = append(labels, i.Label)
		}
	}
	var h struct{ Contents struct{ Value string } }
	e.call("textDocument/hover", at, &h)
	return labels, h.Contents.Value
}

func (e *editor) close() {
	e.call("shutdown", nil, nil)
	e.send(message{Method: "exit"})
	if err := e.cmd.Wait(); err != nil {
		e.t.Errorf("the server ends with %v", err)
	}
}

// call sends a request and reads up to its answer; what the server asks in between is answered with nothing.
func (e *editor) call(method string, params, result any) {
	e.t.Helper()
	e.last++
	e.send(message{ID: e.last, Method: method, Params: params})
	for {
		m := e.read()
		switch {
		case m.Method != "" && m.ID != nil:
			e.send(message{ID: m.ID, Result: json.RawMessage("null")})
		case m.Method == "" && fmt.Sprint(m.ID) == strconv.Itoa(e.last):
			if m.Error != nil {
				e.t.Fatalf("%s: %s", method, m.Error)
			}
			if result != nil && len(m.Result) > 0 {
				if err := json.Unmarshal(m.Result, result); err != nil {
					e.t.Fatalf("%s: %v", method, err)
				}
			}
			return
		}
	}
}

func (e *editor) send(m message) {
	e.t.Helper()
	m.Version = "2.0"
	b, err := json.Marshal(m)
	if err == nil {
		_, err = fmt.Fprintf(e.in, "Content-Length: %d\r\n\r\n%s", len(b), b)
	}
	if err != nil {
		e.t.Fatal(err)
	}
}

func (e *editor) read() (m message) {
	e.t.Helper()
	h, err := textproto.NewReader(e.out).ReadMIMEHeader()
	if err != nil {
		e.t.Fatalf("the server says nothing more: %v", err)
	}
	n, err := strconv.Atoi(h.Get("Content-Length"))
	if err != nil {
		e.t.Fatal(err)
	}
	b := make([]byte, n)
	if _, err := io.ReadFull(e.out, b); err != nil {
		e.t.Fatal(err)
	}
	if err := json.Unmarshal(b, &m); err != nil {
		e.t.Fatal(err)
	}
	return m
}
