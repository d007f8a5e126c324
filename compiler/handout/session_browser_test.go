//go:build full

package handout

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	cdp "github.com/chromedp/cdproto/page"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// wanted is when each line of a kind begins, in milliseconds from the first, and what it says.
func wanted(k record.Kind) (at []float64, says []string) {
	var now unit.Tenths
	add := func(what string, long unit.Tenths) {
		if long > 0 {
			at, says = append(at, float64(now)*100), append(says, what)
		}
		now += long
	}
	for _, s := range k.Steps {
		if s.Pattern == nil {
			add(map[record.StepKind]string{record.Squeeze: "Squeeze", record.ChangeHand: "Change hand", record.Rest: "Relax", record.Walk: "Walk",
				record.Exercise: "Lift your hips: 10 repetitions"}[s.Kind], s.Seconds)
			continue
		}
		for range s.Count {
			add("Breathe in", s.Pattern.Inhale)
			add("Pause", s.Pattern.Pause)
			add("Breathe out", s.Pattern.Exhale)
			add("Relax", s.Pattern.Rest)
		}
	}
	return at, says
}

// lateness is how far each line came after its time, by the page's own clock from the press of the button.
func lateness(t *testing.T, x *tab, k record.Kind) (late []float64) {
	at, says := wanted(k)
	stamps, begun := x.stamps()[1:], js[float64](x, "begun") // the first is the time to get ready
	if len(stamps) < len(at) {
		t.Fatalf("%d lines were shown, want %d: %v", len(stamps), len(at), stamps)
	}
	for i := range at {
		if stamps[i].Line != says[i] {
			t.Errorf("line %d is %q, want %q", i+1, stamps[i].Line, says[i])
		}
		late = append(late, stamps[i].At-begun-leadSeconds*1000-at[i])
	}
	return late
}

func median(xs []float64) float64 { s := slices.Sorted(slices.Values(xs)); return s[len(s)/2] }

// A session in real time: each line comes at a median of 50 ms and at worst 250 ms from the plan, and the last ones are no later
// than the first ones.
func TestPageInABrowserKeepsTime(t *testing.T) {
	in := short(t)
	x := open(t, in, look{})
	x.toRun(1)
	x.until(`!document.getElementById('end').hidden`)
	x.save()
	late := lateness(t, x, in.Plan.Kinds["a"])
	js[any](x, "stamps.length = 0")
	x.press("#list li:nth-child(2) button")
	x.is("set") // the gate of the sitting counts
	x.do("begin")
	x.until(`!document.getElementById('end').hidden`)
	breaths := lateness(t, x, in.Plan.Kinds["b"])
	third := len(breaths) / 3
	drift := median(breaths[len(breaths)-third:]) - median(breaths[:third])
	late = append(late, breaths...)
	t.Logf("%d lines: median %.1f ms, worst %.1f ms, drift %.1f ms", len(late), median(late), slices.Max(late), drift)
	for _, l := range late {
		if l < -1 || l > 250 {
			t.Errorf("a line comes %.1f ms after its time, allowed: 0 to 250", l)
		}
	}
	if median(late) > 50 || math.Abs(drift) > 50 {
		t.Errorf("median %.1f ms, drift %.1f ms, allowed: 50", median(late), drift)
	}
}

// Sets of exercises and a walk run as the plan says, and the page complains of nothing.
func TestPageInABrowserOfCompanions(t *testing.T) {
	in := companions(t)
	x := open(t, in, look{})
	x.toRun(1)
	x.until(`!document.getElementById('end').hidden`)
	for i, l := range lateness(t, x, in.Plan.Kinds["a"]) {
		if l < -1 || l > 250 {
			t.Errorf("line %d comes %.1f ms after its time, allowed: 0 to 250", i+1, l)
		}
	}
}

// A long session, ten times as fast, is the plan's to its end. At that speed a stall of the machine is ten times as long: a line
// may go by unseen, but what is seen is the line of that moment, as late at the end as at the beginning.
func TestPageInABrowserOfALongSession(t *testing.T) {
	const speed = 10
	in := short(t)
	k := in.Plan.Kinds["b"]
	k.Steps[0].Count, k.Steps[0].Seconds, k.WorkSeconds = 60, 6000, 6000
	k.Steps[0].Pattern = &record.Breath{Inhale: 40, Exhale: 60}
	in.Plan.Kinds["b"] = k
	x := open(t, in, look{speed: speed, morning: "2027-01-04T07:20"})
	x.toRun(2)
	x.until(`!document.getElementById('end').hidden`)
	at, says := wanted(k)
	begun := js[float64](x, "begun") + leadSeconds*1000
	var late []float64
	for _, s := range x.stamps()[1:] {
		var n, all int
		if _, err := fmt.Sscanf(s.Of, "Line %d of %d", &n, &all); err != nil || all != len(at)+1 { // and sitting at the end
			t.Fatalf("it says %q: %v", s.Of, err)
		}
		if n <= len(at) {
			if s.Line != says[n-1] {
				t.Errorf("line %d is %q, want %q", n, s.Line, says[n-1])
			}
			late = append(late, (s.At-begun-at[n-1])/speed)
		}
	}
	drift := median(late[len(late)-20:]) - median(late[:20])
	t.Logf("%d of %d lines at ten times: median %.1f ms, worst %.1f ms, drift %.1f ms of real time", len(late), len(at), median(late), slices.Max(late), drift)
	if len(late) < len(at)-3 || median(late) > 50 || math.Abs(drift) > 50 {
		t.Errorf("%d of %d lines, median %.1f ms, drift %.1f ms; allowed: three unseen, 50 ms", len(late), len(at), median(late), drift)
	}
}

// Waiting and going on is exact in rests and breathing; waiting in a squeeze ends it, its rest follows whole, and it never comes again.
func TestPageInABrowserWaits(t *testing.T) {
	in := short(t)
	x := open(t, in, look{})
	x.toRun(1)
	x.until(`document.getElementById('line').textContent === 'Squeeze' && performance.now() - begun > 6000`)
	if got := x.text("#wait"); got != "Let go now" {
		t.Errorf("the button says %q", got)
	}
	if !js[bool](x, `document.getElementById('back').disabled`) {
		t.Error("a squeeze can be gone back over")
	}
	x.press("#wait")
	let := js[float64](x, "performance.now()")
	x.until(`document.getElementById('line').textContent === 'Relax'`)
	if got := x.stamps()[3].At - let; got < 950 || got > 1100 { // the change of hand, whole
		t.Errorf("after a squeeze that was let go the change of hand lasts %.0f ms, want 1000", got)
	}
	x.press("#wait")
	was := x.text("#left")
	from := js[float64](x, "performance.now()")
	time.Sleep(1500 * time.Millisecond)
	if x.text("#line") != "Relax" || x.text("#left") != was {
		t.Error("the rest went on while waiting")
	}
	x.press("#wait")
	waited := js[float64](x, "performance.now()") - from
	x.until(`stamps.length > 4`)
	s := x.stamps()
	if got := s[4].At - s[3].At - waited; math.Abs(got-1700) > 60 {
		t.Errorf("a rest with a wait of %.0f ms lasts %.0f ms beside it, want 1700", waited, got)
	}
	x.until(`stamps.length > 5`) // a rest again
	x.press("#back")
	x.until(`stamps.length > 7`)
	for i, stamp := range x.stamps()[1:] {
		if i > 0 && stamp.Line == "Squeeze" && stamp.Of == x.stamps()[i].Of {
			t.Error("a squeeze came twice")
		}
	}
	x.press("#stop")
	x.save()
	rows := js[string](x, `(document.querySelector('[data-do=log]').click(), document.getElementById('csv').value)`)
	if !strings.Contains(rows, ",1,stopped,right,") {
		t.Errorf("the log does not tell of the squeeze that was let go: %s", rows)
	}
}

// isOf wants a stamp to be the line that a kind has when the page looked at its clock for it, and none of the first ones, at which the
// page fell asleep. How long the machine took to show it decides nothing.
func (x *tab) isOf(k record.Kind, s stamp) {
	x.t.Helper()
	at, says := wanted(k)
	line := func(begun string) (n int) { // how many lines have begun
		for since := s.Read - js[float64](x, begun) - leadSeconds*1000; n < len(at) && at[n] <= since; n++ {
		}
		return n
	}
	first, last := line("begunBy"), line("begun")
	for n := max(first, 2); n <= last; n++ {
		if s.Line == says[n-1] && strings.HasPrefix(s.Of, fmt.Sprintf("Line %d of ", n)) {
			return
		}
	}
	x.t.Errorf("%.0f ms from the press of the button it shows %q, %q, want line %d, %q", s.Read-js[float64](x, "begun"), s.Line, s.Of, last, says[max(last-1, 0)])
}

// asleep runs a session and has the browser freeze its tab, for longer than any line and any wait of the page is. It is false where the
// browser did not, as it happens on a busy machine. A timer that the page's freezing starts, and that was due while it slept, tells.
func asleep(t *testing.T, in Input) (x *tab, ok bool) {
	t.Helper()
	x = open(t, in, look{})
	x.toRun(1)
	x.until(`stamps.length > 1`) // its first line has begun
	js[any](x, `(() => {
  document.addEventListener('freeze', () => { globalThis.frozen = performance.now(); setTimeout(() => { globalThis.woken = performance.now() }, 4000) }, { once: true })
  document.addEventListener('resume', () => { globalThis.resumed = performance.now() }, { once: true }) })()`)
	x.run(cdp.SetWebLifecycleState(cdp.SetWebLifecycleStateStateFrozen))
	time.Sleep(6 * time.Second)
	x.run(cdp.SetWebLifecycleState(cdp.SetWebLifecycleStateStateActive))
	if js[bool](x, `globalThis.frozen === undefined`) {
		return x, false
	}
	x.until(`globalThis.woken !== undefined`)
	return x, js[bool](x, `frozen + 4000 < globalThis.resumed && resumed <= woken`)
}

// A tab that the browser freezes loses no time either. A slow machine does not fail it: all is told by the page's clock, and by the order
// in which things happened there. By the time that another timer runs which was due behind the page's own, the page has its line.
func TestPageInABrowserFrozen(t *testing.T) {
	in := short(t)
	k := in.Plan.Kinds["a"]
	k.Steps, k.WorkSeconds = slices.Repeat(k.Steps, 10), 10*k.WorkSeconds // long enough for whatever the machine needs before it sleeps
	in.Plan.Kinds["a"] = k
	x, ok := asleep(t, in)
	for tries := 1; !ok; tries++ {
		if tries == 5 {
			t.Fatal("the browser froze the tab in none of five tries")
		}
		x, ok = asleep(t, in)
	}
	frozen, woken := js[float64](x, "frozen"), js[float64](x, "woken")
	var last stamp
	for _, s := range x.stamps() {
		if s.At <= woken {
			last = s
		}
	}
	if last.At < frozen {
		t.Fatalf("the page shows what it did when it fell asleep, %.0f ms before it woke", woken-last.At)
	}
	x.isOf(k, last)
}

// With a tab whose timers hang for seconds the page stands at the right line when it wakes. The session begins and hangs in one piece,
// until 8 s of it are over and the line has 1.9 s to go; what is shown then is told by the page's clock, so that a slow machine does not
// fail it.
func TestPageInABrowserThrottled(t *testing.T) {
	in := short(t)
	x := open(t, in, look{})
	x.toSet(1)
	js[any](x, fmt.Sprintf(`(() => { document.querySelector('#set [data-do=begin]').click()
  while (performance.now() - begun < %d) {} })()`, leadSeconds*1000+8000)) // nothing of the page runs
	x.until(`stamps.length > 1`)
	x.isOf(in.Plan.Kinds["a"], x.stamps()[1])
}
