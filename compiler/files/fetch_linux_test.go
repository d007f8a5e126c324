package files

import (
	"os"
	"testing"
)

// Files that the system makes as they are read have no size; their readers may wait, and some end never.
func TestFetchOfTheSystem(t *testing.T) {
	const name = "/proc/self/status"
	if b, err := os.ReadFile(name); err != nil || len(b) == 0 {
		t.Fatalf("%s holds nothing: %v", name, err)
	}
	if b, err := Fetch(name, 1<<20); err != nil || len(b) > 0 {
		t.Errorf("%d bytes of %s were read, %v", len(b), name, err)
	}
}
