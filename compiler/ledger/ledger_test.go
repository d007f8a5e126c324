package ledger

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"isocue.example/compiler/finding"
)

func line(n int) Line {
	return Line{Time: "2027-01-03T09:00:00Z", File: "a.cue", Digest: fmt.Sprint(n), Rule: "r", Verdict: "unsafe", Base: "v0.1", By: "t"}
}

func TestChain(t *testing.T) {
	name := filepath.Join(t.TempDir(), "l.jsonl")
	for i := range 3 {
		if n, err := Append(name, []Line{line(i), line(i + 1)}); err != nil || n != map[bool]int{true: 2, false: 1}[i == 0] {
			t.Fatal(n, err)
		}
	}
	ls, torn, err := Read(name)
	if err != nil || torn || len(ls) != 4 || ls[0].Prev != "" || ls[1].Prev == "" {
		t.Fatal(ls, torn, err)
	}
	good, _ := os.ReadFile(name)
	lines := strings.SplitAfter(string(good), "\n")
	for why, text := range map[string]string{
		"changed": strings.Replace(string(good), `"unsafe"`, `"accepted"`, 1),
		"dropped": lines[0] + lines[2] + lines[3],
		"put in":  lines[0] + lines[0] + lines[1] + lines[2] + lines[3],
		"swapped": lines[1] + lines[0] + lines[2] + lines[3],
		"garbage": lines[0] + "hello\n" + lines[1],
	} {
		if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		var b *Broken
		if _, _, err := Read(name); !errors.As(err, &b) {
			t.Errorf("%s: %v", why, err)
		}
		if _, err := Append(name, []Line{line(9)}); err == nil {
			t.Errorf("%s: a broken ledger was written on", why)
		}
		if after, _ := os.ReadFile(name); string(after) != text {
			t.Errorf("%s: a broken ledger was changed", why)
		}
	}
	// a torn last line was never reported as written: it is told, and mended by the next writer
	if err := os.WriteFile(name, good[:len(good)-9], 0o600); err != nil {
		t.Fatal(err)
	}
	if ls, torn, err := Read(name); err != nil || !torn || len(ls) != 3 {
		t.Error(len(ls), torn, err)
	}
	if n, err := Append(name, []Line{line(3)}); err != nil || n != 1 {
		t.Error(n, err)
	}
	if after, _ := os.ReadFile(name); !bytes.Equal(after, good) {
		t.Error("mending gave other bytes")
	}
}

func TestOf(t *testing.T) {
	head := line(1)
	head.Rule, head.Verdict = "", ""
	reject := finding.Finding{Rule: "a", Verdict: finding.Unsafe, Found: "0.9", Protocol: "p", Revision: 2}
	private := finding.Finding{Rule: "b", Verdict: finding.Unsafe, Found: "182", Private: true}
	waived := finding.Finding{Rule: "c", Verdict: finding.OutOfEvidence, Waiver: "B"}
	caution := finding.Finding{Rule: "d", Verdict: finding.Caution}
	for _, c := range []struct {
		fs   []finding.Finding
		want string
	}{
		{nil, "accepted::"}, {[]finding.Finding{caution}, "accepted::"}, {[]finding.Finding{reject, caution}, "unsafe:a:0.9"},
		{[]finding.Finding{private}, "unsafe:b:"}, {[]finding.Finding{waived}, "waived:c:"}, {[]finding.Finding{reject, waived}, "unsafe:a:0.9 waived:c:"},
	} {
		var got []string
		for _, l := range Of(head, c.fs) {
			got = append(got, l.Verdict+":"+l.Rule+":"+l.Found)
		}
		if strings.Join(got, " ") != c.want {
			t.Errorf("%v, want %s", got, c.want)
		}
	}
}

// Writers at once lose nothing: each line of each is there once, in one chain.
func TestWritersAtOnce(t *testing.T) {
	name := filepath.Join(t.TempDir(), "l.jsonl")
	var wg sync.WaitGroup
	for w := range 4 {
		wg.Go(func() {
			for i := range 25 {
				if n, err := Append(name, []Line{line(1000*w + i)}); err != nil || n != 1 {
					t.Error(n, err)
				}
			}
		})
	}
	wg.Wait()
	if ls, torn, err := Read(name); err != nil || torn || len(ls) != 100 {
		t.Error(len(ls), torn, err)
	}
}

// A writer killed in the middle of a thousand writes, again and again: the chain verifies, and every line that was reported
// as written is there.
func TestKilledWriters(t *testing.T) {
	if name := os.Getenv("ISOCUE_LEDGER_WRITER"); name != "" {
		for i := range 1000 {
			l := line(i)
			l.File = os.Getenv("ISOCUE_LEDGER_ROUND")
			l.Digest = l.File + "/" + fmt.Sprint(i)
			if _, err := Append(name, []Line{l}); err != nil {
				os.Exit(3)
			}
			fmt.Println(l.Digest)
		}
		os.Exit(0)
	}
	name := filepath.Join(t.TempDir(), "l.jsonl")
	reported := map[string]bool{}
	for round := range 12 {
		cmd := exec.Command(os.Args[0], "-test.run", "^TestKilledWriters$")
		cmd.Env = append(os.Environ(), "ISOCUE_LEDGER_WRITER="+name, fmt.Sprintf("ISOCUE_LEDGER_ROUND=%d", round))
		var out bytes.Buffer
		cmd.Stdout = &out
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		time.Sleep(time.Duration(20+7*round) * time.Millisecond)
		cmd.Process.Kill()
		cmd.Wait()
		whole, _, _ := strings.Cut(out.String()+"\n", "PASS")
		for _, l := range strings.SplitAfter(whole, "\n") {
			if d, ok := strings.CutSuffix(l, "\n"); ok && d != "" {
				reported[d] = true
			}
		}
		ls, _, err := Read(name)
		if err != nil && !strings.Contains(err.Error(), "no such ledger") {
			t.Fatal(err)
		}
		have := map[string]bool{}
		for _, l := range ls {
			have[l.Digest] = true
		}
		for d := range reported {
			if !have[d] {
				t.Fatalf("round %d: %s was reported as written and is gone", round, d)
			}
		}
	}
	if len(reported) < 20 {
		t.Errorf("only %d lines were written before the kills", len(reported))
	}
	t.Logf("12 kills, %d lines reported as written, all there", len(reported))
}
