//go:build full

package handout

import (
	"context"
	"encoding/json"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	cdp "github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// tab is the session page in a real browser, on the morning of the sample's first day.
type tab struct {
	t   *testing.T
	ctx context.Context
	dir string

	speed                float64
	mu                   sync.Mutex
	requests, complaints []string
}

// look is how a page is looked at. Speed quickens the page's clocks and timers alike; 1 is real time.
type look struct {
	width, height int64
	dark, calm    bool
	speed         float64
	morning       string // wall time in the plan's zone, which is UTC in January
	before        string // a script that runs before the page's own
}

// pagesIn is where .ci/pages/install put what looks at pages.
func pagesIn(t testing.TB) string {
	t.Helper()
	dir := os.Getenv("ISOCUE_PAGES")
	if dir == "" {
		t.Fatal("ISOCUE_PAGES names no folder; .ci/pages/install makes one")
	}
	return dir
}

// clocks sets the page's day, quickens it, and stamps what it shows, with when the page last looked at its clock before it showed it. A
// session begins between begun and begunBy. It comes before the page's own script, which knows nothing of it.
const clocks = `(() => {
  if (self !== top) return
  const speed = %v, zero = %d, real = performance.now.bind(performance), from = real(), later = setTimeout, Old = Date
  const now = () => from + (real() - from) * speed
  let read = 0
  performance.now = () => read = now()
  globalThis.setTimeout = (f, ms, ...more) => later(f, ms / speed, ...more)
  globalThis.Date = class extends Old { constructor(...a) { a.length ? super(...a) : super(globalThis.Date.now()) } static now() { return zero + (real() - from) * speed } }
  globalThis.stamps = []
  addEventListener('click', e => { if (e.target.dataset?.do === 'begin') globalThis.begun = now() }, true)
  addEventListener('click', e => { if (e.target.dataset?.do === 'begin') globalThis.begunBy = now() })
  addEventListener('DOMContentLoaded', () => {
    new MutationObserver(() => stamps.push({ at: now(), read, line: document.getElementById('line').textContent, of: document.getElementById('of').textContent }))
      .observe(document.getElementById('of'), { childList: true })
  })
})();`

func open(t *testing.T, in Input, l look) *tab {
	t.Helper()
	b, err := Session(in)
	if err != nil {
		t.Fatal(err)
	}
	x := &tab{t: t, dir: t.TempDir(), speed: max(l.speed, 1)}
	file := filepath.Join(x.dir, "session.html")
	if err := os.WriteFile(file, b, 0o600); err != nil {
		t.Fatal(err)
	}
	if l.width == 0 {
		l.width, l.height = 360, 740
	}
	if l.speed == 0 {
		l.speed = 1
	}
	if l.morning == "" {
		l.morning = "2027-01-04T07:00"
	}
	at, err := time.Parse("2006-01-02T15:04", l.morning)
	if err != nil {
		t.Fatal(err)
	}
	opts := append(slices.Clone(chromedp.DefaultExecAllocatorOptions[:]), chromedp.ExecPath("/usr/bin/chromium"), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("autoplay-policy", "no-user-gesture-required"))
	alloc, cancel := chromedp.NewExecAllocator(context.Background(), opts...)
	t.Cleanup(cancel)
	ctx, stop := chromedp.NewContext(alloc)
	t.Cleanup(stop)
	if err := chromedp.Run(ctx); err != nil { // the browser lives as long as this context, not as the deadline below
		t.Fatal(err)
	}
	x.ctx = ctx
	address := (&url.URL{Scheme: "file", Path: file}).String()
	chromedp.ListenTarget(ctx, func(ev any) {
		x.mu.Lock()
		defer x.mu.Unlock()
		switch ev := ev.(type) {
		case *network.EventRequestWillBeSent:
			if ev.Request.URL != address && !strings.HasPrefix(ev.Request.URL, "blob:") {
				x.requests = append(x.requests, ev.Request.URL)
			}
		case *runtime.EventExceptionThrown:
			x.complaints = append(x.complaints, ev.ExceptionDetails.Error())
		case *runtime.EventConsoleAPICalled:
			x.complaints = append(x.complaints, string(ev.Type))
		}
	})
	var features []*emulation.MediaFeature
	if l.dark {
		features = append(features, &emulation.MediaFeature{Name: "prefers-color-scheme", Value: "dark"})
	}
	if l.calm {
		features = append(features, &emulation.MediaFeature{Name: "prefers-reduced-motion", Value: "reduce"})
	}
	x.run(network.Enable(), chromedp.EmulateViewport(l.width, l.height), emulation.SetEmulatedMedia().WithFeatures(features),
		chromedp.ActionFunc(func(ctx context.Context) error {
			_, err := cdp.AddScriptToEvaluateOnNewDocument(fmt.Sprintf(clocks, l.speed, at.UnixMilli()) + l.before).Do(ctx)
			return err
		}), chromedp.Navigate(address))
	t.Cleanup(func() {
		x.mu.Lock()
		defer x.mu.Unlock()
		if len(x.requests)+len(x.complaints) > 0 {
			t.Errorf("the page asked for %v and complained of %v", x.requests, x.complaints)
		}
	})
	return x
}

// reopen opens the page again once the browser has what the page wrote: that comes to another document of the browser as an event, behind
// all that was written before it. Until then a busy machine may hand an older state to the page that is opened.
func (x *tab) reopen(before ...chromedp.Action) {
	x.t.Helper()
	js[any](x, `(() => { const other = document.body.appendChild(document.createElement('iframe')).contentWindow
  other.localStorage.length // whoever never looked is told nothing
  other.addEventListener('storage', e => { if (e.key === 'written') globalThis.written = true })
  localStorage.setItem('written', Number(localStorage.getItem('written')) + 1) })()`)
	x.until(`globalThis.written`)
	x.run(append(before, chromedp.Reload())...)
}

// replace puts another page in the file's place, as a newer sheet does, and opens it on another morning.
func (x *tab) replace(in Input, morning string) {
	x.t.Helper()
	b, err := Session(in)
	if err != nil {
		x.t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(x.dir, "session.html"), b, 0o600); err != nil {
		x.t.Fatal(err)
	}
	at, err := time.Parse("2006-01-02T15:04", morning)
	if err != nil {
		x.t.Fatal(err)
	}
	x.reopen(chromedp.ActionFunc(func(ctx context.Context) error {
		_, err := cdp.AddScriptToEvaluateOnNewDocument(fmt.Sprintf(clocks, 1.0, at.UnixMilli())).Do(ctx)
		return err
	}))
}

func (x *tab) run(actions ...chromedp.Action) {
	x.t.Helper()
	if err := chromedp.Run(x.ctx, actions...); err != nil {
		x.t.Fatal(err)
	}
}

// js evaluates an expression of the page.
func js[T any](x *tab, expression string) (out T) {
	x.t.Helper()
	x.run(chromedp.Evaluate(expression, &out))
	return out
}

func (x *tab) press(selector string) {
	x.t.Helper()
	if !js[bool](x, fmt.Sprintf(`(() => { const e = document.querySelector(%q); if (!e || e.disabled || !e.checkVisibility()) return false; e.click(); return true })()`, selector)) {
		x.t.Fatalf("%s is not there to be pressed in %s", selector, x.state())
	}
}

// do presses the button of an action in the section that is seen.
func (x *tab) do(action string) {
	x.t.Helper()
	x.press(fmt.Sprintf("main > section:not([hidden]) [data-do=%q]", action))
}

func (x *tab) state() string {
	return js[string](x, `document.querySelector('main > section:not([hidden])')?.id ?? ''`)
}

func (x *tab) is(state string) {
	x.t.Helper()
	if got := x.state(); got != state {
		x.t.Fatalf("the page shows %s, want %s: %s", got, state, js[string](x, `document.querySelector('main').innerText`))
	}
}

func (x *tab) text(selector string) string {
	x.t.Helper()
	return js[string](x, fmt.Sprintf(`document.querySelector(%q).innerText`, selector))
}

// until waits for a condition of the page, in real time.
func (x *tab) until(condition string) {
	x.t.Helper()
	x.run(chromedp.Poll(condition, nil, chromedp.WithPollingInterval(5*time.Millisecond), chromedp.WithPollingTimeout(time.Duration(2*x.speed)*time.Minute)))
}

// read fills in two readings, the same twice.
func (x *tab) read(upper, lower, pulse int, light bool) {
	x.t.Helper()
	x.answer(upper, lower, pulse, light, false)
}

// answer is read with a pulse that is newly uneven or not.
func (x *tab) answer(upper, lower, pulse int, light, uneven bool) {
	x.t.Helper()
	x.is("read")
	js[any](x, fmt.Sprintf(`(() => {
  for (const n of [1, 2]) { document.getElementById('upper-' + n).value = %d; document.getElementById('lower-' + n).value = %d; document.getElementById('pulse-' + n).value = %d }
  document.getElementById('light-%s').checked = true; document.getElementById('uneven-%s').checked = true
  document.querySelector('#reading button[type=submit]').click() })()`, upper, lower, pulse, yesNo[light], yesNo[uneven]))
}

var yesNo = map[bool]string{true: "yes", false: "no"}

// toReading goes from the list of today to the readings.
func (x *tab) toReading(n int) {
	x.t.Helper()
	x.is("today")
	x.press(fmt.Sprintf("#list li:nth-child(%d) button", n))
	x.is("signs")
	x.do("signs-no")
	x.do("changed-no")
	x.is("sit")
	x.do("sit-on")
}

// toSet goes on from there to a session that is ready to begin.
func (x *tab) toSet(n int) {
	x.t.Helper()
	x.toReading(n)
	x.read(130, 80, 70, false)
	x.is("set")
}

// toRun goes on from there to a running session.
func (x *tab) toRun(n int) {
	x.t.Helper()
	x.toSet(n)
	x.do("begin")
	x.is("run")
}

func (x *tab) save() {
	x.t.Helper()
	x.is("end")
	x.press("#outcome button[type=submit]")
}

type stamp struct {
	At, Read float64
	Line, Of string
}

func (x *tab) stamps() []stamp {
	x.t.Helper()
	var out []stamp
	if err := json.Unmarshal([]byte(js[string](x, `JSON.stringify(stamps)`)), &out); err != nil {
		x.t.Fatal(err)
	}
	return out
}

// axe are the rules of accessibility that the seen state breaks.
func (x *tab) axe() []string {
	x.t.Helper()
	src, err := os.ReadFile(filepath.Join(pagesIn(x.t), "node_modules", "axe-core", "axe.min.js"))
	if err != nil {
		x.t.Fatal(err)
	}
	js[any](x, string(src)+";0")
	var out []string
	x.run(chromedp.Evaluate(`axe.run(document).then(r => r.violations.map(v => v.id + ': ' + v.nodes[0].html))`, &out, func(p *runtime.EvaluateParams) *runtime.EvaluateParams { return p.WithAwaitPromise(true) }))
	return out
}

func (x *tab) shot(name string) {
	x.t.Helper()
	dir := os.Getenv("ISOCUE_SHOTS")
	if dir == "" {
		return
	}
	var b []byte
	x.run(chromedp.CaptureScreenshot(&b))
	if err := os.WriteFile(filepath.Join(dir, name+".png"), b, 0o644); err != nil {
		x.t.Fatal(err)
	}
}
