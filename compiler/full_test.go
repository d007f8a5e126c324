//go:build full

package compiler

import (
	"os"
	"testing"
)

func init() {
	full = true
	outsideDir = func(t testing.TB) string {
		t.Helper()
		dir := os.Getenv("ISOCUE_READERS")
		if dir == "" {
			t.Fatal("ISOCUE_READERS names no folder; .ci/readers/install makes one")
		}
		return dir
	}
}
