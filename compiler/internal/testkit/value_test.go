package testkit

import (
	"slices"
	"testing"

	"isocue.example/compiler/ical"
)

// A fraction of a second is no time, although Go's time.Parse takes it.
func TestMomentHasNoFractions(t *testing.T) {
	for _, v := range []string{"20270328T070000.5Z", "20270328T070000,5", "2027032", "202703280", "20270328T07000"} {
		if m, err := MomentOf(&ical.Property{Name: "DTSTART", Value: v}); err == nil {
			t.Errorf("%s is %v", v, m)
		}
	}
}

// A list is parted at its bare commas, and of the escapes only what begins none stays.
func TestList(t *testing.T) {
	if l := List(&ical.Property{Name: "CATEGORIES", Value: `a\,b,c\\,d\q`}); !slices.Equal(l, []string{"a,b", `c\`, `d\q`}) {
		t.Errorf("the list is %q", l)
	}
}
