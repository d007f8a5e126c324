package compiler

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"golang.org/x/tools/txtar"

	"isocue.example/compiler/calendar"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
	"isocue.example/compiler/zone"
)

// written is a calendar as a client gets it, with the plan that it must agree with.
type written struct {
	name   string
	plan   *record.Plan
	normal map[string]string // a text of the plan -> how it stands in a calendar, where that differs
	text   []byte
}

// sets are the calendars that other readers read: what a course can meet, and what has tripped readers before.
var sets = []struct {
	name, zone string // zone "" is the record's own
	days       int    // by which the record and the start, 2027-01-04, are moved
	protocols  string // standard ones by id, or the archive of testdata/compile that holds one
	changes    bool   // the clocks change between the first session and the last
	why        string
	edit       func(*written)
}{
	{name: "demo", protocols: "handgrip-alternating slow-breathing-even", why: "the README's first command; provisional from the fifth week, a day to measure again"},
	{name: "modalities", protocols: "wall-squat-home inspiratory-strength", why: "squats and loaded breathing"},
	{name: "ramp", protocols: "alternating_ramp.txtar", why: "loads that change by week"},
	{name: "lisbon", zone: "Europe/Lisbon", days: 56, protocols: "handgrip-alternating slow-breathing-even", changes: true, why: "clocks go forward on 28 March 2027"},
	{name: "new-york", zone: "America/New_York", days: 280, protocols: "slow-breathing-even", changes: true, why: "clocks go back on 7 November 2027"},
	{name: "sydney", zone: "Australia/Sydney", days: 63, protocols: "slow-breathing-even", changes: true, why: "the south: clocks go back on 4 April 2027"},
	{name: "santiago", zone: "America/Santiago", days: 63, protocols: "slow-breathing-even", changes: true, why: "the south, by rules that no yearly weekday holds"},
	{name: "kolkata", zone: "Asia/Kolkata", protocols: "slow-breathing-even", why: "half an hour, and no change"},
	{name: "lord-howe", zone: "Australia/Lord_Howe", days: 63, protocols: "slow-breathing-even", changes: true, why: "a change of half an hour"},
	{name: "casablanca", zone: "Africa/Casablanca", days: -126, protocols: "slow-breathing-even", changes: true, why: "the offset of 20 September 2026, which older zone data lacks"},
	{name: "dublin", zone: "Europe/Dublin", days: 63, protocols: "slow-breathing-even", changes: true, why: "the data call its winter the exception"},
	{name: "entries", protocols: "slow-breathing-even", why: "all-day entries of every kind and standing", edit: entries},
	{name: "cancelled", protocols: "handgrip-alternating slow-breathing-even", why: "sessions that went away, and changed ones", edit: cancelled},
	{name: "hostile", zone: "Europe/Lisbon", days: 56, protocols: "handgrip-alternating", changes: true, why: "commas, semicolons, backslashes, line breaks, all planes of Unicode", edit: hostile},
}

var isoDate = regexp.MustCompile(`\d{4}-\d\d-\d\d`)

// compiled makes the calendars through the same calls as the command line.
func compiled(t *testing.T) (out []written) {
	t.Helper()
	c := engine(t)
	client, err := os.ReadFile(filepath.Join("..", "testdata", "demo", "client.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range sets {
		text := isoDate.ReplaceAllStringFunc(string(client), func(d string) string {
			day, err := unit.ParseDate(d)
			if err != nil {
				t.Fatal(err)
			}
			return (day + unit.Date(s.days)).String()
		})
		if s.zone != "" {
			text = strings.Replace(text, "zone: America/Halifax", "zone: "+s.zone, 1)
		}
		f := c.Reader.Bytes("client.yaml", []byte(text))
		if f.Client == nil || s.why == "" {
			t.Fatal(s.name, f.Findings)
		}
		in := Input{Client: f.Client, Now: now.AddDate(0, 0, s.days)}
		in.Start, _ = unit.ParseDate("2027-01-04")
		in.Start += unit.Date(s.days)
		if strings.HasSuffix(s.protocols, ".txtar") {
			a, err := txtar.ParseFile(filepath.Join("..", "testdata", "compile", s.protocols))
			if err != nil {
				t.Fatal(err)
			}
			in.Protocols = append(in.Protocols, &c.Reader.Bytes(a.Files[0].Name, a.Files[0].Data).Protocols[0])
		} else {
			for _, id := range strings.Fields(s.protocols) {
				in.Protocols = append(in.Protocols, &c.Standard(id).Protocols[0])
			}
		}
		w := written{name: s.name, plan: plan(t, c, in), normal: map[string]string{}}
		if s.edit != nil {
			s.edit(&w)
		}
		if got := w.offset(t, 0) != w.offset(t, len(w.plan.Sessions)-1); got != s.changes {
			t.Errorf("%s: the clocks change: %v, want %v", s.name, got, s.changes)
		}
		if w.text, err = calendar.Encode(nil, w.plan, calendar.Options{Version: "v0.1"}); err != nil {
			t.Fatal(s.name, err)
		}
		out = append(out, w)
	}
	return out
}

// offset is the zone's in session i, in seconds east of UTC.
func (w *written) offset(t *testing.T, i int) int {
	t.Helper()
	loc, err := zone.Load(w.plan.Zone)
	if err != nil {
		t.Fatal(err)
	}
	_, offset := zone.Instant(loc, w.plan.Sessions[i].Start).Zone()
	return offset
}

func entries(w *written) {
	for i, what := range record.OtherKinds {
		for j, status := range record.Statuses {
			day := w.plan.Start + unit.Date(7*i+2*j)
			w.plan.Others = append(w.plan.Others, record.Other{UID: fmt.Sprintf("entry-%d-%d@isocue.example", i, j), Sequence: j, Status: status,
				What: what, Date: day, About: w.plan.Sessions[0].Protocol})
		}
	}
}

func cancelled(w *written) {
	for i := range w.plan.Sessions {
		s := &w.plan.Sessions[i]
		if s.Sequence = i % 4; i%3 == 0 {
			s.Status = record.Cancelled
		}
	}
}

// hostileTexts are texts and how they stand in a calendar.
var hostileTexts = [][2]string{
	{"Grip; a, b\\c \"d\"\r\nATTENDEE:e", "Grip; a, b\\c \"d\" ATTENDEE:e"},
	{"Ação, 漢字; 🙂 and \\, \\; x\ty" + long("é漢🙂"), "Ação, 漢字; 🙂 and \\, \\; x y" + long("é漢🙂")},
	{" \u2028END:VEVENT\u0085BEGIN:VALARM\rx\x07\x00y ", "END:VEVENT BEGIN:VALARM xy"},
	{long(`\,;`), long(`\,;`)},
	{`<b>&amp;%2C^n =C3=A9 'q' "q"`, `<b>&amp;%2C^n =C3=A9 'q' "q"`},
	{`C:\new\,names\\n`, `C:\new\,names\\n`},
}

func hostile(w *written) {
	for i, x := range hostileTexts {
		w.normal[x[0]] = x[1]
		w.plan.Cautions = append(w.plan.Cautions[:len(w.plan.Cautions):len(w.plan.Cautions)], record.Caution{ID: fmt.Sprint("hostile-", i), Text: x[0]})
	}
	for id, k := range w.plan.Kinds {
		k.Title = hostileTexts[0][0]
		w.plan.Kinds[id] = k
	}
	w.plan.Coach = hostileTexts[5][0]
}

// long is text over several folds, whose characters meet the fold at every place.
func long(s string) string { return strings.Repeat(s, 60) }

// reading is an event as a reader gives it. Calendar is a file for outside readers.
type reading struct {
	Calendar, UID, Summary, Description, Status string
	Sequence                                    int
	Wall                                        string // DTSTART as the clock there shows it
	Until                                       string // the day of DTEND, for a day
	Start, End                                  int64  // seconds since 1970 in UTC, for a session
}

// entryTitles are what all-day entries are called, by architecture's word for them.
var entryTitles = map[record.OtherKind]string{
	record.Baseline: "Pressure readings, morning and evening", record.Final: "Pressure readings, morning and evening",
	record.Measure: "Measure again before the next session", record.Check: "Take your readings to your prescriber",
	record.Review: "Review meeting with your coach",
}

// wanted are the readings that the plan demands, by the zone data and Go's own calendar; descriptions are left out.
func (w *written) wanted(t *testing.T) (out []reading) {
	t.Helper()
	loc, err := zone.Load(w.plan.Zone)
	if err != nil {
		t.Fatal(err)
	}
	status := map[record.Status]string{record.Confirmed: "CONFIRMED", record.Provisional: "TENTATIVE", record.Cancelled: "CANCELLED"} // RFC 5545 3.8.1.11
	title := func(s string, st record.Status) string {
		if st == record.Cancelled {
			return "Cancelled: " + w.as(s)
		}
		return w.as(s)
	}
	for _, s := range w.plan.Sessions {
		at, err := time.ParseInLocation("2006-01-02T15:04", s.Start.String(), loc)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, reading{UID: s.UID, Summary: fmt.Sprintf("%s, week %d", title(w.plan.Kinds[s.Kind].Title, s.Status), s.Week),
			Status: status[s.Status], Sequence: s.Sequence, Wall: at.Format("20060102T150405"), Start: at.Unix(), End: at.Unix() + int64(s.Seconds)})
	}
	for _, o := range w.plan.Others {
		out = append(out, reading{UID: o.UID, Summary: title(entryTitles[o.What], o.Status), Status: status[o.Status], Sequence: o.Sequence,
			Wall: o.Date.Time().Format("20060102"), Until: (o.Date + 1).Time().Format("20060102")})
	}
	return out
}

func (w *written) as(s string) string {
	if n, ok := w.normal[s]; ok {
		return n
	}
	return s
}
