package report

import (
	"bytes"
	"encoding/json"
	"testing"
)

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
