package calendar

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"isocue.example/compiler/ical"
	"isocue.example/compiler/internal/testkit"
	"isocue.example/compiler/record"
)

// written is a component as a calendar again, in one form: what was folded, quoted and ordered in another way reads equal.
func written(b *bytes.Buffer, c *ical.Component) {
	fmt.Fprintf(b, "BEGIN:%s\r\n", c.Name)
	for _, p := range c.Properties {
		var l line
		l.begin(p.Name)
		for _, x := range p.Params {
			for i, v := range x.Values {
				lead := ","
				if i == 0 {
					lead = ";" + x.Name + "="
				}
				l.ascii(lead + `"`)
				l.raw(v)
				l.ascii(`"`)
			}
		}
		l.ascii(":")
		l.raw(p.Value)
		l.end()
		b.Write(l.buf)
	}
	for i := range c.Components {
		written(b, &c.Components[i])
	}
	fmt.Fprintf(b, "END:%s\r\n", c.Name)
}

// raw appends s, which has its escapes, and cuts neither them nor a character.
func (l *line) raw(s string) {
	runes := []rune(s)
	for i := 0; i < len(runes); i++ {
		from := i
		if runes[i] == '\\' && i+1 < len(runes) {
			i++
		}
		atom := string(runes[from : i+1])
		l.room(len(atom))
		l.buf = append(l.buf, atom...)
	}
}

var nowhere = cmp.Options{cmpopts.IgnoreFields(ical.Component{}, "Line"), cmpopts.IgnoreFields(ical.Property{}, "Line")}

// FuzzRead: any bytes end in components or in a ical.Error within the file; what the strict reader takes, the lenient one
// reads alike; and what it took, written again, it takes again, the same.
func FuzzRead(f *testing.F) {
	names, err := filepath.Glob(filepath.Join(defectsDir, "*.ics"))
	if err != nil || len(names) < 2 {
		f.Fatal(names, err)
	}
	for _, name := range names {
		b, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(b)
	}
	f.Add([]byte("BEGIN:VCALENDAR\r\nX;A=B"))
	f.Fuzz(func(t *testing.T, src []byte) {
		loose, looseErr := ical.Read(src)
		strict, err := testkit.Calendar(src)
		for _, err := range []error{looseErr, err} {
			var at *ical.Error
			if err != nil && (!errors.As(err, &at) || at.Line < 1 || at.Line > bytes.Count(src, []byte("\n"))+1 || at.Problem == "") {
				t.Fatalf("%v (%T)", err, err)
			}
		}
		if looseErr == nil && len(loose) == 0 {
			t.Fatal("neither a calendar nor an error")
		}
		if err != nil {
			return
		}
		if looseErr != nil || len(loose) != 1 || !cmp.Equal(*strict, loose[0]) {
			t.Fatalf("the lenient reader: %v\n%s", looseErr, cmp.Diff(*strict, loose))
		}
		var b bytes.Buffer
		written(&b, strict)
		again, err := testkit.Calendar(b.Bytes())
		if err != nil || !cmp.Equal(*strict, *again, nowhere) {
			t.Fatalf("written again: %v\n%s\n%s", err, b.Bytes(), cmp.Diff(strict, again, nowhere))
		}
	})
}

// FuzzReadWhatWeWrite: whatever text stands in a plan, its calendar passes the strict reader and reads back as that text
// in normal form.
func FuzzReadWhatWeWrite(f *testing.F) {
	for _, s := range []string{"a", `a\;,` + "\nb", "a\r\nEND:VEVENT", strings.Repeat("ação ", 40), strings.Repeat(`\`, 99), "\u2028\x00\tx", "🙂" + strings.Repeat("漢", 60), "\xff"} {
		f.Add(s, s, s, uint16(7))
	}
	f.Fuzz(func(t *testing.T, title, caution, call string, week uint16) {
		p := eightWeeks(t)
		k := p.Kinds["grip"]
		k.Title = title
		p.Kinds["grip"], p.Cautions[4].Text, p.Emergency = k, caution, call
		p.Sessions, p.Others = p.Sessions[:1], p.Others[1:2]
		p.Sessions[0].Week, p.Others[0].Status = int(week)+1, record.Confirmed
		b, err := Encode(nil, p, Options{Version: call})
		if err != nil {
			return
		}
		c, err := testkit.Calendar(b)
		if err != nil {
			t.Fatalf("%v\n%s", err, b)
		}
		title, _ = oneLine(title)
		caution, _ = oneLine(caution)
		call, _ = oneLine(call)
		e, entry := &c.Components[1], &c.Components[2]
		if got, want := testkit.Text(e.Get("SUMMARY")), fmt.Sprintf("%s, week %d", title, int(week)+1); got != want {
			t.Fatalf("title %q, want %q", got, want)
		}
		for _, d := range []string{testkit.Text(e.Get("DESCRIPTION")), testkit.Text(entry.Get("DESCRIPTION"))} {
			if !strings.HasSuffix(d, "\n"+caution) {
				t.Fatalf("description %q, want at its end %q", d, caution)
			}
		}
		if d := testkit.Text(e.Get("DESCRIPTION")); call != "" && !strings.Contains(d, "coughing blood: call "+call+" at any reading.") {
			t.Fatalf("description %q, want in it %q", d, call)
		}
	})
}
