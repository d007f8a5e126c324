package unit

import (
	"testing"
	"time"
)

func TestConversions(t *testing.T) {
	const sp811 = "NIST SP 811 (2008), appendix B"
	force := func(v string, from, to ForceUnit) Dec {
		f, err := NewForce(MustDec(v), from)
		if err != nil {
			t.Fatal(err)
		}
		return f.In(to)
	}
	pressure := func(v string, from, to PressureUnit) Dec {
		p, err := NewPressure(MustDec(v), from)
		if err != nil {
			t.Fatal(err)
		}
		return p.In(to)
	}
	f40, _ := NewForce(Int(40), KilogramForce)
	f12 := f40.Share(MustDec("0.30"))
	for _, c := range []struct {
		why, source string
		got         Dec
		places      int
		want        string
	}{
		{"thirty percent of 40 kgf in kgf", sp811, f12.In(KilogramForce), 6, "12"},
		{"the same in newtons", sp811, f12.In(Newton), 1, "117.7"},
		{"the same in pounds-force", sp811, f12.In(PoundForce), 1, "26.5"},
		{"one kgf is exactly 9.806 65 N", sp811, force("1", KilogramForce, Newton), 12, "9.80665"},
		{"one lbf is exactly 0.453 592 37 kgf", sp811, force("1", PoundForce, KilogramForce), 12, "0.45359237"},
		{"one kPa in conventional mmHg", sp811, pressure("1", Kilopascal, MillimetreMercury), 4, "7.5006"},
		{"one conventional cmH2O is 98.0665 Pa", sp811, pressure("1", CentimetreWater, Kilopascal), 12, "0.0980665"},
	} {
		if got := c.got.Text(c.places); got != c.want || c.source == "" {
			t.Errorf("%s (%q): got %s, want %s", c.why, c.source, got, c.want)
		}
	}
	if _, err := NewForce(Int(1), "kg"); err == nil {
		t.Error("kg is taken as a force unit")
	}
	if _, err := NewPressure(Int(1), "psi"); err == nil {
		t.Error("psi is taken as a pressure unit")
	}
}

// Laws, source: exact factors (NIST SP 811): there and back is the same number, order is kept, and a force rounded
// down to a step is never above what it was.
func FuzzForce(f *testing.F) {
	f.Add(int64(112), int64(84), uint8(0), uint8(1), uint8(5))
	f.Fuzz(func(t *testing.T, a, b int64, from, to, step uint8) {
		units := []ForceUnit{KilogramForce, PoundForce, Newton}
		u, v := units[int(from)%3], units[int(to)%3]
		x, _ := NewForce(Ratio(a, 10), u)
		y, _ := NewForce(Ratio(b, 10), u)
		back, _ := NewForce(x.In(v), v)
		if back.In(u).Cmp(Ratio(a, 10)) != 0 || back.newton.Cmp(x.newton) != 0 {
			t.Errorf("%d tenths of %s by way of %s came back as %s", a, u, v, back.In(u))
		}
		if order := Ratio(a, 10).Cmp(Ratio(b, 10)); x.In(v).Cmp(y.In(v)) != order || x.newton.Cmp(y.newton) != order {
			t.Errorf("the order of %d and %d tenths of %s is lost in %s", a, b, u, v)
		}
		st := Ratio(int64(step)+1, 10)
		down, up := x.In(v).Floor(st), x.In(v).Ceil(st)
		if x.In(v).Less(down) || !x.In(v).Sub(down).Less(st) || up.Less(x.In(v)) || !up.Sub(x.In(v)).Less(st) || !down.Quo(st).IsInt() {
			t.Errorf("%s on steps of %s: down %s, up %s", x.In(v), st, down, up)
		}
	})
}

func FuzzPressure(f *testing.F) {
	f.Add(int64(120), uint8(0), uint8(2))
	f.Fuzz(func(t *testing.T, a int64, from, to uint8) {
		units := []PressureUnit{MillimetreMercury, CentimetreWater, Kilopascal}
		u, v := units[int(from)%3], units[int(to)%3]
		x, _ := NewPressure(Int(a), u)
		if y, _ := NewPressure(x.In(v), v); y.In(u).Cmp(Int(a)) != 0 {
			t.Errorf("%d %s by way of %s came back as %s", a, u, v, y.In(u))
		}
	})
}

func TestDec(t *testing.T) {
	for _, c := range []struct{ why, source, in, want string }{
		{"zeros at the end say nothing", "plain arithmetic", "0.30", "0.3"},
		{"an exponent", "plain arithmetic", "1e3", "1000"},
		{"negative", "plain arithmetic", "-4.50", "-4.5"},
		{"tenths are exact", "plain arithmetic", "0.1", "0.1"},
	} {
		d, err := ParseDec(c.in)
		if err != nil || d.String() != c.want || c.source == "" {
			t.Errorf("%s (%q): %s, %v, want %s", c.why, c.source, d, err, c.want)
		}
	}
	for _, s := range []string{"", "1/3", "0x10", "1e65", "abc", "1e", "NaN", "Inf", "11111111111111111111111111111111111111111111111111111111111111111"} {
		if d, err := ParseDec(s); err == nil {
			t.Errorf("%q is read as %s", s, d)
		}
	}
	if got := Ratio(-7, 2).Floor(Int(1)); got.Cmp(Int(-4)) != 0 {
		t.Errorf("-3.5 rounded down is %s, want -4", got)
	}
	if x, ok := TenthsOf(MustDec("2.55")); ok {
		t.Errorf("2.55 s is read as %s", x)
	}
}

func TestDates(t *testing.T) {
	for _, c := range []struct{ why, source, in, weekday string }{
		{"the story begins on a Monday", "ISO 8601 calendar", "2027-02-01", "Monday"},
		{"a leap day", "ISO 8601 calendar", "2028-02-29", "Tuesday"},
		{"before 1970", "ISO 8601 calendar", "1969-12-31", "Wednesday"},
	} {
		d, err := ParseDate(c.in)
		if err != nil || d.String() != c.in || d.Weekday().String() != c.weekday || c.source == "" {
			t.Errorf("%s (%q): %s %s, %v", c.why, c.source, d, d.Weekday(), err)
		}
		l := At(d, 7*60+5)
		if back, err := ParseLocal(l.String()); err != nil || back != l || l.Date() != d || l.Clock() != 425 {
			t.Errorf("%s: %s came back as %s, %v", c.why, l, back, err)
		}
	}
	for _, s := range []string{"2027-02-29", "2027-2-1", "01.02.2027", ""} {
		if d, err := ParseDate(s); err == nil {
			t.Errorf("%q is read as %s", s, d)
		}
	}
	for _, s := range []string{"24:01", "7:00", "12:60", "ab:cd", "-1:00"} {
		if c, err := ParseClock(s); err == nil {
			t.Errorf("%q is read as %s", s, c)
		}
	}
	// The date is the one on the moment's own wall, whatever UTC says.
	east := time.FixedZone("east", 13*3600)
	if d := DateOf(time.Date(2027, 2, 1, 1, 0, 0, 0, east)); d.String() != "2027-02-01" {
		t.Errorf("one at night in the far east is %s", d)
	}
}
