package compiler

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/internal/guard"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
)

// Law: what means the same gets the same answer, whatever the file is called, however it is written, and in whatever order.
func TestWrittenAnewTheSame(t *testing.T) {
	c := engine(t)
	r := rand.New(rand.NewPCG(17, 4))
	files, ways := 20, 4
	if full {
		files, ways = 200, 10
	}
	at := time.Date(2027, 1, 3, 22, 0, 0, 0, time.UTC)
	rejected := 0
	for i := range 2 * files {
		src, name, from := aRecord(t, r), "ours.yaml", guard.YAML
		if i%2 == 0 {
			src, name, from = bent(r), "ours.cue", guard.CUE
		}
		plain := c.Reader.Bytes(name, []byte(src))
		var against []*load.Protocol
		if plain.Client != nil {
			against = append(against, &c.Standard(standards[r.IntN(len(standards))]).Protocols[0], &c.Standard("slow-breathing-short-pause").Protocols[0])
		}
		first := c.Lint(plain, at, against...)
		want := (&writer{}).answer(first)
		if finding.Rejected(first) {
			rejected++
		}
		data, err := json.Marshal(plain.Node)
		if err != nil {
			t.Fatal(err)
		}
		for range ways {
			w := writer{r: r}
			name, text := w.again(t, data, from)
			slices.Reverse(against)
			if got := w.answer(c.Lint(c.Reader.Bytes(name, []byte(text)), at, against...)); !slices.Equal(got, want) {
				t.Fatalf("%s is told\n%s\nand as it was written first\n%s\n%s\n%s", name, strings.Join(got, "\n"), strings.Join(want, "\n"), text, src)
			}
		}
	}
	if rejected < files/2 || rejected > 2*files-files/4 {
		t.Errorf("%d of %d are rejected: the law would hold of one answer alone", rejected, 2*files)
	}
}

// The plan of a record that was written anew is the same to the byte of its calendar. The order in which protocols are named says
// which goes first in a sitting, and no more: each has as many sessions.
func TestWrittenAnewSamePlan(t *testing.T) {
	c := engine(t)
	r := rand.New(rand.NewPCG(23, 9))
	in := demo(t, c, "handgrip-start", "slow-breathing-short-pause", "inspiratory-strength")
	data, err := json.Marshal(in.Client.Node)
	if err != nil {
		t.Fatal(err)
	}
	count := func(p *record.Plan) map[string]int {
		n := map[string]int{}
		for _, s := range p.Sessions {
			n[s.Protocol]++
		}
		return n
	}
	first := plan(t, c, in)
	for range 4 {
		w := writer{r: r}
		name, text := w.again(t, data, guard.YAML)
		if in.Client = c.Reader.Bytes(name, []byte(text)).Client; in.Client == nil {
			t.Fatalf("%s is not read: %s", name, text)
		}
		if !bytes.Equal(calendarOf(t, plan(t, c, in)), calendarOf(t, first)) {
			t.Errorf("%s gives another calendar\n%s", name, text)
		}
		other := in
		other.Protocols = slices.Clone(in.Protocols)
		r.Shuffle(len(other.Protocols), func(i, j int) {
			other.Protocols[i], other.Protocols[j] = other.Protocols[j], other.Protocols[i]
		})
		if got, want := count(plan(t, c, other)), count(first); !maps.Equal(got, want) {
			t.Errorf("in another order of protocols: %v sessions, not %v", got, want)
		}
	}
}

// The same log in another order of rows and columns, with other marks between cells, headings in other letters and other line ends
// tells the same.
func TestLogsWrittenAnew(t *testing.T) {
	c := engine(t)
	r := rand.New(rand.NewPCG(29, 2))
	logs, ways := 8, 4
	if full {
		logs, ways = 200, 10
	}
	cl, at, told := tomas(t, c, nil), time.Date(2027, 3, 29, 8, 0, 0, 0, time.UTC), 0
	tells := func(src string) (out []string) {
		f := followed(t, c, cl, src, "", at)
		for _, x := range f.Tells {
			out = append(out, fmt.Sprint(x.Rule, x.On, x.Who, x.HowSoon, x.Times, x.Closed, x.Why))
		}
		return append(out, fmt.Sprint(f.Verdict, len(f.Rows)))
	}
	for range logs {
		src := aLog(r)
		want := tells(src)
		told += len(want) - 1
		rows := strings.Split(strings.TrimSuffix(src, "\n"), "\n")
		for range ways {
			columns := r.Perm(len(strings.Split(rows[0], ",")))
			order := r.Perm(len(rows) - 1)
			mark, end := []string{",", ";", "\t"}[r.IntN(3)], []string{"\n", "\r\n"}[r.IntN(2)]
			line := func(row string, quoted bool, word func(string) string) string {
				cells := strings.Split(row, ",")
				var out []string
				for _, i := range columns {
					x := word(cells[i])
					if quoted {
						x = `"` + x + `"`
					}
					out = append(out, x)
				}
				return strings.Join(out, mark) + end
			}
			text := []string{"", "\ufeff"}[r.IntN(2)] + line(rows[0], r.IntN(2) == 0, []func(string) string{strings.ToUpper, strings.ToLower, strings.TrimSpace}[r.IntN(3)])
			for _, i := range order {
				text += line(rows[1+i], r.IntN(4) == 0, strings.TrimSpace)
			}
			if got := tells(text); !slices.Equal(got, want) {
				t.Fatalf("told\n%s\nand first\n%s\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"), text)
			}
		}
	}
	if told < logs {
		t.Errorf("only %d alerts of %d logs", told, logs)
	}
}
