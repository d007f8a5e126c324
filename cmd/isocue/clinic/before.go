package clinic

import (
	"bytes"
	"fmt"
	"os"
	"strings"

	"isocue.example/compiler/bound"
	"isocue.example/compiler/calendar"
	"isocue.example/compiler/files"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// Before is the plan that a compile follows, and the bytes that it was read from.
type Before struct {
	Name    string
	Plan    *record.Plan
	bytes   []byte
	doubted bool // it is not as isocue wrote it
}

// ReadBefore reads the plan before.
func ReadBefore(name string) (*Before, error) {
	src, err := files.Fetch(name, load.MaxPlan)
	if err != nil {
		return nil, fmt.Errorf("cannot read: %w", files.Short(err))
	}
	p, err := load.ReadPlan(src)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return &Before{Name: name, Plan: p, bytes: src}, nil
}

// Span reads one day, or a first and a last one with two dots between.
func Span(s string) (out record.Span, err error) {
	from, to, two := strings.Cut(s, "..")
	if out.From, err = unit.ParseDate(strings.TrimSpace(from)); err != nil {
		return out, err
	}
	if out.To = out.From; two {
		if out.To, err = unit.ParseDate(strings.TrimSpace(to)); err != nil {
			return out, err
		}
	}
	if out.To < out.From {
		return out, fmt.Errorf("%s ends before it begins, allowed: FROM..TO with the earlier day first", s)
	}
	return out, nil
}

// ClosedDays reads a calendar's all-day events, or a list of days and spans, one a line, where # begins a remark.
func ClosedDays(name string) (out []record.Span, err error) {
	src, err := files.Fetch(name, bound.Closed)
	if err != nil {
		return nil, fmt.Errorf("cannot read: %w", files.Short(err))
	}
	if len(src) > bound.Closed {
		return nil, &bound.Over{What: name + " has", Has: bound.Closed, AtLeast: true, Of: "bytes", Most: bound.Closed, Then: "leave out what lies years away"}
	}
	if strings.HasSuffix(strings.ToLower(name), ".ics") || bytes.HasPrefix(src, []byte("BEGIN:VCALENDAR")) {
		if out, err = calendar.ClosedDays(src); err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		return eachOnce(out), nil
	}
	for i, line := range strings.Split(string(src), "\n") {
		line, _, _ = strings.Cut(line, "#")
		if line = strings.TrimSpace(line); line == "" {
			continue
		}
		s, err := Span(line)
		if err != nil {
			return nil, fmt.Errorf("%s:%d: %w", name, i+1, err)
		}
		out = append(out, s)
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("%s holds no closing day, allowed: a list of days and spans, one a line, or an .ics", name)
	}
	return eachOnce(out), nil
}

// eachOnce leaves out what stands in a list again: the plan carries it.
func eachOnce(all []record.Span) (out []record.Span) {
	seen := map[record.Span]bool{}
	for _, s := range all {
		if !seen[s] {
			out, seen[s] = append(out, s), true
		}
	}
	return out
}

// sameAsBefore refuses to write over a plan that this compile did not follow: its entries would lose their numbers, and the
// client's calendar could show old and new ones side by side.
func sameAsBefore(plan files.File) error {
	old, err := files.Fetch(plan.Name, load.MaxPlan)
	if err != nil || bytes.Equal(old, plan.Data) {
		return nil // none, or the same; Write tells what cannot be read
	}
	if _, err := load.ReadPlan(old); err != nil {
		return nil // not a plan: Write says whose it is
	}
	return fmt.Errorf("%s is the plan of an earlier compile and differs; write --previous %s, so that the calendar's entries keep their numbers, or --force to begin anew", plan.Name, plan.Name)
}

// stillFollows refuses to write over a plan that is not the one followed: that of another client, a later sheet of this one, or
// one that another run put there meanwhile, whose changes would be lost without a word.
func (b *Before) stillFollows(plan files.File, force bool) error {
	now, err := files.Fetch(plan.Name, load.MaxPlan)
	if err != nil || bytes.Equal(now, b.bytes) || bytes.Equal(now, plan.Data) {
		return nil // none, or the one followed; Write tells what cannot be read
	}
	was, werr := os.Stat(b.Name)
	if is, err := os.Stat(plan.Name); werr == nil && err == nil && os.SameFile(was, is) {
		return fmt.Errorf("%s was changed by another run while this one followed it; run it again", plan.Name)
	}
	there, err := load.ReadPlan(now)
	if err != nil || force {
		return nil // not a plan: Write says whose it is
	}
	if mine, err := load.ReadPlan(b.bytes); err == nil && mine.Client != there.Client {
		return fmt.Errorf("%s is the plan of client %s, and --previous is one of client %s; name the pack of the client behind --pack", plan.Name, there.Client, mine.Client)
	}
	return fmt.Errorf("%s is sheet %d of the client and not the plan that --previous names; write --previous %s, so that no two sheets have one number, or --force to write over it", plan.Name, there.Sheet, plan.Name)
}
