package plans

import (
	"bytes"
	"encoding/json"
	"math/rand/v2"
	"reflect"
	"testing"

	"isocue.example/compiler/record"
)

// Sessions are written by hand, and every field that a session has or will have must be in them as encoding/json has it, in its
// place and left out where it is.
func TestEncoderWritesSessionsAsTheLibraryDoes(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 7))
	texts := []string{"", "a/1.2", "confirmed", "q\"\\", "<&>", "é\n\u2028\u202e\x00", "\n  \"sessions\": null", "\xff"}
	session := func() (s record.Session) {
		v := reflect.ValueOf(&s).Elem()
		for i := range v.NumField() {
			f := v.Field(i)
			switch f.Kind() {
			case reflect.String:
				f.SetString(texts[r.IntN(len(texts))])
			case reflect.Int, reflect.Int64:
				f.SetInt([]int64{0, 1, 29990000, -5}[r.IntN(4)])
			case reflect.Bool:
				f.SetBool(r.IntN(2) == 0)
			default:
				t.Fatalf("%s is of a kind that this test does not fill", v.Type().Field(i).Name)
			}
		}
		return s
	}
	var ps Encoder
	for n := range 300 {
		p := &record.Plan{Version: 1, Client: texts[n%len(texts)], Cautions: []record.Caution{{ID: "a", Text: "b"}}, Sessions: []record.Session{}}
		for range n % 7 {
			p.Sessions = append(p.Sessions, session())
		}
		if n%11 == 0 {
			p.Sessions = nil
		}
		var want bytes.Buffer
		if err := JSON(&want, p); err != nil {
			t.Fatal(err)
		}
		if got, err := ps.JSON(p); err != nil || !bytes.Equal(got, want.Bytes()) {
			t.Fatalf("%v\n%s\nwant\n%s", err, got, want.Bytes())
		}
	}
}

// FuzzIndented holds our indenting to the standard library's, for every JSON text without space between its parts.
func FuzzIndented(f *testing.F) {
	for _, s := range []string{`{}`, `[]`, `"\"\\"`, `{"a":[1,-2.5e3,true,null],"b":{"c":{},"d":[]},"e":"{,:[]}\\\""}`, `[[[]],{"":""}]`, "\"\u2028\"", `12`} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, src []byte) {
		var dense, want bytes.Buffer
		if json.Compact(&dense, src) != nil {
			return
		}
		dense.WriteByte('\n') // as the encoder ends it
		if err := json.Indent(&want, dense.Bytes(), "", "  "); err != nil {
			t.Fatal(err)
		}
		if got := appendIndented(nil, dense.Bytes()); !bytes.Equal(got, want.Bytes()) {
			t.Errorf("%s\nwant %s", got, want.Bytes())
		}
	})
}
