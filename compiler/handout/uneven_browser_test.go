//go:build full

package handout

import (
	"strings"
	"testing"
)

// An uneven pulse takes nothing from a reading, and what was said of it at the first readings stays said after the second.
func TestPageInABrowserOfAnUnevenPulse(t *testing.T) {
	for _, c := range []struct {
		why         string
		upper, next int
		want        string
	}{
		{"uneven, and at the line for effort once", 165, 130, "Call your coach today."},
		{"uneven, and at the threshold", 185, 0, "Call 112 now."},
		{"uneven, and a pulse over the clinic's line", 129, 128, "Call your clinic today, +1 555 0100."},
		{"uneven alone", 130, 0, "Call your coach today."},
	} {
		t.Run(c.why, func(t *testing.T) {
			x := open(t, short(t), look{})
			x.toReading(1)
			pulse := map[int]int{129: 125}[c.upper]
			x.answer(c.upper, 80, max(pulse, 70), false, true)
			if c.next > 0 {
				x.until(`document.getElementById('sit-on').checkVisibility()`)
				x.do("sit-on")
				x.answer(c.next, 80, max(pulse, 70), false, false)
			}
			x.is("halt")
			if got := x.text("#halt-do"); !strings.Contains(got, c.want) {
				t.Errorf("it says %q, want %q", got, c.want)
			}
			x.do("home")
			x.do("log")
			if got := js[string](x, `document.getElementById('csv').value`); !strings.Contains(got, "palpitations") {
				t.Errorf("the log is %q", got)
			}
		})
	}
}
