package compiler

import (
	"fmt"
	"html"
	"regexp"
	"slices"
	"strings"
	"testing"

	"isocue.example/compiler/diary"
	"isocue.example/compiler/handout"
	"isocue.example/compiler/history"
	"isocue.example/compiler/record"
	"isocue.example/compiler/say"
	"isocue.example/compiler/unit"
)

var (
	sheetWeek = regexp.MustCompile(`(?s)<th scope="rowgroup"[^>]*>(.*?)</th>`)
	sheetLine = regexp.MustCompile(`(?s)<td>([^<]*)</td><td>([^<]*)</td><td>([^<]*)</td><td[^>]*>([^<]*)</td></tr>`)
	sheetDays = regexp.MustCompile(`(\d+)(?: ([A-Z][a-z]+))? to (\d+) ([A-Z][a-z]+)$`)
)

// said is what the table of weeks says, a line a day and session: day, title, time and setting.
func said(t *testing.T, sheet string, year int) (out []string) {
	t.Helper()
	_, table, _ := strings.Cut(sheet, "<h2>Your weeks</h2>")
	table, _, _ = strings.Cut(table, "</table>")
	for _, row := range strings.Split(table, "<tbody>")[1:] {
		dates := strings.TrimSpace(regexp.MustCompile(`<[^>]*>`).ReplaceAllString(sheetWeek.FindStringSubmatch(row)[1], ""))
		m := sheetDays.FindStringSubmatch(dates)
		if m == nil {
			t.Fatalf("no dates in %q", dates)
		}
		day := func(d, month string) unit.Date {
			for n := 1; n <= 12; n++ {
				var of int
				fmt.Sscan(d, &of)
				x, err := unit.ParseDate(fmt.Sprintf("%d-%02d-%02d", year, n, of))
				if err == nil && x.Time().Month().String() == month {
					return x
				}
			}
			t.Fatalf("no day: %s %s", d, month)
			return 0
		}
		month := m[2]
		if month == "" {
			month = m[4]
		}
		from, to := day(m[1], month), day(m[3], m[4])
		for _, l := range sheetLine.FindAllStringSubmatch(row, -1) {
			title, _, _ := strings.Cut(html.UnescapeString(l[1]), ", week")
			for d := from; d <= to; d++ {
				for _, part := range strings.Split(html.UnescapeString(l[2]), "; ") {
					days, at, _ := cutLast(part)
					if days == "every day" || strings.Contains(days, d.Time().Weekday().String()[:3]) {
						out = append(out, fmt.Sprint(d, " ", at, " ", title, ": ", html.UnescapeString(l[4])))
					}
				}
			}
		}
	}
	slices.Sort(out)
	return out
}

func cutLast(s string) (before, after string, ok bool) {
	i := strings.LastIndex(s, " ")
	return s[:max(i, 0)], s[i+1:], i >= 0
}

// The table of weeks says of each day what the plan says of it, in every modality, for courses that begin on different days: beside the
// first, in its place, and on another weekday. A load that stands under the dates of another week is one that is trained too early.
func TestSheetSaysEachWeekByItsDates(t *testing.T) {
	c := engine(t)
	english := say.English()
	for _, x := range []struct {
		first, beside string
		after         unit.Date // days from the first start to the other's
		instead       bool
	}{
		{"handgrip-alternating", "walking-start", 14, false},
		{"slow-breathing-even", "handgrip-start", 14, false},
		{"slow-breathing-even", "inspiratory-strength", 10, false},
		{"walking-start", "wall-squat-home", 9, false},
		{"walking-start", "slow-breathing-short-pause", 17, false},
		{"slow-breathing-even", "strength-home", 7, false},
		{"slow-breathing-even", "handgrip-start", 14, true},
		{"walking-start", "inspiratory-strength", 8, true},
	} {
		in := demo(t, c, x.first)
		prev := plan(t, c, in)
		start := prev.Start
		in.Previous, in.Now = prev, in.Now.AddDate(0, 0, 3)
		by := &record.Entry{What: record.CourseIs, Date: start + 1, ID: "ccccdddd", Digest: "y"}
		in.Courses = []diary.Course{{Protocol: x.first, Start: start}, {Protocol: x.beside, Start: start + x.after, By: by}}
		if x.instead {
			in.Courses[0].End = start + x.after - 1
		}
		in.Protocols = append(in.Protocols, &c.Standard(x.beside).Protocols[0])
		in.Begins()
		p := plan(t, c, in)
		soundPlan(t, c, x.beside, p, in)
		h, err := c.Handout(p, in.Client, "t")
		if err != nil {
			t.Fatal(err)
		}
		b, err := handout.Sheet(h)
		if err != nil {
			t.Fatal(err)
		}
		var want []string
		stages := map[string]bool{}
		for _, s := range p.Sessions {
			if k := p.Kinds[s.Kind]; s.Status != record.Cancelled && s.Start >= history.Wall(p.Zone, in.Now) {
				set := "-"
				switch {
				case s.Status == record.Provisional && k.NoNumber:
					set = english.Sheet.NoLoad
				case len(k.Loads) > 0 && s.Status == record.Provisional:
					set = fmt.Sprintf(english.Sheet.LastLoad, english.Load(&k))
				case len(k.Loads) > 0:
					set = english.Load(&k)
				}
				stages[s.Protocol+set] = true
				want = append(want, fmt.Sprint(s.Start.Date(), " ", s.Start.Clock(), " ", k.Title, ": ", set))
			}
		}
		slices.Sort(want)
		got := said(t, string(b), 2027)
		for _, s := range want {
			if !slices.Contains(got, s) {
				t.Errorf("%s, then %s: the plan has %q, the sheet does not", x.first, x.beside, s)
				break
			}
		}
		for _, s := range got {
			if !slices.Contains(want, s) {
				t.Errorf("%s, then %s: the sheet has %q, the plan does not", x.first, x.beside, s)
				break
			}
		}
		if len(want) < 20 || len(stages) < 2 {
			t.Errorf("%s, then %s: %d sessions of %d settings are too few to tell", x.first, x.beside, len(want), len(stages))
		}
	}
}
