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
	if strings.Contains(page, "tel:") {
		t.Error("what is no number alone is dialled")
	}
	if in = short(t); !strings.Contains(sessionOf(t, in), `href="tel:`+in.Plan.Emergency+`"`) {
		t.Error("the number is not dialled as it is written")
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

// short is the sample with sessions of seconds: squeezes, a change of hand and rests; and breaths with all four phases.
func short(t testing.TB) Input {
	in := sample(t)
	in.Bounds = Bounds{Lowest: 30, Highest: 300, LowestPulse: 20, MostPulse: 250, LeastApart: 5}
	in.Symptoms = []record.Symptom{{ID: "chest-pain", Grave: true}, {ID: "headache"}, {ID: "dizzy"}, {ID: "palpitations"}}
	p := in.Plan
	p.Zone = "Etc/UTC"
	p.Gate.LowSystolic, p.Gate.LowClinic, p.Gate.PulseCoach, p.Gate.PulseClinic = unit.Int(100), unit.Int(90), unit.Int(100), unit.Int(120)
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

// companions is short with sets of an exercise and a walk in place of squeezes.
func companions(t testing.TB) Input {
	in := short(t)
	k, effort := in.Plan.Kinds["a"], unit.Int(4)
	set, rest := record.Step{Kind: record.Exercise, Name: "bridge", Count: 10, Seconds: 20, Target: &effort, Unit: "effort"}, record.Step{Kind: record.Rest, Seconds: 15}
	k.Modality, k.Loads = record.Strength, nil
	k.Steps = []record.Step{set, rest, set, rest, {Kind: record.Walk, Seconds: 30, Intensity: "light"}}
	k.WorkSeconds = 100
	in.Plan.Kinds["a"] = k
	return in
}

// The parts of the script are one script in the page: a name that two of them give would end it before it begins, in browsers alone.
func TestScriptNamesNothingTwice(t *testing.T) {
	declared := regexp.MustCompile(`(?m)^(?:async )?(?:function|const|let|class) +([A-Za-z_$][\w$]*)`)
	seen := map[string]int{}
	for _, m := range declared.FindAllStringSubmatch(sessionScript, -1) {
		seen[m[1]]++
	}
	for name, n := range seen {
		if n > 1 {
			t.Errorf("%s is declared %d times", name, n)
		}
	}
	if len(seen) < 40 {
		t.Errorf("only %d names are found", len(seen))
	}
}
