//go:build unix

package hostile

import (
	"bufio"
	"fmt"
	"io"
	"os"
	"strings"
	"testing"
)

// fill repeats a text up to about n bytes.
func fill(w io.Writer, s string, n int) {
	block := strings.Repeat(s, max(1, min(n, 32_000)/len(s)))
	for ; n >= len(block); n -= len(block) {
		io.WriteString(w, block)
	}
	io.WriteString(w, strings.Repeat(s, n/len(s)))
}

// around is a text repeated between two others, up to the size that is read.
func around(before, s, after string) func(io.Writer, string) {
	return func(w io.Writer, _ string) {
		io.WriteString(w, before)
		fill(w, s, 65_000)
		io.WriteString(w, after)
	}
}

// record writes a record of one kind with n more fields.
func record(w io.Writer, form, kind string, n int, name func(int) string, value string) {
	fmt.Fprintf(w, map[string]string{"json": `{"%s": "handgrip"`, "cue": "%s: \"handgrip\"\n", "yaml": "%s: handgrip\n"}[form], kind)
	for i := range n {
		fmt.Fprintf(w, map[string]string{"json": `,"%s":%s`, "cue": "%s:%s\n", "yaml": "%s: %s\n"}[form], name(i), value)
	}
	fmt.Fprint(w, map[string]string{"json": "}"}[form])
}

// rules is a policy with n rules of its own.
func rules(n int, facts, value, must string, examples int) string {
	var b strings.Builder
	b.WriteString("reviewers: [\"B\"]\nrules: {\n")
	for i := range n {
		fmt.Fprintf(&b, "\t\"clinic-x%d\": {\n\t\ttitle: \"t\", about: \"stage\", verdict: \"unsafe\", given: {...}\n\t\twhen: modality: \"handgrip\"\n", i)
		if facts != "" {
			fmt.Fprintf(&b, "\t\tfacts: {\n\t\t%s\n\t\t}\n", facts)
		}
		fmt.Fprintf(&b, "\t\tvalue: %s, must: %s, at: \"holdSeconds\", message: \"m {value}\", rationale: \"What stands here is long enough to be a reason that somebody wrote.\", remedy: \"hold for less\", sources: [\"practice\"], since: \"v0.1\"\n", value, must)
		fmt.Fprintf(&b, "\t\texamples: {of: \"handgrip-alternating\", pass: [%s], fail: [{holdSeconds: 181}]}\n\t}\n", strings.Repeat("{holdSeconds: 180},", examples))
	}
	b.WriteString("}\n")
	return b.String()
}

// make writes a maker's input into a file.
func (m maker) file(t testing.TB, name, form string) {
	t.Helper()
	f, err := os.Create(name)
	if err != nil {
		t.Fatal(err)
	}
	if m.name == "a-gigabyte-of-nothing" {
		m.write(f, form)
	} else {
		b := bufio.NewWriterSize(f, 1<<16)
		m.write(b, form)
		err = b.Flush()
	}
	if cerr := f.Close(); err == nil {
		err = cerr
	}
	if err != nil {
		t.Fatal(err)
	}
}
