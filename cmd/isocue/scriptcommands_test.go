package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/rogpeppe/go-internal/testscript"
)

// counts N TEXT FILE demands that TEXT stands N times in the file, folded lines joined.
func counts(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: counts N TEXT FILE")
	}
	s := strings.ReplaceAll(ts.ReadFile(args[2]), "\r\n ", "")
	if n := strings.Count(s, args[1]); fmt.Sprint(n) != args[0] {
		ts.Fatalf("%q stands %d times in %s, want %s", args[1], n, args[2], args[0])
	}
}

// big FILE MEGABYTES writes a large text file.
func big(ts *testscript.TestScript, neg bool, args []string) {
	var n int
	_, err := fmt.Sscan(args[1], &n)
	ts.Check(err)
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), bytes.Repeat([]byte("# a long comment line of plain text\n"), n<<20/36), 0o600))
}

// bytes FILE QUOTED writes a Go-quoted text, for bytes that an archive cannot hold.
func rawBytes(ts *testscript.TestScript, neg bool, args []string) {
	var s string
	_, err := fmt.Sscanf(`"`+args[1]+`"`, "%q", &s)
	ts.Check(err)
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(s), 0o600))
}

// edit SRC DST OLD NEW [OLD NEW]... copies a file with each OLD replaced by NEW once; an OLD that is not there fails. In
// OLD and NEW, \n is a line break.
func edit(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 4 || len(args)%2 != 0 {
		ts.Fatalf("usage: edit SRC DST OLD NEW [OLD NEW]...")
	}
	s := ts.ReadFile(args[0])
	for i := 2; i < len(args); i += 2 {
		before := strings.ReplaceAll(args[i], `\n`, "\n")
		if !strings.Contains(s, before) {
			ts.Fatalf("%q does not stand in %s", before, args[0])
		}
		s = strings.Replace(s, before, strings.ReplaceAll(args[i+1], `\n`, "\n"), 1)
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[1]), []byte(s), 0o600))
}

// agree KEY A B demands that what stands at a key in two files is the same, or that no value of it stands in both.
func agree(ts *testscript.TestScript, neg bool, args []string, same bool) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: differ|same KEY A B")
	}
	of := func(name string) (out []string) {
		for _, m := range regexp.MustCompile(`"`+args[0]+`": "([^"]*)"`).FindAllStringSubmatch(ts.ReadFile(name), -1) {
			out = append(out, m[1])
		}
		slices.Sort(out)
		return out
	}
	a, b := of(args[1]), of(args[2])
	if len(a) == 0 || len(b) == 0 || same && !slices.Equal(a, b) {
		ts.Fatalf("%d and %d values of %s, allowed: the same ones", len(a), len(b), args[0])
	}
	for _, x := range a {
		if !same && slices.Contains(b, x) {
			ts.Fatalf("%s stands in both", x)
		}
	}
}

// uids PLAN FIRST FILE ROW... writes a session log: one row for each session of the plan from the FIRST on, with that session's
// time and uid before what ROW says: outcome,hand,heldSeconds,systolic,diastolic,symptoms,told, as many as are needed.
func uids(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 4 {
		ts.Fatalf("usage: uids PLAN FIRST FILE ROW...")
	}
	var p struct {
		Sessions []struct{ UID, Start string }
	}
	ts.Check(json.Unmarshal([]byte(ts.ReadFile(args[0])), &p))
	first, err := strconv.Atoi(args[1])
	ts.Check(err)
	rows := "at,uid,outcome,hand,heldSeconds,systolic,diastolic,symptoms,told\n"
	for i, row := range args[3:] {
		s := p.Sessions[first+i]
		rows += s.Start + "," + s.UID + "," + row + "\n"
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[2]), []byte(rows), 0o600))
}
