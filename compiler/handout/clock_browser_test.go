//go:build full

package handout

import (
	"strings"
	"testing"
)

const day = 24 * 60

// twoDays is short with its second session on the Wednesday.
func twoDays(t testing.TB) Input {
	in := short(t)
	s := &in.Plan.Sessions[1]
	s.Start, s.Gate, s.End = in.Plan.Sessions[0].Start+2*day, true, true
	return in
}

// buttons is how many sessions of the list can be begun or left.
func (x *tab) buttons() int {
	x.t.Helper()
	x.is("today")
	return js[int](x, `document.querySelectorAll('#list button').length`)
}

// A clock that was put back opens nothing: the page says so, offers no session, and the day that was closed is still closed when the
// clock is right again.
func TestPageInABrowserClockPutBack(t *testing.T) {
	x := open(t, twoDays(t), look{})
	x.shift(2 * day) // Wednesday, which has a session too
	x.do("log")
	x.do("home")
	x.press("#list li button")
	x.do("signs-yes")
	x.do("home")
	x.shift(-2 * day)
	x.do("log")
	x.do("home")
	if x.buttons() > 0 {
		t.Error("a clock that was put back opens a day")
	}
	if got := x.text("#clock"); !strings.Contains(got, "4 January 2027; this page was last used on Wednesday") || !strings.Contains(got, "call your coach") {
		t.Errorf("it says %q", got)
	}
	x.shot("clock-back")
	for _, v := range x.axe() {
		t.Error(v)
	}
	x.reopen()
	if x.buttons() > 0 {
		t.Error("opened again it forgets that the clock was put back")
	}
	x.shift(2 * day)
	x.do("log")
	x.do("home")
	if js[bool](x, `document.getElementById('clock').checkVisibility()`) || x.buttons() > 0 {
		t.Error("with the clock right again the page complains, or the closed day is open")
	}
}

// A clock that was wrong before, and is right now, costs the rest of this day and no more; a page in the middle of its gate does
// not go on past a clock that is put back.
func TestPageInABrowserClockWasWrong(t *testing.T) {
	x := open(t, twoDays(t), look{})
	x.shift(400 * day)
	x.do("log")
	x.do("home")
	x.shift(-400 * day)
	x.do("log")
	x.do("home")
	x.press("#clock-right")
	if x.buttons() > 0 || js[bool](x, `document.getElementById('clock').checkVisibility()`) {
		t.Error("a day is gained by a word")
	}
	x.shift(2 * day)
	x.do("log")
	x.do("home")
	if x.buttons() == 0 {
		t.Error("the next session cannot be begun")
	}

	y := open(t, twoDays(t), look{})
	y.shift(2 * day)
	y.do("log")
	y.do("home")
	y.toReading(1)
	y.read(130, 80, 70, false)
	y.is("set")
	js[any](y, `(() => { const k = Object.keys(localStorage)[0], all = JSON.parse(localStorage.getItem(k)); localStorage.setItem(k, JSON.stringify({ ...all, seen: '2027-01-07' })) })()`)
	y.do("begin")
	y.is("today")
}
