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

// A tab that the browser freezes loses no time either.
func TestPageInABrowserFrozen(t *testing.T) {
	x := open(t, short(t), look{})
	x.toRun(1)
	x.run(cdp.SetWebLifecycleState(cdp.SetWebLifecycleStateStateFrozen))
	time.Sleep(9 * time.Second)
	x.run(cdp.SetWebLifecycleState(cdp.SetWebLifecycleStateStateActive))
	time.Sleep(300 * time.Millisecond)
	at, says := wanted(short(t).Plan.Kinds["a"])
	since := js[float64](x, "performance.now() - begun") - leadSeconds*1000
	i := len(at) - 1
	for at[i] > since-150 {
		i--
	}
	if got := x.text("#line"); got != says[i] && got != says[min(i+1, len(says)-1)] || i == 0 {
		t.Errorf("after nine seconds frozen it shows %q, want %q", got, says[i])
	}
	frozen := 0
	for _, s := range x.stamps() {
		if s.At-js[float64](x, "begun") < 8500 {
			frozen++
		}
	}
	if frozen > 2 {
		t.Errorf("%d lines were shown while it was frozen: it was not", frozen)
	}
}

// With a tab whose timers hang for seconds the page stands at the right line when it wakes.
func TestPageInABrowserThrottled(t *testing.T) {
	x := open(t, short(t), look{})
	x.toRun(1)
	js[any](x, `(() => { const until = performance.now() + 11000; while (performance.now() < until); })()`) // nothing of the page runs
	x.until(`stamps.length > 1`)
	s, begun := x.stamps(), js[float64](x, "begun")
	at, says := wanted(short(t).Plan.Kinds["a"])
	i := len(at) - 1
	for at[i] > s[1].At-begun-leadSeconds*1000 {
		i--
	}
	if s[1].Line != says[i] || i == 0 {
		t.Errorf("after eleven seconds it shows %q, want %q", s[1].Line, says[i])
	}
}
