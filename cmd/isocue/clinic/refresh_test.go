package clinic

import "testing"

// The lines that differ are counted as an editor counts them.
func TestFirstDifference(t *testing.T) {
	for _, row := range []struct {
		a, b string
		want int
		why  string
	}{
		{"a\nb\n", "a\nc\n", 2, "a changed line"}, {"a\n", "a\nb\n", 2, "a line that is missing at the end"},
		{"a\nb\n", "a\n", 2, "a line too many"}, {"x", "y", 1, "no line end"}, {"a\r\nb\r\n", "a\nc\n", 2, "line ends do not count"},
	} {
		if got := firstDifference([]byte(row.a), []byte(row.b)); got != row.want {
			t.Errorf("%s: %d, want %d", row.why, got, row.want)
		}
	}
}
