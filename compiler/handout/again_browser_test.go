//go:build full

package handout

import (
	"strings"
	"testing"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// shift moves the page's wall clock on.
func (x *tab) shift(minutes int) {
	x.t.Helper()
	js[any](x, `(() => { const D = Date, by = `+unit.Int(int64(minutes)*60000).String()+`
  globalThis.Date = class extends D { constructor(...a) { if (a.length) super(...a); else super(D.now() + by) } static now() { return D.now() + by } } })()`)
}

// A gate that was passed does not stay open on a page that lies open: past a sitting it is asked again, and a session of
// yesterday is not begun today.
func TestPageInABrowserLiesOpen(t *testing.T) {
	x := open(t, short(t), look{})
	x.toReading(1)
	x.read(130, 80, 70, false)
	x.is("set")
	x.shift(31)
	x.do("begin")
	x.is("signs")
	x.do("signs-no")
	x.do("changed-no")
	x.do("sit-on")
	x.read(130, 80, 70, false)
	x.is("set")
	x.shift(24 * 60)
	x.do("begin")
	x.is("today")

	y := open(t, short(t), look{})
	y.shift(24 * 60)
	y.press("#list li button")
	y.is("today")
	if got := y.text("#list"); strings.Contains(got, "07:00") {
		t.Errorf("on the next day it lists %q", got)
	}
}

// A session that runs in one tab is not begun in another.
func TestPageInABrowserInTwoTabs(t *testing.T) {
	x := open(t, short(t), look{})
	x.toReading(1)
	x.read(130, 80, 70, false)
	x.is("set")
	js[any](x, `(() => { const all = JSON.parse(localStorage.getItem(Object.keys(localStorage)[0])), d = JSON.parse(document.getElementById('data').textContent)
  localStorage.setItem(d.key, JSON.stringify({ ...all, begun: { uid: d.sessions[0].uid, at: '2027-01-04T07:01' } })) })()`)
	x.do("begin")
	x.is("end")
	if got := x.text("#end-say"); !strings.Contains(got, "closed before its end") && !strings.Contains(got, "not taken up") {
		t.Errorf("it says %q", got)
	}
}

// What a client types may be a danger sign that no list knows: the number to call stands before the coach, and today is closed.
func TestPageInABrowserOfOtherWords(t *testing.T) {
	x := open(t, short(t), look{})
	x.press("#list li button:nth-child(2)")
	x.is("end")
	x.do("home") // nothing was begun: there is a way back, and nothing is written
	x.is("today")
	x.press("#list li button:nth-child(2)")
	js[any](x, `document.getElementById('other').value = 'my chest feels crushed'`)
	x.save()
	if got := x.text("#halt-do"); !strings.HasPrefix(got, "Call 112 now for chest pain") || !strings.Contains(got, "Tell your coach") {
		t.Errorf("it says %q", got)
	}
	x.reopen()
	x.is("today")
	if js[int](x, `document.querySelectorAll('#list button').length`) > 0 {
		t.Error("sessions can still be begun")
	}
}

// A trainer loads the breath in, so its load does not stand beside the breath out; breaths at one's own pace are counted, and an
// angle is in degrees.
func TestPageInABrowserOfLoads(t *testing.T) {
	in := short(t)
	load, angle := unit.Int(20), unit.Int(115)
	k := in.Plan.Kinds["a"]
	k.Modality = record.Inspiratory
	k.Steps = []record.Step{
		{Kind: record.Breathe, Seconds: 10, Count: 1, Target: &load, Unit: "cmH2O", Pattern: &record.Breath{Inhale: 5, Exhale: 5}},
		{Kind: record.Breathe, Seconds: 10, Count: 6, Target: &load, Unit: "cmH2O"},
		{Kind: record.Squat, Seconds: 10, Target: &angle, Unit: "deg"},
	}
	k.WorkSeconds = 30
	in.Plan.Kinds["a"] = k
	x := open(t, in, look{before: `
globalThis.seen = []
addEventListener('DOMContentLoaded', () => new MutationObserver(() => seen.push(document.getElementById('line').textContent + ' | ' + document.getElementById('load').textContent))
  .observe(document.getElementById('load'), { childList: true }))`})
	x.toRun(1)
	x.until(`!document.getElementById('end').hidden`)
	got := strings.Join(js[[]string](x, `seen`), "\n")
	want := "Starts in | \nBreathe in | 20 cmH2O, breath 1 of 1\nBreathe out | breath 1 of 1\nBreathe: 6 breaths | 20 cmH2O\nSquat | 115 degrees"
	if strings.TrimPrefix(got, "Starts in | \n") != strings.TrimPrefix(want, "Starts in | \n") {
		t.Errorf("it shows\n%s\nwant\n%s", got, want)
	}
}

// On a day whose only session is cancelled the page says when the next one is; two numbers that lie too near each other are not
// called swapped.
func TestPageInABrowserTellsWhatIsNext(t *testing.T) {
	in := twoDays(t)
	in.Plan.Sessions[0].Status = record.Cancelled
	x := open(t, in, look{})
	if got := x.text("#day"); got != "Today, Monday 4 January. The next one: Wednesday 6 January, 07:00." {
		t.Errorf("it says %q", got)
	}
	x.shift(2 * day)
	x.do("log")
	x.do("home")
	if got := x.text("#day"); got != "Today, Wednesday 6 January" {
		t.Errorf("on the day of a session it says %q", got)
	}
	x.toReading(1)
	x.read(130, 127, 70, false)
	x.is("read")
	if got := x.text("#wrong"); !strings.Contains(got, "at least 5 apart") || strings.Contains(got, "must be under") {
		t.Errorf("to 130/127 it says %q", got)
	}
	x.read(80, 130, 70, false)
	if got := x.text("#wrong"); !strings.Contains(got, "must be under") {
		t.Errorf("to 80/130 it says %q", got)
	}
}
