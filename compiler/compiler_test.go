package compiler

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"golang.org/x/tools/txtar"

	"isocue.example/compiler/calendar"
	"isocue.example/compiler/check"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/record"
	"isocue.example/compiler/report/plans"
	"isocue.example/compiler/unit"
)

func engine(t testing.TB) *Compiler {
	t.Helper()
	c, err := New(nil)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

var now = time.Date(2027, 1, 3, 9, 0, 0, 0, time.UTC)

func demo(t testing.TB, c *Compiler, ids ...string) Input {
	t.Helper()
	f, err := c.Reader.Path(filepath.Join("..", "testdata", "demo", "client.yaml"))
	if err != nil || f.Client == nil {
		t.Fatal(err, f.Findings)
	}
	in := Input{Client: f.Client, Now: now}
	in.Start, _ = unit.ParseDate("2027-01-04")
	for _, id := range ids {
		in.Protocols = append(in.Protocols, &c.Standard(id).Protocols[0])
	}
	return in
}

func plan(t testing.TB, c *Compiler, in Input) *record.Plan {
	t.Helper()
	r, err := c.Compile(in)
	if err != nil || r.Plan == nil {
		t.Fatal(err, r.Findings)
	}
	return r.Plan
}

// Published vector: RFC 9562, appendix A.4, the version 5 UUID of www.example.com in the DNS name space.
func TestIdentityIsUUID5(t *testing.T) {
	dns := [16]byte{0x6b, 0xa7, 0xb8, 0x10, 0x9d, 0xad, 0x11, 0xd1, 0x80, 0xb4, 0x00, 0xc0, 0x4f, 0xd4, 0x30, 0xc8}
	if got := fmt.Sprintf("%x", record.UUID5(dns, "www.example.com")); got != "2ed6657de927568b95e12665a8aea6a2" {
		t.Error(got)
	}
}

// Take the caution text away and every output fails: no page of ours stands alone.
func TestNothingWithoutCautions(t *testing.T) {
	for _, cs := range [][]record.Caution{nil, {{ID: "a", Text: ""}}} {
		c := engine(t)
		base := *c.Check.Base
		base.Cautions = cs
		c.Check = check.New(&base)
		p := plan(t, c, demo(t, c, "handgrip-alternating"))
		if _, err := calendar.Encode(nil, p, calendar.Options{Version: "t"}); err == nil {
			t.Error("a calendar was written without cautions")
		}
		if plans.JSON(&bytes.Buffer{}, p) == nil {
			t.Error("a plan was written without cautions")
		}
		if plans.Table(&bytes.Buffer{}, p) == nil {
			t.Error("a table was written without cautions")
		}
	}
}

// Every caution stands in every event, and an unsafe protocol never yields a plan, whatever stands beside it.
func TestCautionsStandAndUnsafeFalls(t *testing.T) {
	c := engine(t)
	p := plan(t, c, demo(t, c, "handgrip-alternating", "slow-breathing-even"))
	b, err := calendar.Encode(nil, p, calendar.Options{Version: "t"})
	if err != nil {
		t.Fatal(err)
	}
	text := strings.ReplaceAll(string(b), "\r\n ", "")
	for _, x := range p.Cautions {
		if n := strings.Count(text, strings.NewReplacer(",", "\\,", ";", "\\;").Replace(x.Text)); n != len(p.Sessions)+len(p.Others) {
			t.Errorf("caution %s stands in %d of %d entries", x.ID, n, len(p.Sessions)+len(p.Others))
		}
	}
	f, err := c.Reader.Path(filepath.Join("..", "testdata", "demo", "unsafe.cue"))
	if err != nil {
		t.Fatal(err)
	}
	in := demo(t, c, "slow-breathing-even")
	in.Protocols = append(in.Protocols, &f.Protocols[0])
	if r, err := c.Compile(in); err != nil || r.Plan != nil || !finding.Rejected(r.Findings) {
		t.Errorf("unsafe gave a plan: %v %v", err, r.Findings)
	}
}

// Stage goldens: what each stage makes of a protocol and the demo client. ISOCUE_UPDATE=1 writes them anew.
func TestStages(t *testing.T) {
	files, err := filepath.Glob(filepath.Join("..", "testdata", "compile", "*.txtar"))
	if err != nil || len(files) < 3 {
		t.Fatal(err, files)
	}
	c := engine(t)
	for _, name := range files {
		t.Run(strings.TrimSuffix(filepath.Base(name), ".txtar"), func(t *testing.T) {
			ar, err := txtar.ParseFile(name)
			if err != nil {
				t.Fatal(err)
			}
			in := demo(t, c)
			for _, f := range ar.Files {
				if strings.HasSuffix(f.Name, ".cue") {
					x := c.Reader.Bytes(f.Name, f.Data)
					if len(x.Protocols) != 1 {
						t.Fatal(x.Findings)
					}
					in.Protocols = append(in.Protocols, &x.Protocols[0])
				}
			}
			got := stages(t, c, in)
			for i, f := range ar.Files {
				if f.Name != "stages.txt" {
					continue
				}
				if os.Getenv("ISOCUE_UPDATE") != "" {
					ar.Files[i].Data = []byte(got)
					if err := os.WriteFile(name, txtar.Format(ar), 0o644); err != nil {
						t.Fatal(err)
					}
				} else if d := cmp.Diff(string(f.Data), got); d != "" {
					t.Errorf("-want +got\n%s", d)
				}
			}
		})
	}
}

func stages(t *testing.T, c *Compiler, in Input) string {
	var b strings.Builder
	r, err := c.Compile(in)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range r.Findings {
		fmt.Fprintf(&b, "%s: %s: %s: %s [%s]\n", f.Pos, f.Path, f.Verdict, f.Message, f.Rule)
	}
	if r.Plan == nil {
		return b.String() + "refused\n"
	}
	for _, pr := range in.Protocols {
		for _, s := range pr.Record.Stages {
			k := r.Plan.Kinds[fmt.Sprintf("%s/%d", pr.Record.ID, s.Index)]
			fmt.Fprintf(&b, "stage %d: weeks %d to %d, work %s s\n", s.Index, s.FromWeek, s.FromWeek+s.Weeks-1, k.WorkSeconds)
			for _, d := range k.Loads {
				fmt.Fprintf(&b, "  dose %s: maximum %s, wanted %s, set %s %s (%s), %s to %s\n", d.Hand, d.Maximum, d.Wanted, d.Set, d.Unit, d.Share.Percent(), d.Low, d.High)
			}
			for _, st := range k.Steps {
				fmt.Fprintf(&b, "  step %s %s s %s", st.Kind, st.Seconds, st.Hand)
				if st.Target != nil {
					fmt.Fprintf(&b, " %s %s", *st.Target, st.Unit)
				}
				if st.Count > 0 {
					fmt.Fprintf(&b, " x%d", st.Count)
				}
				b.WriteString("\n")
			}
		}
	}
	for _, s := range r.Plan.Sessions {
		fmt.Fprintf(&b, "%s %s week %d slot %d %d s gate %v end %v %s\n", s.Start, s.Kind, s.Week, s.Slot, s.Seconds, s.Gate, s.End, s.Status)
	}
	for _, o := range r.Plan.Others {
		fmt.Fprintf(&b, "%s %s\n", o.Date, o.What)
	}
	for _, u := range r.Plan.Unplaced {
		fmt.Fprintf(&b, "no place: week %d %s: %s; %s\n", u.Week, u.Protocol, u.Reason, u.Fix)
	}
	return b.String()
}

// The same input gives the same bytes; identities do not depend on dates or content.
func TestDeterminism(t *testing.T) {
	c := engine(t)
	in := demo(t, c, "handgrip-alternating", "slow-breathing-short-pause")
	var first []byte
	for range 3 {
		var b bytes.Buffer
		if err := plans.JSON(&b, plan(t, c, in)); err != nil {
			t.Fatal(err)
		}
		if first == nil {
			first = b.Bytes()
		} else if !bytes.Equal(first, b.Bytes()) {
			t.Fatal("two compiles differ")
		}
	}
	uids := map[string]bool{}
	p := plan(t, c, in)
	for _, s := range p.Sessions {
		if uids[s.UID] {
			t.Errorf("%s stands twice", s.UID)
		}
		uids[s.UID] = true
	}
	in.Client.Record.Away = []record.Span{{From: in.Start + 7, To: in.Start + 9}}
	kept := 0
	for _, s := range plan(t, c, in).Sessions {
		if uids[s.UID] {
			kept++
		}
	}
	if kept < len(p.Sessions)*9/10 {
		t.Errorf("days away changed identities: %d of %d kept", kept, len(p.Sessions))
	}
	in.Client.Record.Away = nil
}
