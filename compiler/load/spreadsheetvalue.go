package load

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"isocue.example/compiler/unit"
)

// What a spreadsheet program of this or that language makes of a day, a time of day, and a choice.

// dayFields are the fields of a record that hold a day, a time of day or both.
var dayFields = []string{"at", "changed", "checked", "date", "from", "since", "to", "until"}

// weekDays are the days of a list, of which the schema says no words to choose from.
var weekDays = []string{"mon", "tue", "wed", "thu", "fri", "sat", "sun"}

// abroad are words of spreadsheets for those of the record, by what it has for them.
var abroad = map[string][]string{
	"yes": {"true", "ja", "wahr", "oui", "vrai", "sí", "si", "verdadero", "y", "j", "x"}, "no": {"false", "nein", "falsch", "non", "faux", "falso", "n"},
	"left": {"links", "l"}, "right": {"rechts", "r"}, "female": {"weiblich", "w", "f"}, "male": {"männlich", "m"},
	"mon": {"monday", "montag", "mo"}, "tue": {"tuesday", "dienstag", "di"}, "wed": {"wednesday", "mittwoch", "mi"}, "thu": {"thursday", "donnerstag", "do"},
	"fri": {"friday", "freitag", "fr"}, "sat": {"saturday", "samstag", "sonnabend", "sa"}, "sun": {"sunday", "sonntag", "so"},
}

// chosen is a word of a cell as the record writes it, where only some words are allowed and the cell means one of them.
func chosen(text string, words []string) string {
	low := strings.ToLower(text)
	for _, w := range words {
		if strings.ToLower(w) == low || slices.Contains(abroad[w], low) {
			return w
		}
	}
	return text
}

// dated is a day, a time of day or both as the record writes it. ask is what the cell may mean, where that is two days; what is neither
// stays as it is, for the schema to refuse.
func dated(text string) (out string, ask []string) {
	day, rest := "", text
	switch {
	case isoDay.MatchString(text):
		m := isoDay.FindStringSubmatch(text)
		day, rest = civil{y: number(m[1]), mo: number(m[2]), d: number(m[3])}.text(), text[len(m[0]):]
	case dotDay.MatchString(text):
		m := dotDay.FindStringSubmatch(text)
		if len(m[3]) != 4 {
			return text, nil
		}
		day, rest = civil{y: number(m[3]), mo: number(m[2]), d: number(m[1])}.text(), m[4]
	case slashDay.MatchString(text):
		m := slashDay.FindStringSubmatch(text)
		if len(m[3]) != 4 {
			return text, nil
		}
		for _, c := range []civil{{y: number(m[3]), mo: number(m[2]), d: number(m[1])}, {y: number(m[3]), mo: number(m[1]), d: number(m[2])}} {
			if s := c.text(); s != "" && !slices.Contains(ask, s) {
				ask = append(ask, s)
			}
		}
		if len(ask) != 1 {
			return text, ask
		}
		day, rest, ask = ask[0], m[4], nil
	}
	hour := hourOf(strings.TrimLeft(rest, " T,"))
	switch {
	case day == "" && hour != "":
		return hour, nil
	case day != "" && (hour == "00:00" || strings.TrimSpace(rest) == ""):
		return day, nil // a program that knows no day without a time writes midnight
	case day != "" && hour != "":
		return day + "T" + hour, nil
	}
	return text, nil
}

// text is the day as the record writes it; "" for one that does not exist.
func (c civil) text() string {
	if c.date() == 0 {
		return ""
	}
	return unit.DateOf(time.Date(c.y, time.Month(c.mo), c.d, 0, 0, 0, 0, time.UTC)).String()
}

// hourOf is a time of day as the record writes it, "" for anything else.
func hourOf(text string) string {
	m := clock.FindStringSubmatch(text)
	if m == nil || m[2] == "" || strings.TrimSpace(text[len(m[0]):]) != "" {
		return ""
	}
	h, minute := number(m[1]), number(m[2])
	switch strings.ToLower(m[3]) {
	case "a":
		h %= 12
	case "p":
		h = h%12 + 12
	}
	if h > 23 || minute > 59 {
		return ""
	}
	return fmt.Sprintf("%02d:%02d", h, minute)
}
