package handout

import (
	"errors"
	"html"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode"

	"isocue.example/compiler/record"
	"isocue.example/compiler/say"
	"isocue.example/compiler/unit"
)

// sample is a plan of squeezes with one hand after the other, and of paced breathing, small enough to be read here.
func sample(t testing.TB) Input {
	t.Helper()
	start, err := unit.ParseDate("2027-01-04")
	if err != nil {
		t.Fatal(err)
	}
	set, low, high := unit.Int(12), unit.Int(10), unit.Int(14)
	squeeze := record.Step{Kind: record.Squeeze, Hand: record.Right, Seconds: 1200, Target: &set, Low: &low, High: &high, Unit: "kgf"}
	rest := record.Step{Kind: record.Rest, Seconds: 600}
	p := &record.Plan{
		Version: 1, Client: "heron-07", Start: start, Now: "2027-01-03T12:00:00Z", Sheet: 2, Zone: "Europe/Lisbon", Emergency: "112", Coach: "+351 555 0100",
		Gate:     record.Gate{Systolic: unit.Int(180), Diastolic: unit.Int(110), EffortSystolic: unit.Int(160), EffortDiastolic: unit.Int(100)},
		Cautions: []record.Caution{{ID: "emergency", Text: "Stop for chest pain."}, {ID: "not-a-clearance", Text: "Follow your physician."}},
		Sitting:  record.Sitting{SitSeconds: 300, Readings: 2, ReadingSeconds: 60, EndSeconds: 120, FirstHoldSeconds: 30, HighDays: 3},
		Kinds: map[string]record.Kind{
			"a": {Protocol: "grip", Title: "Grip", Modality: record.Handgrip, WorkSeconds: 3000, Loads: []record.Dose{{Hand: record.Right, Set: set, Low: low, High: high, Unit: "kgf"}},
				Steps: []record.Step{squeeze, rest, squeeze}},
			"b": {Protocol: "breath", Title: "Breath", Modality: record.SlowBreathing, WorkSeconds: 3000,
				Steps: []record.Step{{Kind: record.Breathe, Seconds: 3000, Count: 30, Pattern: &record.Breath{Inhale: 40, Exhale: 60}}}},
		},
		Sessions: []record.Session{
			{UID: "1", Sheet: 2, Status: record.Confirmed, Protocol: "grip", Kind: "a", Week: 1, Slot: 1, Start: unit.At(start, 7*60), Seconds: 720 + 120, Gate: true, End: true},
			{UID: "2", Sheet: 1, Status: record.Confirmed, Protocol: "breath", Kind: "b", Week: 1, Slot: 1, Start: unit.At(start+1, 7*60), Seconds: 300 + 540, Gate: true, End: true},
			{UID: "3", Sheet: 1, Status: record.Cancelled, Protocol: "breath", Kind: "b", Week: 2, Slot: 1, Start: unit.At(start+8, 7*60), Seconds: 840},
		},
	}
	return Input{Plan: p, Name: "Ines Marlow", Contacts: record.Contacts{Prescriber: "R. Okafor", Clinic: "+1 555 0100", MaternityUnit: "+1 555 0177"}, LighterDays: 7, MeasureDays: 14, Version: "t"}
}

func sheetOf(t testing.TB, in Input) string {
	t.Helper()
	b, err := Sheet(in)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// Whoever a gate line sends the client to has a number on the sheet, or a line to write it on.
func TestSheetSaysWhomToCall(t *testing.T) {
	row := func(who, number string) string { return "<dt>" + who + "</dt><dd>" + number + "</dd>" }
	in := sample(t)
	s := html.UnescapeString(sheetOf(t, in))
	if !strings.Contains(s, row("Clinic", "+1 555 0100")) || strings.Contains(s, "Maternity unit") {
		t.Error("the clinic's number is not told, or a maternity unit's is")
	}
	in.Plan.Gate.Maternity = true
	if s = html.UnescapeString(sheetOf(t, in)); !strings.Contains(s, row("Maternity unit", "+1 555 0177")) {
		t.Error("the maternity unit's number is not told")
	}
	in.Contacts = record.Contacts{}
	if s = sheetOf(t, in); !strings.Contains(s, row("Clinic", blank)) || !strings.Contains(s, row("Maternity unit", blank)) {
		t.Error("there is no line for a number that is not known")
	}
}

// Where the client is to move, sheet and page name each emergency number with its day, the page has the sessions of there, and a sheet
// without a session names them too.
func TestNumbersOfAMove(t *testing.T) {
	in := sample(t)
	in.Bounds = short(t).Bounds
	p := *in.Plan
	last := p.Sessions[len(p.Sessions)-1]
	p.Moves = []record.Elsewhere{{From: last.Start.Date(), Zone: "Asia/Tokyo", Emergency: "119"}}
	p.Sessions = slices.Clone(p.Sessions)
	p.Sessions[len(p.Sessions)-1].Zone, p.Sessions[len(p.Sessions)-1].Call = "Asia/Tokyo", "119"
	in.Plan = &p
	sheet := sheetOf(t, in)
	if head := sheet[strings.Index(sheet, `<h2 id="call">`):]; !strings.Contains(head[:strings.Index(head, "</h2>")], p.Emergency+" (") || !strings.Contains(head[:strings.Index(head, "</h2>")], "119") {
		t.Errorf("the sheet's head: %.200s", head)
	}
	page := sessionOf(t, in)
	for _, want := range []string{`href="tel:` + p.Emergency + `"`, `data-call="119"`, `href="tel:119"`} {
		if !strings.Contains(page, want) {
			t.Errorf("the page has no %s", want)
		}
	}
	if r := runOf(t, page); len(r.Moves) != 1 || r.Days[len(r.Days)-1].UID != last.UID {
		t.Errorf("moves %v, %d sessions", r.Moves, len(r.Days))
	}
	p.Sessions = nil
	p.Holds = []record.Hold{{Protocol: last.Protocol, Since: p.Start}}
	if !strings.Contains(sheetOf(t, in), "119") {
		t.Error("a sheet that holds everything names one number alone")
	}
}

func TestSheetIsRefused(t *testing.T) {
	for _, x := range []struct {
		why    string
		change func(*Input)
		want   string
	}{
		{"who trains alone must find the number", func(in *Input) { in.Plan.Emergency = " " }, "contacts.emergency"},
		{"docs/architecture.md, refusal 6", func(in *Input) { in.Plan.Cautions = nil }, "no cautions"},
		{"docs/architecture.md, refusal 6", func(in *Input) { in.Plan.Cautions[1].Text = "" }, "has no text"},
		{"a gate without numbers opens", func(in *Input) { in.Plan.Gate.Systolic = unit.Dec{} }, "gate has no numbers"},
		{"a plan that was read has no timings", func(in *Input) { in.Plan.Sitting = record.Sitting{} }, "how long to sit"},
		{"a kind that is not there has no work", func(in *Input) { delete(in.Plan.Kinds, "a") }, "is of kind"},
		{"", func(in *Input) { in.Plan.Zone = "Nowhere/At" }, "Nowhere/At"},
		{"", func(in *Input) { in.Plan.Now = "today" }, "plan's now"},
	} {
		in := sample(t)
		x.change(&in)
		if b, err := Sheet(in); err == nil || !strings.Contains(err.Error(), x.want) || b != nil {
			t.Errorf("%s: %v, want %q", x.why, err, x.want)
		}
	}
	in := sample(t)
	in.Plan.Emergency = ""
	if _, err := Sheet(in); !errors.Is(err, ErrNoEmergency) {
		t.Error(err)
	}
}

// A programme that was stopped is told as such, by whatever is known, and nothing of the work is left on the page.
func TestEndedSheetHasNoWork(t *testing.T) {
	in := sample(t)
	in.Plan.Stopped, in.Plan.Emergency = in.Plan.Start, ""
	in.Plan.Cautions = append(in.Plan.Cautions, record.Caution{ID: "medicine-unchanged", Text: "Change nothing."})
	s := sheetOf(t, in)
	for _, want := range []string{"This programme has ended. From Monday 4 January 2027 on", "Destroy sheet 1", "Stop, and call the emergency number", "Follow your physician.", "Change nothing."} {
		if !strings.Contains(s, want) {
			t.Errorf("%q is missing", want)
		}
	}
	for _, never := range []string{"<svg", "kgf", "07:00", "Your weeks"} {
		if strings.Contains(s, never) {
			t.Errorf("it still has %q", never)
		}
	}
}

// What is cancelled is not trained: it stands on no sheet.
func TestCancelledIsNotOnTheSheet(t *testing.T) {
	s := sheetOf(t, sample(t))
	if strings.Contains(s, "11 to 17 January") || strings.Contains(s, "weeks 1 to 2") {
		t.Error("the cancelled session's week is on the sheet")
	}
	if !strings.Contains(s, "entries marked Sheet 1 and Sheet 2 count") {
		t.Error("it does not say which entries of the calendar count")
	}
}

// A load past its measurement's age is repeated, never with a range above it: refusal 4.
func TestOldLoadHasNoRange(t *testing.T) {
	in := sample(t)
	if s := sheetOf(t, in); !strings.Contains(s, "keep the gauge at 12 kgf (10 to 14)") {
		t.Error("a load that stands has no range")
	}
	for _, hand := range []record.Hand{record.Right, record.Both} {
		in := sample(t)
		k := in.Plan.Kinds["a"]
		for i := range k.Steps {
			if k.Steps[i].Kind == record.Squeeze {
				k.Steps[i].Hand = hand
			}
		}
		late := in.Plan.Sessions[0]
		late.UID, late.Week, late.Start, late.Status = "9", 6, late.Start+35*24*60, record.Provisional
		in.Plan.Sessions = append(in.Plan.Sessions, late)
		s := sheetOf(t, in)
		if !strings.Contains(s, "Week 1:</strong> Your load: right 12 kgf (10 to 14)") || !strings.Contains(s, "12 kgf, do not raise it") || strings.Count(s, "(10 to 14)") != 1 {
			t.Errorf("%s: %s", hand, s[strings.Index(s, "<h2>Grip"):])
		}
	}
}

// Free text of authors and of the record is text and nothing else, and loses what would steer a reader.
func TestHostileTextIsText(t *testing.T) {
	hostile := []string{
		`<script>alert(1)</script>`, `"><img src=x onerror=alert(1)>`, `</style><b>`, `{{.T.Gate}}`, `&lt;b&gt; & "quoted" 'single'`, "a\u202eb\u2066c\u200fd", "bell\a esc\x1b[31m nul\x00 nel\u0085",
		"line\u2028end", "javascript:alert(1)", strings.Repeat("W", 200), "\xff\xfe", "Łukasz Ångström 名前",
	}
	clean := func(s string) string {
		return strings.Map(func(r rune) rune {
			if r == '\n' || r == '\t' || !unicode.In(r, unicode.Cc, unicode.Bidi_Control, unicode.Zl, unicode.Zp) {
				return r
			}
			return -1
		}, strings.ReplaceAll(strings.ToValidUTF8(s, ""), "\x00", ""))
	}
	tags := regexp.MustCompile(`<[^>]*>`)
	plain := tags.FindAllString(sheetOf(t, sample(t)), -1)
	for _, h := range hostile {
		in := sample(t)
		in.Name, in.Contacts, in.Plan.Coach, in.Plan.Emergency = h, record.Contacts{Prescriber: h, Clinic: h, MaternityUnit: h}, h, h
		in.Expected = map[record.Modality]string{record.Handgrip: h}
		in.Plan.Cautions = append(in.Plan.Cautions, record.Caution{ID: "x", Text: h})
		s := sheetOf(t, in)
		got := tags.FindAllString(s, -1)
		// the same elements as before, but for the new caution and the expectation
		if n := len(got) - len(plain); n != 2+4 {
			t.Errorf("%q: %d elements more", h, n)
		}
		for _, r := range s {
			if r != '\n' && r != '\t' && unicode.In(r, unicode.Cc, unicode.Bidi_Control, unicode.Zl, unicode.Zp) {
				t.Errorf("%q: %q is left", h, r)
			}
		}
		if !strings.Contains(strings.ReplaceAll(html.UnescapeString(s), "\ufffd", ""), "Training sheet for "+clean(h)) {
			t.Errorf("%q is not told as it was written", h)
		}
		in = sample(t)
		k := in.Plan.Kinds["a"]
		k.Title, k.Loads[0].Unit = h, h
		in.Plan.Kinds["a"] = k
		if n := len(tags.FindAllString(sheetOf(t, in), -1)) - len(plain); n != 0 {
			t.Errorf("a title of %q: %d elements more", h, n)
		}
	}
}

// A drawing is as long as its session: its parts lie side by side without a gap, and its table names the same steps.
func TestDrawingIsWhole(t *testing.T) {
	in := sample(t)
	k := in.Plan.Kinds["a"]
	d, ok := sessionDrawing(say.English(), &k)
	if !ok || len(d.Boxes) != 3 || len(d.Rows) != 1 || len(d.Rows[0]) != 3 {
		t.Fatalf("%+v", d)
	}
	b := breathDrawing(say.English(), in.Plan.Kinds["b"].Steps[0].Pattern)
	for _, d := range []drawing{d, b} {
		at := unit.Int(0)
		for _, x := range d.Boxes {
			if unit.MustDec(x.X).Cmp(at) != 0 {
				t.Errorf("a part begins at %s, the one before ends at %s", x.X, at)
			}
			at = at.Add(unit.MustDec(x.W))
		}
		if at.Cmp(unit.Int(int64(d.Width))) != 0 {
			t.Errorf("the drawing is %s long", at)
		}
	}
	one := record.Kind{WorkSeconds: 300, Steps: k.Steps[:1]}
	if _, ok := sessionDrawing(say.English(), &one); ok {
		t.Error("one step was drawn")
	}
}
