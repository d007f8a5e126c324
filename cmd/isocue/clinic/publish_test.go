package clinic

import (
	"path/filepath"
	"testing"

	"isocue.example/compiler/publish"
)

// What was sent to one collection does not write over what another run kept of another.
func TestSentBeside(t *testing.T) {
	name := filepath.Join(t.TempDir(), "plan.json")
	for _, key := range []string{"one", "two", "one"} {
		if err := WritePublished(name, key, publish.Sent{"uid": key}, publish.Begun{"uid": {key}}); err != nil {
			t.Fatal(err)
		}
	}
	if p, err := ReadPublished(name); err != nil || len(p.All) != 2 || p.All["two"]["uid"] != "two" || p.Begun["two"]["uid"][0] != "two" {
		t.Error(p, err)
	}
	if err := WritePublished(name, "two", publish.Sent{"uid": "two"}, nil); err != nil {
		t.Fatal(err)
	}
	if p, err := ReadPublished(name); err != nil || len(p.Begun) != 1 {
		t.Errorf("a run that came to its end is still begun: %v, %v", p, err)
	}
}
