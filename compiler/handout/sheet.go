package handout

import (
	"bytes"
	"cmp"
	_ "embed"
	"fmt"
	"maps"
	"slices"
	"strings"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/page"
	"isocue.example/compiler/record"
	"isocue.example/compiler/say"
	"isocue.example/compiler/unit"
)

//go:embed page/sheet.css
var sheetStyle string

//go:embed page/sheet.html
var sheetBody string

var sheetPage = page.Parse("sheet", sheetBody)

// sheet is what a sheet says, in the order in which it says it.
type sheet struct {
	page.Head
	T                                    say.Sheet
	For, Number, Valid, Destroy, Entries string
	Call                                 string
	Danger                               []string
	Contacts                             []contact
	Ended                                []string // of a programme that was stopped: nothing else is told
	Held                                 []string // of protocols that are closed for now
	Weeks                                []weekRow
	WeeksFirst                           bool // the gate stands on the first page, before a table of weeks that would push it off
	Around, Page                         string
	Also                                 []also
	Gate                                 []string
	Parts                                []part
	Troubles                             []trouble
	Expect                               []expectation
	Cautions                             []string
	LogWeeks                             []string
	LogSecond                            bool
	medicine                             string
}

type contact struct{ Who, Number string }

type trouble struct{ When, Do string }

type expectation struct{ Title, Text string }

// A row of the log takes the room of so many letters.
const (
	rowLetters          = 85
	leastRows, mostRows = 5, 16
)

// rooms are the letters with which a sheet surely ends on its third, fourth or fifth page, and with how many of them and of rows
// together it stays on that page of A4 and of Letter. They were measured over 26 sheets in two languages.
var rooms = []struct{ over, letters int }{{0, 8300}, {8300, 10400}, {11400, 12500}}

// logRows is how many rows the log has: what its page has room for after the rest, by its letters.
func logRows(written []byte) int {
	letters, in := 0, true
	_, body, _ := bytes.Cut(written, []byte("<body>"))
	for _, r := range string(body) {
		switch {
		case r == '<':
			in = false
		case r == '>':
			in = true
		case in:
			letters++
		}
	}
	rows := leastRows
	for _, r := range rooms {
		if letters > r.over {
			rows = max((r.letters-letters)/rowLetters, leastRows)
		}
	}
	return min(rows, mostRows)
}

// walkWeeks is how many weeks one line has room for; a longer course has the next sheet before it ends.
const walkWeeks = 12

// firstPage is how many lines of weeks leave room for the gate on the first page.
const firstPage = 10

// blank is where somebody writes a number that the record does not have.
const blank = "____________________"

// titleOf is what the client calls a protocol.
func titleOf(p *record.Plan, protocol string) string {
	for _, name := range slices.Sorted(maps.Keys(p.Kinds)) {
		if k := p.Kinds[name]; k.Protocol == protocol {
			return k.Title
		}
	}
	return protocol
}

// Sheet makes the sheet: one HTML file that prints on A4 and on Letter.
func Sheet(in Input) ([]byte, error) {
	if err := in.check(); err != nil {
		return nil, err
	}
	p, l := in.Plan, in.words()
	now, err := wall(p)
	if err != nil {
		return nil, err
	}
	t := l.Sheet
	s := sheet{T: t, Number: fmt.Sprintf(t.Number, p.Sheet), Call: cmp.Or(numbers(p, l), l.Gate.Call)}
	s.For = fmt.Sprintf(t.ForID, p.Client)
	if in.Name != "" {
		s.For = fmt.Sprintf(t.ForName, in.Name)
	}
	s.Head = newHead(in, t.Title+", "+s.Number, sheetStyle, "")
	if p.Sheet > 1 {
		s.Destroy = fmt.Sprintf(t.Destroy, p.Sheet-1)
	}
	s.Contacts = append([]contact{{t.Emergency, cmp.Or(p.Emergency, blank)}}, elsewhere(p, l)...)
	s.Contacts = append(s.Contacts, []contact{{t.Coach, cmp.Or(p.Coach, blank)}, {t.Clinic, cmp.Or(in.Contacts.Clinic, blank)},
		{t.Prescriber, cmp.Or(in.Contacts.Prescriber, blank)}}...)
	if p.Gate.Maternity {
		s.Contacts = append(s.Contacts, contact{t.MaternityUnit, cmp.Or(in.Contacts.MaternityUnit, blank)})
	}
	s.cautions(t, p.Cautions)
	sessions := coming(p, now)
	if p.Stopped != 0 {
		s.Ended = []string{fmt.Sprintf(t.Ended, l.FullDay(p.Stopped)), t.EndedCall, t.EndedDelete}
		if s.medicine != "" {
			s.Cautions = append(s.Cautions, s.medicine)
		}
		return execute(sheetPage(), s)
	}
	for _, h := range p.Holds {
		s.Held = append(s.Held, fmt.Sprintf(t.Held, titleOf(p, h.Protocol), l.FullDay(h.Since)))
	}
	if len(s.Held) > 0 && len(sessions) == 0 {
		s.Ended = append(s.Held, t.EndedCall)
		if s.medicine != "" {
			s.Cautions = append(s.Cautions, s.medicine)
		}
		return execute(sheetPage(), s)
	}
	s.Valid = fmt.Sprintf(t.Valid, l.FullDay(now.Date()), l.FullDay(last(p, sessions, now.Date())))
	s.Entries = entries(p, l, now, sessions)
	s.Weeks = weekTable(p, l, sessions)
	s.Around = fmt.Sprintf(t.Around, l.Span(unit.Seconds(p.Sitting.GateSeconds())), l.Span(unit.Seconds(p.Sitting.EndSeconds)))
	s.Also = alsoList(p, l, now, sessions)
	s.WeeksFirst = lines(s.Weeks) <= firstPage
	s.Gate = l.GateLines(p, numbers(p, l))[1:] // the danger signs stand above
	if in.Page {
		s.Page = t.Page
	}
	s.Parts = parts(in, l, sessions)
	s.troubles(p, l, in, sessions)
	for _, m := range record.Modalities {
		if title, ok := modalityTitle(p, sessions, m); ok && in.Expected[m] != "" {
			s.Expect = append(s.Expect, expectation{title, in.Expected[m]})
		}
	}
	s.LogSecond = p.Sitting.Readings > 1
	s.LogWeeks = logWeeks(p, l, sessions)
	without, err := execute(sheetPage(), s)
	if err != nil {
		return nil, err
	}
	return withRows(without, s)
}

// rowsHere is where the rows of the log go: no text of an author can hold it, since its marks would be escaped.
const rowsHere = `<tbody class="rows">`

// withRows puts rows into the log, as many as there is room for.
func withRows(written []byte, s sheet) ([]byte, error) {
	var row bytes.Buffer
	if err := sheetPage().ExecuteTemplate(&row, "row", s); err != nil {
		return nil, err
	}
	at := bytes.Index(written, []byte(rowsHere))
	if at < 0 {
		panic(finding.Bug{What: "the sheet has no place for the rows of its log"})
	}
	return slices.Insert(written, at+len(rowsHere), bytes.Repeat(row.Bytes(), logRows(written))...), nil
}

// cautions sorts the plan's cautions: what to stop for stands at the top, the rest at the end. None is left out.
func (s *sheet) cautions(t say.Sheet, cs []record.Caution) {
	for _, c := range cs {
		switch c.ID {
		case "emergency":
			s.Danger = append(s.Danger, c.Text+" "+t.AnyReading)
		case "stop-and-rest":
			s.Danger = append(s.Danger, c.Text)
		case "medicine-unchanged":
			s.medicine = c.Text // stands with what to do where it was changed
		default:
			s.Cautions = append(s.Cautions, c.Text)
		}
	}
}

// lines counts the lines of a week table.
func lines(weeks []weekRow) (n int) {
	for _, w := range weeks {
		n += max(len(w.Lines), 2) // weeks and dates stand in two
	}
	return n
}

// last is the last day that the sheet is about.
func last(p *record.Plan, sessions []*record.Session, now unit.Date) unit.Date {
	out := now
	for _, s := range sessions {
		out = max(out, s.Start.Date())
	}
	for _, o := range p.Others {
		if o.Status != record.Cancelled {
			out = max(out, o.Date)
		}
	}
	return out
}

// entries says which entries of the client's calendar still count, by the number that each begins with.
func entries(p *record.Plan, l *say.Language, now unit.Local, sessions []*record.Session) string {
	var numbers []int
	for _, s := range sessions {
		numbers = append(numbers, s.Sheet)
	}
	for _, o := range p.Others {
		if o.Status != record.Cancelled && o.Date >= now.Date() {
			numbers = append(numbers, o.Sheet)
		}
	}
	slices.Sort(numbers)
	var names []string
	for _, n := range slices.Compact(numbers) {
		names = append(names, fmt.Sprintf(l.Sheet.Number, n))
	}
	if len(names) == 0 {
		return ""
	}
	return fmt.Sprintf(l.Sheet.Entries, l.List(names))
}

// troubles says what to do when it goes another way, of the work that is there.
func (s *sheet) troubles(p *record.Plan, l *say.Language, in Input, sessions []*record.Session) {
	t := l.Sheet
	var squeeze, squat bool
	for _, x := range sessions {
		a, b := say.Holds(p.Kinds[x.Kind].Steps)
		squeeze, squat = squeeze || a, squat || b
	}
	if squeeze {
		s.Troubles = append(s.Troubles, trouble{t.CannotHold, t.CannotHoldDo})
	}
	if squat {
		s.Troubles = append(s.Troubles, trouble{t.CannotSquat, t.CannotSquatDo})
	}
	s.Troubles = append(s.Troubles, trouble{t.Medicine, strings.TrimSpace(t.MedicineDo + " " + s.medicine)}, trouble{t.Missed, t.MissedDo})
	if in.LighterDays > 0 && in.MeasureDays > 0 {
		days := func(n int) string { return l.Count(n, l.Words.Day) }
		s.Troubles = append(s.Troubles, trouble{fmt.Sprintf(t.Gap, days(in.LighterDays)), fmt.Sprintf(t.GapDo, days(in.MeasureDays))})
	}
	s.Troubles = append(s.Troubles, trouble{t.Disagree, t.DisagreeDo})
}

// modalityTitle names the protocols of a modality that are still to come.
func modalityTitle(p *record.Plan, sessions []*record.Session, m record.Modality) (string, bool) {
	var titles []string
	for _, s := range sessions {
		if k := p.Kinds[s.Kind]; k.Modality == m && !slices.Contains(titles, k.Title) {
			titles = append(titles, k.Title)
		}
	}
	return strings.Join(titles, ", "), len(titles) > 0
}

// logWeeks are the weeks of the log of walking: by their number, or by their first day where courses began on different days.
func logWeeks(p *record.Plan, l *say.Language, sessions []*record.Session) (out []string) {
	first, one := began(p, sessions)
	for _, s := range sessions {
		week := weekFrom(first, s)
		name := fmt.Sprintf(l.Sheet.LogWeek, week)
		if !one {
			name = l.Date(first + unit.Date(7*(week-1)))
		}
		if !slices.Contains(out, name) && len(out) < walkWeeks {
			out = append(out, name)
		}
	}
	return out
}
