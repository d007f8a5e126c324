// Package publish puts a calendar into a CalDAV collection (RFC 4791) and keeps it up to date. It is the only package of the
// program that speaks to a network.
//
// Every entry of a calendar is one resource, named by its UID. What was sent is kept as a digest beside the plan, without any
// of its words. A second run compares: an entry that the server holds as it was sent is changed where the plan changed and left
// alone where it did not; one that somebody edited there, or took away, is reported and not touched unless force says so; one of a
// day that is over is no matter any more. Where
// nothing is known of what was sent, as after a run that was killed, the entry itself is looked at: one that says what the plan
// says is ours. A write carries the condition under which it may happen, so that an edit between look and write is not lost.
package publish

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"isocue.example/compiler/bound"
)

// Entry is one entry of a calendar as an iCalendar object of its own.
type Entry struct {
	UID       string
	Data      []byte
	Cancelled bool
	When      string // day, and the wall time of a session, as a person writes them
}

// Sent is the digest of what was sent last, by UID.
type Sent map[string]string

// What became of an entry.
const (
	Created   = "created"
	Updated   = "updated"
	Cancelled = "cancelled"
	Unchanged = "unchanged"
	Edited    = "edited"  // somebody changed it on the server: left alone
	Removed   = "removed" // somebody took it away on the server: left away
	Past      = "past"    // somebody changed it or took it away, and its day is over: left so
)

// Outcomes lists all, in the order of print.
var Outcomes = []string{Created, Updated, Cancelled, Unchanged, Edited, Removed, Past}

// Options of a run.
type Options struct {
	DryRun bool // look, and write nothing
	Force  bool // write over what was edited, and put back what was taken away
	// Begun is what runs before, that did not come to their end, may have sent: an entry that says so was sent by us.
	Begun Begun
	// First is called before the first entry is written; nothing is written where it fails.
	First func() error
	// Today is the client's day, as midnight in UTC: what was edited or taken away of a day before it is Past. Zero for never.
	Today time.Time
}

// Run publishes entries. done holds what became of each so far, also beside an error; sent is brought up to date as it goes,
// so that a run that broke off goes on where it was. Where ctx is done, the run stops between two entries.
func (c *Collection) Run(ctx context.Context, entries []Entry, sent Sent, o Options) (done map[string]string, err error) {
	done = map[string]string{}
	c.wrote, c.left = false, bound.Answers
	tags, err := c.list(ctx)
	if err != nil {
		return done, err
	}
	for _, e := range entries {
		if ctx.Err() != nil {
			return done, errStopped
		}
		what, err := c.one(ctx, e, tags, sent, o)
		if err != nil {
			return done, err
		}
		done[e.UID] = what
	}
	return done, nil
}

func (c *Collection) one(ctx context.Context, e Entry, tags map[string]string, sent Sent, o Options) (string, error) {
	now, before := digest(e.Data), sent[e.UID]
	tag, there := tags[e.UID]
	wrote := Updated
	if e.Cancelled {
		wrote = Cancelled
	}
	var data []byte
	if there {
		var gone bool
		var err error
		if data, gone, err = c.get(ctx, e.UID); err != nil {
			return "", err
		}
		there = !gone
	}
	if !there {
		switch {
		case e.Cancelled:
			return Unchanged, nil // it was never there, or went away by itself
		case before != "" && !o.Force:
			return e.left(Removed, nil, o), nil
		}
		return c.write(ctx, e, Created, sent, o, "If-None-Match", "*")
	}
	has := digest(data)
	if slices.Contains(o.Begun[e.UID], has) {
		before = has
	}
	switch {
	case has == now:
		if !o.DryRun {
			sent[e.UID] = now
		}
		return Unchanged, nil
	case has != before && !o.Force:
		return e.left(Edited, data, o), nil
	case tag == "" || strings.HasPrefix(tag, "W/"): // a condition never holds for a weak tag (RFC 9110, section 13.1.1)
		return c.write(ctx, e, wrote, sent, o)
	}
	return c.write(ctx, e, wrote, sent, o, "If-Match", `"`+strings.Trim(tag, `"`)+`"`)
}

func (c *Collection) write(ctx context.Context, e Entry, what string, sent Sent, o Options, condition ...string) (string, error) {
	if o.DryRun {
		return what, nil
	}
	if o.First != nil && !c.wrote {
		if err := o.First(); err != nil {
			return "", err
		}
	}
	c.wrote = true
	changed, err := c.put(ctx, e.UID, e.Data, condition...)
	if err != nil {
		return "", err
	}
	if changed { // somebody was quicker: another run of ours, perhaps, with the same plan
		data, gone, err := c.get(ctx, e.UID)
		switch {
		case err != nil:
			return "", err
		case gone:
			return e.left(Removed, nil, o), nil
		case digest(data) != digest(e.Data):
			return e.left(Edited, data, o), nil
		}
		what = Unchanged
	}
	sent[e.UID] = digest(e.Data)
	return what, nil
}

// ours are the properties of an event that we write and that a person may change; a server may add others, fold lines anew and
// put them in another order.
var ours = []string{"SUMMARY", "DESCRIPTION", "DTSTART", "DTEND", "DURATION", "STATUS", "SEQUENCE", "LOCATION", "RRULE", "TRANSP", "CLASS", "CATEGORIES", "TRIGGER"}

// digest is of what the event in an iCalendar object says, however it is written down.
func digest(data []byte) string {
	var lines []string
	for _, l := range eventLines(data) {
		name, _, _ := strings.Cut(l, ":")
		name, _, _ = strings.Cut(name, ";")
		if slices.Contains(ours, strings.ToUpper(name)) {
			lines = append(lines, l)
		}
	}
	slices.Sort(lines)
	sum := sha256.Sum256([]byte(strings.Join(lines, "\n")))
	return hex.EncodeToString(sum[:])
}

// eventLines are the lines of the events in an iCalendar object, unfolded.
func eventLines(data []byte) (out []string) {
	text := strings.ReplaceAll(strings.ReplaceAll(string(data), "\r\n", "\n"), "\n ", "")
	text = strings.ReplaceAll(text, "\n\t", "")
	in := false
	for _, l := range strings.Split(text, "\n") {
		switch {
		case l == "BEGIN:VEVENT":
			in = true
		case l == "END:VEVENT":
			in = false
		case in:
			out = append(out, l)
		}
	}
	return out
}

// Split takes a calendar of ours apart: each event an object of its own, with the zones beside it.
func Split(cal []byte) ([]Entry, error) {
	const begin, end = "BEGIN:VEVENT\r\n", "END:VEVENT\r\n"
	first, last := bytes.Index(cal, []byte(begin)), bytes.LastIndex(cal, []byte(end))
	if first < 0 || last < 0 {
		return nil, errors.New("the plan has no entries, allowed: one or more")
	}
	head, rest, foot := cal[:first], cal[first:last+len(end)], cal[last+len(end):]
	seen := map[string]bool{}
	var out []Entry
	for _, part := range bytes.SplitAfter(rest, []byte(end)) {
		if len(part) == 0 {
			continue
		}
		e := Entry{Data: slices.Concat(head, part, foot), Cancelled: bytes.Contains(part, []byte("\r\nSTATUS:CANCELLED\r\n"))}
		for _, l := range strings.Split(string(part), "\r\n") {
			if uid, ok := strings.CutPrefix(l, "UID:"); ok {
				e.UID = uid
			}
			if name, value, _ := strings.Cut(l, ":"); strings.HasPrefix(name, "DTSTART") {
				e.When = when(value)
			}
		}
		if e.UID == "" || seen[e.UID] || strings.ContainsAny(e.UID, "/\\?#%") {
			return nil, fmt.Errorf("an entry has the UID %q, allowed: one of its own for each", e.UID)
		}
		seen[e.UID] = true
		out = append(out, e)
	}
	return out, nil
}

// when is a date or date-time of iCalendar as a person writes it; as it stands where it is neither.
func when(value string) string {
	if t, err := time.Parse("20060102T150405", strings.TrimSuffix(value, "Z")); err == nil {
		return t.Format("2006-01-02 15:04")
	}
	if t, err := time.Parse("20060102", value); err == nil {
		return t.Format("2006-01-02")
	}
	return value
}

// Counts is how many entries came to each outcome.
func Counts(done map[string]string) map[string]int {
	out := map[string]int{}
	for _, what := range done {
		out[what]++
	}
	return out
}
