package handout

import (
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/browser"
	cdp "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp/kb"

	"github.com/chromedp/chromedp"

	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// short is the sample with sessions of seconds: squeezes, a change of hand and rests; and breaths with all four phases.
func short(t testing.TB) Input {
	in := sample(t)
	in.Bounds = Bounds{Lowest: 30, Highest: 300, LowestPulse: 20, MostPulse: 250, LeastApart: 5}
	in.Symptoms = []record.Symptom{{ID: "chest-pain", Grave: true}, {ID: "headache"}, {ID: "dizzy"}, {ID: "palpitations"}}
	p := in.Plan
	p.Zone = "Etc/UTC"
	p.Gate.LowSystolic, p.Gate.PulseCoach, p.Gate.PulseClinic = unit.Int(100), unit.Int(100), unit.Int(120)
	p.Sitting.SitSeconds, p.Sitting.SameSitting, p.Sitting.EndSeconds, p.Sitting.FirstHoldSeconds = 2, 30, 2, 1
	a, b := p.Kinds["a"], p.Kinds["b"]
	right, left := a.Steps[0], a.Steps[0]
	right.Seconds, left.Seconds, left.Hand = 20, 15, record.Left
	change, rest := record.Step{Kind: record.ChangeHand, Seconds: 10, Hand: record.Left}, record.Step{Kind: record.Rest, Seconds: 17}
	a.Steps = []record.Step{right, change, rest, left, rest, right, change, rest, left}
	b.Steps = []record.Step{{Kind: record.Breathe, Seconds: 120, Count: 4, Pattern: &record.Breath{Inhale: 10, Pause: 5, Exhale: 12, Rest: 3}}}
	for name, k := range map[string]record.Kind{"a": a, "b": b} {
		k.WorkSeconds = 0
		for _, s := range k.Steps {
			k.WorkSeconds += s.Seconds
		}
		p.Kinds[name] = k
	}
	p.Sessions[1].Start = p.Sessions[0].Start + 20 // both in one sitting
	p.Sessions[0].End, p.Sessions[1].Gate = false, false
	return in
}

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
			add(map[record.StepKind]string{record.Squeeze: "Squeeze", record.ChangeHand: "Change hand", record.Rest: "Relax"}[s.Kind], s.Seconds)
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
	if pagesIn() == "" {
		return
	}
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

// A long session, twenty times as fast, is the plan's to its end: no line is left out.
func TestPageInABrowserOfALongSession(t *testing.T) {
	if pagesIn() == "" {
		return
	}
	in := short(t)
	k := in.Plan.Kinds["b"]
	k.Steps[0].Count, k.Steps[0].Seconds, k.WorkSeconds = 60, 6000, 6000
	k.Steps[0].Pattern = &record.Breath{Inhale: 40, Exhale: 60}
	in.Plan.Kinds["b"] = k
	x := open(t, in, look{speed: 20, morning: "2027-01-04T07:20"})
	x.toRun(2)
	x.until(`!document.getElementById('end').hidden`)
	late := lateness(t, x, k)
	t.Logf("%d lines at twenty times: median %.1f ms, worst %.1f ms of the page's clock", len(late), median(late), slices.Max(late))
	if d := math.Abs(median(late[len(late)-20:]) - median(late[:20])); d > 200 {
		t.Errorf("drift %.1f ms", d)
	}
}

// Waiting and going on is exact in rests and breathing; waiting in a squeeze ends it, its rest follows whole, and it never comes again.
func TestPageInABrowserWaits(t *testing.T) {
	if pagesIn() == "" {
		return
	}
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

// An answer or a reading that fails the gate closes today, also after the page was opened again; each band has its own words.
func TestPageInABrowserLocks(t *testing.T) {
	if pagesIn() == "" {
		return
	}
	for _, c := range []struct {
		why                 string
		upper, lower, pulse int
		light               bool
		second              int // the second reading's upper number, 0 where none is asked for
		want                string
		breathing           bool // slow breathing stays open
		maternity           bool
	}{
		{"threshold, twice", 185, 90, 70, false, 184, "Call your clinic today.", false, false},
		{"lower number, twice", 150, 110, 70, false, 150, "Call your clinic today.", false, false},
		{"effort, twice", 165, 90, 70, false, 160, "No squeezes, squats or loaded breathing today.", true, false},
		{"low, twice", 96, 60, 70, false, 99, "Call your coach today.", false, false},
		{"fast pulse, twice", 130, 80, 110, false, 130, "Call your coach today.", false, false},
		{"very fast pulse, twice", 130, 80, 125, false, 130, "Call your clinic today.", false, false},
		{"light-headed", 130, 80, 70, true, 0, "Call your clinic today.", false, false},
		{"the second one counts", 165, 90, 70, false, 159, "", false, false},
		{"maternity", 140, 80, 70, false, 0, "Call your maternity unit today.", false, true},
		{"maternity, emergency", 150, 110, 70, false, 0, "Call 112 now.", false, true},
	} {
		t.Run(c.why, func(t *testing.T) {
			in := short(t)
			if c.maternity {
				in.Plan.Gate = record.Gate{Systolic: unit.Int(140), Diastolic: unit.Int(90), EmergencySystolic: unit.Int(160), EmergencyDiastolic: unit.Int(110), Maternity: true}
			}
			x := open(t, in, look{})
			x.toReading(1)
			x.read(c.upper, c.lower, c.pulse, c.light)
			if c.second > 0 {
				x.is("sit")
				if js[bool](x, `document.getElementById('sit-on').checkVisibility()`) {
					t.Error("the rest before the second readings can be cut short")
				}
				x.until(`document.getElementById('sit-on').checkVisibility()`)
				x.do("sit-on")
				x.read(c.second, c.lower, c.pulse, false)
			}
			if c.want == "" {
				x.is("set")
				return
			}
			x.is("halt")
			if got := x.text("#halt-do"); !strings.Contains(got, c.want) {
				t.Errorf("it says %q, want %q", got, c.want)
			}
			x.run(chromedp.Reload())
			x.is("today")
			open := js[[]bool](x, `[...document.querySelectorAll('#list li')].map(li => !!li.querySelector('button'))`)
			if want := []bool{false, c.breathing}; !c.breathing && slices.Contains(open, true) || c.breathing && !slices.Equal(open, want) {
				t.Errorf("after it was opened again sessions can be begun: %v", open)
			}
		})
	}
	t.Run("danger signs", func(t *testing.T) {
		x := open(t, short(t), look{})
		x.press("#list li button")
		x.do("signs-yes")
		if got := x.text("#halt-do"); got != "Stop. Call 112 now." {
			t.Errorf("it says %q", got)
		}
		x.run(chromedp.Reload())
		if js[int](x, `document.querySelectorAll('#list button').length`) > 0 {
			t.Error("after it was opened again sessions can be begun")
		}
	})
}

// A session that was cut off is told of, and never taken up; what is not kept is said.
func TestPageInABrowserIsClosed(t *testing.T) {
	if pagesIn() == "" {
		return
	}
	x := open(t, short(t), look{})
	x.toRun(1)
	x.run(chromedp.Reload())
	x.is("end")
	x.save()
	if got := x.text("#list li"); !strings.Contains(got, "stopped") {
		t.Errorf("the list says %q", got)
	}
	y := open(t, short(t), look{before: `Object.defineProperty(globalThis, 'localStorage', { get() { throw new Error('no') } })`})
	y.is("today")
	if !js[bool](y, `document.getElementById('lost').checkVisibility()`) {
		t.Error("nothing says that the log is not kept")
	}
}

// A tab that the browser freezes loses no time either.
func TestPageInABrowserFrozen(t *testing.T) {
	if pagesIn() == "" {
		return
	}
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
	if pagesIn() == "" {
		return
	}
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

// From the list to the log with keys alone.
func TestPageInABrowserByKeys(t *testing.T) {
	if pagesIn() == "" {
		return
	}
	x := open(t, short(t), look{speed: 10})
	press := func(label string) {
		t.Helper()
		for range 40 {
			if js[string](x, `document.activeElement.textContent`) == label {
				x.run(chromedp.KeyEvent(kb.Enter))
				return
			}
			x.run(chromedp.KeyEvent(kb.Tab))
		}
		t.Fatalf("no key leads to %q in %s", label, x.state())
	}
	press("Start")
	press("No, none of these")
	press("No")
	press("I have sat this long already")
	for _, v := range []string{"130", "80", "70", "131", "81", "71"} {
		for js[string](x, `document.activeElement.type ?? ''`) != "text" {
			x.run(chromedp.KeyEvent(kb.Tab))
		}
		x.run(chromedp.KeyEvent(v), chromedp.KeyEvent(kb.Tab))
	}
	x.run(chromedp.KeyEvent(" "), chromedp.KeyEvent(kb.Tab), chromedp.KeyEvent(" "), chromedp.KeyEvent(kb.Tab))
	press("Go on")
	press("Begin")
	x.until(`!document.getElementById('end').hidden`)
	press("Save")
	press("Your log")
	x.is("log")
	if got := x.text("#rows"); !strings.Contains(got, "Grip, completed; 130/80") {
		t.Errorf("the log says %q", got)
	}
}

// In every state axe-core finds nothing, in light and dark, and nothing is wider than a phone.
func TestPageInABrowserIsAccessible(t *testing.T) {
	if pagesIn() == "" {
		return
	}
	for _, l := range []look{{}, {dark: true, calm: true}, {width: 1200, height: 800}} {
		x := open(t, short(t), l)
		name := map[int64]string{0: "phone", 1200: "desktop"}[l.width]
		if l.dark {
			name = "dark"
		}
		check := func(state string) {
			t.Helper()
			x.is(state)
			x.shot(name + "-" + state)
			for _, v := range x.axe() {
				t.Errorf("%s, %s: %s", name, state, v)
			}
			if wide := js[int](x, `document.documentElement.scrollWidth - innerWidth`); wide > 0 {
				t.Errorf("%s, %s is %d px too wide", name, state, wide)
			}
		}
		check("today")
		x.press("#list button")
		check("signs")
		x.do("signs-no")
		check("changed")
		x.do("changed-no")
		check("sit")
		x.do("sit-on")
		check("read")
		x.press("#reading button[type=submit]")
		check("read") // with what is wrong
		x.read(130, 80, 70, false)
		check("set")
		x.do("begin")
		x.until(`stamps.length > 1`)
		check("run")
		x.press("#stop")
		check("end")
		x.press("#felt-headache")
		x.save()
		check("halt")
		x.do("home")
		x.do("log")
		check("log")
	}
}

// The log that the page exports is read back without a problem. With ISOCUE_UPDATE it becomes the sample that go test reads.
func TestPageInABrowserExports(t *testing.T) {
	if pagesIn() == "" {
		return
	}
	x := open(t, short(t), look{speed: 4})
	x.toRun(1)
	x.until(`document.getElementById('line').textContent === 'Squeeze' && performance.now() - begun > 5600`)
	x.press("#wait")
	x.press("#stop")
	x.save()
	x.press("#list li:nth-child(2) button")
	x.do("begin")
	x.until(`!document.getElementById('end').hidden`)
	js[any](x, `document.getElementById('other').value = '=sore, "thumb"\n'`)
	x.press("#felt-headache")
	x.save()
	x.do("home")
	x.do("log")
	x.run(browser.SetDownloadBehavior(browser.SetDownloadBehaviorBehaviorAllow).WithDownloadPath(x.dir))
	x.do("save")
	file := filepath.Join(x.dir, "sessions.csv")
	var src []byte
	for range 200 {
		if src, _ = os.ReadFile(file); len(src) > 0 {
			break
		}
		time.Sleep(20 * time.Millisecond)
	}
	if shown := js[string](x, `document.getElementById('csv').value`); strings.ReplaceAll(string(src), "\r", "") != shown {
		t.Errorf("the file is %q, the text %q", src, shown)
	}
	now, _ := unit.ParseLocal("2027-01-05T12:00")
	log, err := load.SessionLog("sessions.csv", src, load.LogSpan{Comparison: record.Comparison{Lowest: 30, Highest: 300}, Now: now})
	if err != nil || len(log.Problems) > 0 || len(log.Sessions) != 2 {
		t.Fatalf("%v %+v", err, log)
	}
	if os.Getenv("ISOCUE_UPDATE") != "" {
		if err := os.WriteFile("../../testdata/sessionpage/sessions.csv", src, 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// Somebody else's reader of HTML finds nothing in the page.
func TestPageInABrowserIsHTML(t *testing.T) {
	if pagesIn() == "" {
		return
	}
	dir := pagesIn()
	file := filepath.Join(t.TempDir(), "session.html")
	if err := os.WriteFile(file, []byte(sessionOf(t, short(t))), 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("node", filepath.Join(dir, "valid.mjs"), file).CombinedOutput()
	if err != nil || len(out) > 0 {
		t.Errorf("%v\n%s", err, out)
	}
}
