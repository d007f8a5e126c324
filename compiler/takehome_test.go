package compiler

import (
	"fmt"
	"html"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"isocue.example/compiler/handout"
	"isocue.example/compiler/record"
	"isocue.example/compiler/say"
	"isocue.example/compiler/unit"
)

var sheetProgrammes = [][]string{
	{"handgrip-alternating", "slow-breathing-even"}, {"handgrip-start", "slow-breathing-short-pause"}, {"wall-squat-home"},
	{"inspiratory-strength"}, {"inspiratory-light-paced"}, {"handgrip-guideline"},
}

// sheets hands over the sheet of every programme in every language.
func sheets(t *testing.T, use func(t *testing.T, p *record.Plan, in handout.Input, page string)) {
	for _, ids := range sheetProgrammes {
		for _, tag := range say.Tags() {
			t.Run(strings.Join(ids, "+")+"/"+tag, func(t *testing.T) {
				c := engine(t)
				l, _ := say.In(tag)
				mine, err := c.In(l)
				if err != nil {
					t.Fatal(err)
				}
				in := demo(t, c, ids...)
				in.Protocols = TitlesIn(l, in.Protocols)
				p := plan(t, mine, in)
				h, err := c.Handout(p, in.Client, "t")
				if err != nil {
					t.Fatal(err)
				}
				page, err := handout.Sheet(h)
				if err != nil {
					t.Fatal(err)
				}
				use(t, p, h, string(page))
			})
		}
	}
}

var (
	style   = regexp.MustCompile(`(?s)<style>.*?</style>`)
	element = regexp.MustCompile(`(?s)<[^>]*>`)
	blank   = regexp.MustCompile(`\s+`)
)

// read is a page as a person reads it: without style and tags, each element apart from the next.
func read(page string) string {
	return blank.ReplaceAllString(html.UnescapeString(element.ReplaceAllString(style.ReplaceAllString(page, ""), " | ")), " ")
}

// A sheet carries every caution, every line of the gate and whom to call; what may be expected is the schema's text, to the
// letter; it fetches nothing and links nowhere.
func TestSheetCarriesWhatItMust(t *testing.T) {
	sheets(t, func(t *testing.T, p *record.Plan, in handout.Input, page string) {
		text := read(page)
		for _, c := range p.Cautions {
			if !strings.Contains(text, c.Text) {
				t.Errorf("caution %s is missing", c.ID)
			}
		}
		must := append(in.Language.GateLines(in.Plan, p.Emergency)[1:], p.Emergency, p.Coach, in.Contacts.Prescriber, in.Contacts.Clinic, in.Name, in.Language.Sheet.DisagreeDo, in.Language.Sheet.MissedDo, in.Language.Sheet.MedicineDo)
		for _, k := range p.Kinds {
			must = append(must, in.Expected[k.Modality])
		}
		for _, m := range must {
			if m == "" || !strings.Contains(text, m) {
				t.Errorf("%q is missing", m)
			}
		}
		if i, j := strings.Index(text, in.Language.Gate.Sit[:8]), strings.Index(text, in.Language.Sheet.EachStep); i < 0 || j < i {
			t.Error("the gate does not stand before the work")
		}
		for _, never := range []string{"http:", "https:", "src=", "href=", "url(", "@import", "<script", "<form", "session.html", ".wav"} {
			if strings.Contains(page, never) {
				t.Errorf("the sheet has %q", never)
			}
		}
		if n, m := strings.Count(page, "<svg"), strings.Count(page, `class="steps"`); m < n {
			t.Errorf("%d drawings have %d tables", n, m)
		}
		again, err := handout.Sheet(in)
		if err != nil || string(again) != page {
			t.Error("the same plan gave another sheet")
		}
		if in.Language.Tag == "de" {
			if w := regexp.MustCompile(`(?i)\b(the|your|week|weeks|session|and|of|squeeze|minutes)\b`).FindString(strings.ReplaceAll(text, "Coach", "")); w != "" {
				t.Errorf("the German sheet has the English word %q", w)
			}
		}
	})
}

var number = regexp.MustCompile(`[0-9]+(?:[.,:][0-9]+)*`)

// Every number of a sheet is the plan's, or follows from its seconds and dates by dividing by sixty, or is a timing of
// schema/base/sitting.cue, a limit of a rule, a digit of a name or of a text of the schema.
func TestSheetNumbersAreThePlans(t *testing.T) {
	seen := 0
	sheets(t, func(t *testing.T, p *record.Plan, in handout.Input, page string) {
		l, ok := in.Language, map[string]bool{}
		from := func(texts ...string) {
			for _, s := range texts {
				for _, n := range number.FindAllString(s, -1) {
					ok[n] = true
				}
			}
		}
		dec := func(ds ...unit.Dec) {
			for _, d := range ds {
				ok[l.Number(d)] = true
			}
		}
		long := func(s unit.Tenths) { from(l.Span(s), fmt.Sprint(int(s)/600), fmt.Sprintf("%d:%02d", s/600, s%600/10)) }
		from(in.Name, in.Contacts.Prescriber, in.Contacts.Clinic, in.Contacts.MaternityUnit, l.Session.SquatEffort, l.Sheet.LoadEffort, p.Coach, p.Emergency, fmt.Sprint(p.Sheet))
		for _, c := range p.Cautions {
			from(c.Text)
		}
		g, s := p.Gate, in.Plan.Sitting
		dec(g.Systolic, g.Diastolic, g.EffortSystolic, g.EffortDiastolic, g.LowSystolic, g.LowClinic, g.PulseCoach, g.PulseClinic)
		long(unit.Seconds(s.SitSeconds))
		long(unit.Seconds(s.EndSeconds))
		long(unit.Seconds(s.GateSeconds()))
		long(unit.Seconds(s.FirstHoldSeconds))
		long(unit.Seconds(s.TestSeconds))
		long(unit.Seconds(s.TestRestSeconds))
		long(unit.Seconds(60 * s.ReadingWaitMinutes))
		from(fmt.Sprint(s.Readings, s.TestTrials, s.HighDays, in.LighterDays, in.MeasureDays))
		for _, k := range p.Kinds {
			from(k.Title, in.Expected[k.Modality])
			long(k.WorkSeconds)
			ok[strconv.Itoa(int(k.WorkSeconds+599)/600)] = true
			for m := unit.Tenths(0); m < k.WorkSeconds; m += 600 { // the ticks of a drawing
				long(m)
			}
			for _, d := range k.Loads {
				from(d.Label)
				dec(d.Set, d.Low, d.High, d.Heel)
			}
			var at, rest unit.Tenths
			work := 0
			for _, x := range k.Steps {
				long(at)
				long(x.Seconds)
				ok[strconv.Itoa(x.Count)] = true
				if b := x.Pattern; b != nil {
					var into unit.Tenths
					for _, ph := range []unit.Tenths{b.Inhale, b.Pause, b.Exhale, b.Rest} {
						ok[l.Tenths(ph)], ok[l.Tenths(into)] = true, true
						into += ph
					}
					ok[l.Tenths(b.Cycle())] = true
				}
				if say.IsRest(x) {
					rest += x.Seconds
					long(rest)
				} else {
					rest, work = 0, work+1
					ok[strconv.Itoa(work)] = true
				}
				at += x.Seconds
			}
		}
		for _, x := range p.Sessions {
			from(x.Start.Clock().String(), fmt.Sprint(x.Week))
			d := x.Start.Date()
			from(l.FullDay(d), l.Date(p.Start+unit.Date(7*(x.Week-1))), l.Date(p.Start+unit.Date(7*x.Week-1)))
		}
		for _, o := range p.Others {
			from(l.FullDay(o.Date))
		}
		now, err := unit.ParseDate(p.Now[:10])
		if err != nil {
			t.Fatal(err)
		}
		from(l.FullDay(now))
		for _, n := range number.FindAllString(read(page), -1) {
			seen++
			if !ok[n] {
				t.Errorf("%q is no number of the plan", n)
			}
		}
	})
	if seen < 500 {
		t.Errorf("%d numbers were looked at", seen)
	}
}
