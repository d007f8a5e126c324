package testkit

import (
	"bytes"
	"encoding/csv"
	"os"
	"testing"
)

// Rows are the rows of a CSV file below its headings.
func Rows(t testing.TB, name string) [][]string {
	t.Helper()
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	out, err := csv.NewReader(bytes.NewReader(b)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return out[1:]
}
