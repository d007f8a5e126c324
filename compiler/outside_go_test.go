package compiler

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"time"

	ics "github.com/arran4/golang-ical"

	"isocue.example/compiler/ical"
	"isocue.example/compiler/internal/testkit"
	"isocue.example/compiler/zone"
)

func readOurs(t *testing.T, ws []written) (out [][]reading) {
	for _, w := range ws {
		c, err := testkit.Calendar(w.text)
		if err != nil {
			t.Fatal(w.name, err)
		}
		var rs []reading
		for i := range c.Components {
			if c.Components[i].Name == "VEVENT" {
				rs = append(rs, ourReading(t, &c.Components[i]))
			}
		}
		out = append(out, rs)
	}
	return out
}

func ourReading(t *testing.T, e *ical.Component) reading {
	r := reading{UID: testkit.Text(e.Get("UID")), Summary: testkit.Text(e.Get("SUMMARY")), Description: testkit.Text(e.Get("DESCRIPTION")), Status: testkit.Text(e.Get("STATUS"))}
	fmt.Sscan(e.Get("SEQUENCE").Value, &r.Sequence)
	from, err := testkit.MomentOf(e.Get("DTSTART"))
	if err != nil {
		t.Fatal(err)
	}
	if from.AllDay {
		to, err := testkit.MomentOf(e.Get("DTEND"))
		if err != nil {
			t.Fatal(err)
		}
		r.Wall, r.Until = from.Wall.Format("20060102"), to.Wall.Format("20060102")
		return r
	}
	loc, err := zone.Load(from.TZID)
	if err != nil {
		t.Fatal(err)
	}
	length, err := e.Get("DURATION").Span()
	if err != nil {
		t.Fatal(err)
	}
	const form = "20060102T150405"
	r.Wall = from.Wall.Format(form)
	at, err := time.ParseInLocation(form, r.Wall, loc)
	if err != nil {
		t.Fatal(err)
	}
	r.Start, r.End = at.Unix(), at.Add(length.Clock).Unix()
	return r
}

func readGolangICal(t *testing.T, ws []written) (out [][]reading) {
	for _, w := range ws {
		c, err := ics.ParseCalendar(bytes.NewReader(w.text))
		if err != nil {
			t.Fatal(w.name, err)
		}
		var rs []reading
		for _, e := range c.Events() {
			get := func(name ics.ComponentProperty) string { return e.GetProperty(name).Value }
			r := reading{UID: e.Id(), Summary: get(ics.ComponentPropertySummary), Description: get(ics.ComponentPropertyDescription),
				Status: get(ics.ComponentPropertyStatus), Wall: get(ics.ComponentPropertyDtStart)}
			fmt.Sscan(get(ics.ComponentPropertySequence), &r.Sequence)
			if tzid := e.GetProperty(ics.ComponentPropertyDtStart).ICalParameters["TZID"]; len(tzid) == 0 {
				r.Until = get(ics.ComponentPropertyDtEnd)
			} else {
				loc, err := zone.Load(tzid[0])
				if err != nil {
					t.Fatal(err)
				}
				at, err := time.ParseInLocation("20060102T150405", r.Wall, loc)
				if err != nil {
					t.Fatal(err)
				}
				length, err := time.ParseDuration(strings.ToLower(strings.TrimPrefix(get(ics.ComponentPropertyDuration), "PT")))
				if err != nil {
					t.Fatal(err)
				}
				r.Start, r.End = at.Unix(), at.Add(length).Unix()
			}
			rs = append(rs, r)
		}
		out = append(out, rs)
	}
	return out
}
