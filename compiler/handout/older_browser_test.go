//go:build full

package handout

import (
	"strings"
	"testing"

	"isocue.example/compiler/unit"
)

// The page of a newer sheet asks about the session that was cut off on the older one's, though it has no such session any more; time,
// reading, title and symptoms go into the log.
func TestPageInABrowserCutOffOnAnOlderSheet(t *testing.T) {
	x := open(t, short(t), look{})
	x.toRun(1)
	in := short(t)
	in.Plan.Sheet++
	in.Plan.Now = "2027-01-05T12:00:00Z" // its first day is over: the session is gone
	in.Plan.Sessions[2].Start = unit.At(in.Plan.Start+1, 7*60)
	x.replace(in, "2027-01-05T07:00")
	x.is("end")
	if got := x.text("#end"); !strings.Contains(got, "Grip") || !strings.Contains(got, "closed before the end") {
		t.Errorf("it says %q", got)
	}
	x.press("#felt-headache")
	x.save()
	x.do("home")
	x.do("log")
	if got, want := js[string](x, `document.getElementById('csv').value`), "\n2027-01-04T07:00,1,stopped,,,130,80,headache,\n"; !strings.HasSuffix(got, want) {
		t.Errorf("the log is %q, want %q at its end", got, want)
	}
	x.reopen()
	x.is("today")
}

// A session that another tab has begun is asked about before a second one begins, and leaving the second one out does not lose it.
func TestPageInABrowserTwoSessionsAtOnce(t *testing.T) {
	x := open(t, short(t), look{})
	x.toReading(1)
	x.read(130, 80, 70, false)
	x.do("home")
	js[any](x, `(() => { const k = Object.keys(localStorage)[0], all = JSON.parse(localStorage.getItem(k))
  localStorage.setItem(k, JSON.stringify({ ...all, begun: { uid: '1', at: '2027-01-04T07:01', title: 'Grip' } })) })()`)
	x.press("#list li:nth-child(2) button.plain")
	x.is("end")
	x.save()
	x.reopen()
	x.is("end")
	if got := x.text("#end-title"); got != "Grip" {
		t.Errorf("it asks about %q", got)
	}

	// hours later its reading is too old for the session after it
	y := open(t, short(t), look{})
	y.toRun(1)
	y.replace(short(t), "2027-01-04T12:00")
	y.save()
	y.press("#list li:nth-child(2) button")
	y.is("signs")
}
