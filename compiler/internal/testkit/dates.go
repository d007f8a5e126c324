package testkit

import (
	"testing"

	"isocue.example/compiler/unit"
)

// Date is a day that a test names.
func Date(t testing.TB, s string) unit.Date {
	t.Helper()
	return read(t, s, unit.ParseDate)
}

// Local is a minute on a wall clock that a test names.
func Local(t testing.TB, s string) unit.Local {
	t.Helper()
	return read(t, s, unit.ParseLocal)
}

func read[T any](t testing.TB, s string, parse func(string) (T, error)) T {
	t.Helper()
	x, err := parse(s)
	if err != nil {
		t.Fatal(err)
	}
	return x
}
