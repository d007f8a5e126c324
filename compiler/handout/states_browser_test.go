//go:build full

package handout

import (
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/browser"
	"github.com/chromedp/chromedp/kb"

	"github.com/chromedp/chromedp"

	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// An answer or a reading that fails the gate closes today, also after the page was opened again; each band has its own words.
func TestPageInABrowserLocks(t *testing.T) {
	for _, c := range []struct {
		why                 string
		upper, lower, pulse int
		light               bool
		second              int // the second reading's upper number, 0 where none is asked for
		want                string
		breathing           bool // slow breathing stays open
		maternity           bool
	}{
		{"threshold, twice", 185, 90, 70, false, 184, "Call your clinic today, +1 555 0100.", false, false},
		{"lower number, twice", 150, 110, 70, false, 150, "Call your clinic today.", false, false},
		{"effort, twice", 165, 90, 70, false, 160, "No training today except slow breathing", true, false},
		{"low, twice", 96, 60, 70, false, 99, "Call your coach today.", false, false},
		{"fast pulse, twice", 130, 80, 110, false, 130, "Call your coach today.", false, false},
		{"very fast pulse, twice", 130, 80, 125, false, 130, "Call your clinic today, +1 555 0100.", false, false},
		{"very low, twice", 88, 60, 70, false, 89, "Call your clinic today, +1 555 0100.", false, false},
		{"light-headed at the threshold", 185, 90, 70, true, 0, "Call 112 now.", false, false},
		{"light-headed", 130, 80, 70, true, 0, "Call your clinic today.", false, false},
		{"the second one counts", 165, 90, 70, false, 159, "", false, false},
		{"maternity", 140, 80, 70, false, 0, "Call your maternity unit today, +1 555 0177.", false, true},
		{"maternity, its number not known", 140, 80, 70, false, 0, "Call your maternity unit today.", false, true},
		{"maternity, emergency", 150, 110, 70, false, 0, "Call 112 now.", false, true},
	} {
		t.Run(c.why, func(t *testing.T) {
			in := short(t)
			if strings.HasSuffix(c.want, " today.") {
				in.Contacts = record.Contacts{}
			}
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
			x.reopen()
			x.until(`!document.getElementById('today').hidden`)
			open := js[[]bool](x, `[...document.querySelectorAll('#list li')].map(li => !!li.querySelector('button'))`)
			if want := []bool{false, c.breathing}; !slices.Equal(open, want) {
				t.Errorf("after it was opened again sessions can be begun: %v, want %v; it keeps %s", open, want, js[string](x, `JSON.stringify(localStorage)`))
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
		x.reopen()
		x.until(`!document.getElementById('today').hidden`)
		if js[int](x, `document.querySelectorAll('#list button').length`) > 0 {
			t.Error("after it was opened again sessions can be begun")
		}
	})
}

// A session that was cut off is told of, and never taken up; what is not kept is said.
func TestPageInABrowserIsClosed(t *testing.T) {
	x := open(t, short(t), look{})
	x.toRun(1)
	x.reopen()
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

// From the list to the log with keys alone.
func TestPageInABrowserByKeys(t *testing.T) {
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
	dir := pagesIn(t)
	file := filepath.Join(t.TempDir(), "session.html")
	if err := os.WriteFile(file, []byte(sessionOf(t, short(t))), 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("node", filepath.Join(dir, "valid.mjs"), file).CombinedOutput()
	if err != nil || len(out) > 0 {
		t.Errorf("%v\n%s", err, out)
	}
}
