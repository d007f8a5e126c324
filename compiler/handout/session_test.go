package handout

import (
	"encoding/json"
	"regexp"
	"strings"
	"testing"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

func sessionOf(t testing.TB, in Input) string {
	t.Helper()
	b, err := Session(in)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

var dataOf = regexp.MustCompile(`(?s)<script type="application/json" id="data">(.*?)</script>`)

func runOf(t testing.TB, page string) (out run) {
	t.Helper()
	m := dataOf.FindStringSubmatch(page)
	if m == nil {
		t.Fatal("the page has no data")
	}
	if err := json.Unmarshal([]byte(m[1]), &out); err != nil {
		t.Fatal(err)
	}
	return out
}

// Whatever a client's record or a protocol says stays text: no markup, no end of the script, no line that JSON allows and a
// script does not.
func TestSessionEscapes(t *testing.T) {
	hostile := "</script><script>alert(1)</script>\u2028<!--<img src=x onerror=y>]]>'\"`${1}"
	in := short(t)
	k := in.Plan.Kinds["a"]
	k.Title = hostile
	in.Plan.Kinds["a"] = k
	in.Plan.Coach, in.Plan.Emergency, in.Plan.Client = hostile, hostile, hostile
	in.Plan.Cautions[0].Text = hostile
	in.Symptoms[1].ID = hostile
	page := sessionOf(t, in)
	for _, never := range []string{"<img", "alert(1)</", "\u2028", "<!--<", "href=\"http"} {
		if strings.Contains(page, never) {
			t.Errorf("the page has %q", never)
		}
	}
	if n := strings.Count(page, "</script>"); n != 2 {
		t.Errorf("%d scripts end, want 2", n)
	}
	if got := runOf(t, page); got.Ways["a confirmed"].Title != hostile || got.Coach != hostile {
		t.Errorf("the text is another one: %q", got.Ways["a confirmed"].Title)
	}
	if !strings.Contains(page, `href="tel:11"`) {
		t.Error("the number that is called is not the digits alone")
	}
}

// The page fetches nothing and says so to the browser; the same plan gives the same bytes; a plan without bounds has no page.
func TestSessionStandsAlone(t *testing.T) {
	in := short(t)
	page := sessionOf(t, in)
	for _, never := range []string{"http:", "https:", "src=", "url(", "@import", "eval(", "innerHTML", "fetch(", "<form action", "unsafe-"} {
		if strings.Contains(page, never) {
			t.Errorf("the page has %q", never)
		}
	}
	if !strings.Contains(page, "default-src &#39;none&#39;") || !strings.Contains(page, "script-src &#39;sha256-") {
		t.Error("the page has no policy")
	}
	if sessionOf(t, in) != page {
		t.Error("the same plan gave another page")
	}
	in.Bounds = Bounds{}
	if _, err := Session(in); err == nil {
		t.Error("a page takes any number for a pressure")
	}
}

// What must not be trained is not in the page: a cancelled session, a load that carries no number any more, a programme that ended.
func TestSessionHidesWhatMustNotBeTrained(t *testing.T) {
	in := short(t)
	in.Plan.Sessions[0].Status = record.Cancelled
	if got := runOf(t, sessionOf(t, in)).Ways["a cancelled"]; len(got.Steps) > 0 || len(got.Set) > 0 || got.Shut != "This session is cancelled. There is nothing to do." {
		t.Errorf("a cancelled session has %+v", got)
	}
	in.Plan.Sessions[0].Status = record.Provisional
	if got := runOf(t, sessionOf(t, in)).Ways["a provisional"]; len(got.Steps) == 0 || !strings.Contains(got.Set[0], "do not raise it") {
		t.Errorf("a provisional session has %+v", got)
	}
	k := in.Plan.Kinds["a"]
	k.NoNumber = true
	in.Plan.Kinds["a"] = k
	if got := runOf(t, sessionOf(t, in)).Ways["a provisional"]; len(got.Steps) > 0 || got.Shut == "" {
		t.Errorf("a session without a number has %+v", got)
	}
	in.Plan.Stopped = in.Plan.Start + 1
	if got := runOf(t, sessionOf(t, in)); !got.Over || len(got.Days)+len(got.Ways) > 0 {
		t.Errorf("a programme that ended has %+v", got.Days)
	}
	in = short(t)
	in.Plan.Now = "2027-01-05T12:00:00Z"
	for _, d := range runOf(t, sessionOf(t, in)).Days {
		if d.Start < unit.At(in.Plan.Start+1, 0) {
			t.Errorf("a session of %s is still there", d.Start)
		}
	}
}

// Walks and sets of exercises have names on the page, and like every effort they are locked where slow breathing is not.
func TestSessionNamesCompanions(t *testing.T) {
	got := runOf(t, sessionOf(t, companions(t)))
	if got.Labels["exercise/bridge/10"] != "Lift your hips: 10 repetitions" || got.Labels["walk//0"] != "Walk" || !got.Ways["a confirmed"].Effort {
		t.Errorf("%v, effort %v", got.Labels, got.Ways["a confirmed"].Effort)
	}
}
