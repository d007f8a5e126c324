package unit

import (
	"fmt"
	"testing"
	"time"
)

// Dates and times are written as package time and fmt write them, over all that can stand in a file and beyond.
func TestFormsOfDatesAndTimes(t *testing.T) {
	for d := Date(-800000); d < 3000000; d += 37 {
		if got, want := d.String(), d.Time().Format(time.DateOnly); got != want {
			t.Fatalf("%d is %s, want %s", int(d), got, want)
		}
	}
	for c := Clock(-70); c < 7000; c++ {
		if got, want := c.String(), fmt.Sprintf("%02d:%02d", int(c)/60, int(c)%60); got != want {
			t.Fatalf("%d is %s, want %s", int(c), got, want)
		}
		p, err := ParseClock(c.String())
		if ok := c >= 0 && c <= 1440; ok != (err == nil) || ok && p != c {
			t.Fatalf("%s reads as %d, %v", c, p, err)
		}
	}
	for _, s := range []string{"+7:30", "-1:30", " 7:30", "7:300", "07:3 ", "0x:00", "07-30", "24:01", "07:60", ""} {
		if c, err := ParseClock(s); err == nil {
			t.Errorf("%q is %s", s, c)
		}
	}
	for _, l := range []Local{At(0, 0), At(20822, 420), -1, At(-1, 5)} {
		if got, want := l.String(), l.Date().String()+"T"+l.Clock().String(); got != want {
			t.Errorf("%d is %s, want %s", l, got, want)
		}
	}
}
