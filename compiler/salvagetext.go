package compiler

import (
	"bytes"
	"encoding/json"
	"iter"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode/utf16"

	"isocue.example/compiler/ical"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
)

// utf8Text is a text without its mark of byte order, turned from UTF-16 where it is in that.
func utf8Text(src []byte) []byte {
	if rest, ok := bytes.CutPrefix(src, []byte("\xef\xbb\xbf")); ok {
		return rest
	}
	low := bytes.HasPrefix(src, []byte("\xff\xfe")) || len(src) > 1 && src[0] == '{' && src[1] == 0
	if !low && !bytes.HasPrefix(src, []byte("\xfe\xff")) && !(len(src) > 1 && src[0] == 0 && src[1] == '{') {
		return src
	}
	units := make([]uint16, 0, len(src)/2)
	for i := 0; i+1 < len(src); i += 2 {
		a, b := src[i], src[i+1]
		if low {
			a, b = b, a
		}
		units = append(units, uint16(a)<<8|uint16(b))
	}
	return []byte(strings.TrimPrefix(string(utf16.Decode(units)), "\ufeff"))
}

var (
	uidField = regexp.MustCompile(`"uid"\s*:`)
	// ourUID is a name-based uid, as every entry of ours has.
	ourUID = regexp.MustCompile(`\b[0-9a-f]{8}-[0-9a-f]{4}-5[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}\b`)
	// plainField is a field that is no list and no record.
	plainField = regexp.MustCompile(`"([A-Za-z]+)"\s*:\s*("(?:[^"\\\n]|\\.)*"|-?[0-9]{1,9}|true|false)`)
)

// entryText is how much of a text one entry takes at most: what stands further behind its uid is something else.
const entryText = 2000

// scanned are the fields of a plan that is no JSON: what stands before its first entry, its courses left out, and after each uid what
// stands before the next. Of a text without such fields the uids are taken alone.
func scanned(src []byte) (top loose, sessions, others iter.Seq[loose]) {
	head, last := src, -1
	if first := uidField.FindIndex(src); first != nil {
		head, last = src[:first[0]], bytes.LastIndex(src, []byte(`"uid"`))
	}
	top = fields(head[:min(len(head), entryText)])
	if last >= 0 { // whom to call stands behind the entries
		for name, v := range fields(src[last:min(len(src), last+entryText)]) {
			if slices.Contains([]string{"emergency", "coach", "clinic", "language", "discreet"}, name) {
				top[name] = v
			}
		}
	}
	allDay := func(x loose) bool { return x["date"] != nil && x["start"] == nil }
	sessions = func(yield func(loose) bool) {
		seen := map[string]bool{}
		for x := range entriesIn(src) {
			if uid := x.word("uid"); ourUID.MatchString(uid) {
				seen[uid] = true
			}
			if !allDay(x) && !yield(x) {
				return
			}
		}
		for rest, m := src, ourUID.FindIndex(src); m != nil; m = ourUID.FindIndex(rest) {
			uid := string(rest[m[0]:m[1]])
			rest = rest[m[1]:]
			if !seen[uid] {
				seen[uid] = true
				if !yield(loose{"uid": quoted(uid)}) {
					return
				}
			}
		}
	}
	others = func(yield func(loose) bool) {
		for x := range entriesIn(src) {
			if allDay(x) && !yield(x) {
				return
			}
		}
	}
	return top, sessions, others
}

// entriesIn are the fields that stand after each uid and before the next.
func entriesIn(src []byte) iter.Seq[loose] {
	return func(yield func(loose) bool) {
		for m := uidField.FindIndex(src); m != nil; {
			src = src[m[0]:]
			after := uidField.FindIndex(src[m[1]-m[0]:])
			end := len(src)
			if after != nil {
				after[0], after[1] = after[0]+m[1]-m[0], after[1]+m[1]-m[0]
				end = after[0]
			}
			if !yield(fields(src[:min(end, entryText)])) {
				return
			}
			m = after
		}
	}
}

func fields(src []byte) loose {
	out := loose{}
	for _, m := range plainField.FindAllSubmatch(src, -1) {
		if name := string(m[1]); out[name] == nil {
			out[name] = json.RawMessage(m[2])
		}
	}
	return out
}

func quoted(s string) json.RawMessage {
	b, _ := json.Marshal(s) // of a text there is no error
	return b
}

// ofPlan takes the entries of a plan apart, by its records where it is JSON and by its text where not.
func ofPlan(src []byte) (top loose, sessions, others iter.Seq[loose]) {
	if len(src) > load.MaxPlan {
		none := func(func(loose) bool) {}
		return loose{}, none, none // its calendar may name them
	}
	src = utf8Text(src)
	if json.Unmarshal(src, &top) == nil && top != nil {
		return top, top.list("sessions"), top.list("others")
	}
	return scanned(src)
}

// inCalendar are the entries of a pack's calendar in the form of a plan's, those that are cancelled left out. One that cannot be read as
// a calendar is taken by its lines.
func inCalendar(src []byte) (all []loose, zone string) {
	src = bytes.ReplaceAll(bytes.ReplaceAll(utf8Text(src), []byte("\r\n"), []byte("\n")), []byte("\n "), nil)
	take := func(get func(name string) (value, tzid string)) {
		uid, _ := get("UID")
		at, tzid := get("DTSTART")
		status, _ := get("STATUS")
		if !uidText.MatchString(uid) || strings.EqualFold(status, string(record.Cancelled)) {
			return
		}
		x := loose{"uid": quoted(uid)}
		if seq, _ := get("SEQUENCE"); seq != "" {
			if n, err := strconv.Atoi(seq); err == nil {
				x["sequence"] = quotedNumber(n)
			}
		}
		if zone == "" {
			zone = tzid
		}
		switch {
		case len(at) == 8:
			x["date"] = quoted(at[:4] + "-" + at[4:6] + "-" + at[6:])
		case len(at) >= 13:
			x["start"] = quoted(at[:4] + "-" + at[4:6] + "-" + at[6:8] + "T" + at[9:11] + ":" + at[11:13])
		}
		all = append(all, x)
	}
	cals, err := ical.Read(src)
	if err != nil {
		for _, part := range strings.Split(string(src), "BEGIN:VEVENT")[1:] {
			take(func(name string) (value, tzid string) {
				for _, l := range strings.Split(part, "\n") {
					if l == "BEGIN:VALARM" || l == "END:VEVENT" {
						break
					}
					if key, v, ok := strings.Cut(l, ":"); ok && (key == name || strings.HasPrefix(key, name+";")) {
						_, tzid, _ = strings.Cut(key, "TZID=")
						return strings.TrimSpace(v), tzid
					}
				}
				return "", ""
			})
		}
		return all, zone
	}
	for _, cal := range cals {
		for i := range cal.Components {
			if c := &cal.Components[i]; c.Name == "VEVENT" {
				take(func(name string) (value, tzid string) {
					p := c.Get(name)
					if p == nil {
						return "", ""
					}
					for _, x := range p.Params {
						if x.Name == "TZID" && len(x.Values) == 1 {
							tzid = x.Values[0]
						}
					}
					return p.Value, tzid
				})
			}
		}
	}
	return all, zone
}

func quotedNumber(n int) json.RawMessage { return json.RawMessage(strconv.Itoa(n)) }
