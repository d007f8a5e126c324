package load

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"isocue.example/compiler/record"
)

// observation is one Observation, as far as a log reads it. Its parts are cells, as a CSV would have them.
type observation struct {
	line     int
	key      string       // by which it stands in the Bundle once
	parent   *observation // of which it is a member, or in which it is contained
	at       string       // on the client's wall clock, as far as it says one
	when     time.Time    // zero where at is no moment
	subject  bundleSubject
	arm      string
	posture  string
	note     string
	symptoms string // under a name that says so: unknown words in it count
	known    meaning

	both, systolic, diastolic, pulse []string // both: 148/84 in one value

	trouble []string // what is wrong with it as a whole
	pressed []string // what is wrong with its pressures
	sums    []string // why it is no single reading at rest: a mean, a span of days, an exercise
	pulsed  []string // what is wrong with its pulse
	held    record.Held
	long    bool // it stands for a span of time
	active  bool // it stands in the category of activity, as a watch's heart rate of a run does
	used    bool // something in it is told of
	members []string
}

// numbers says whether it has a pressure of its own, pressure whether it is about one at all, read whether anything was taken from it.
func (o *observation) numbers() bool { return len(o.both)+len(o.systolic)+len(o.diastolic) > 0 }

func (o *observation) pressure() bool {
	return o.numbers() || len(o.pressed) > 0 || o.known.about == aPanel || o.known.about == aSystolic || o.known.about == aDiastolic
}

func (o *observation) read() bool {
	return o.pressure() || len(o.pulse)+len(o.pulsed) > 0 || o.used || o.note+o.symptoms != "" || o.held != record.Held{}
}

func addOnce(to []string, s string) []string {
	if s == "" || slices.Contains(to, s) {
		return to
	}
	return append(slices.Clip(to), s)
}

// observe reads one Observation.
func (b *bundleReader) observe(o object, line int, fullURL string, parent *observation) *observation {
	b.err = nil
	x := &observation{line: line, parent: parent, key: cmp.Or(fullURL, b.text(o, "id"))}
	c := conceptOf(o["code"])
	x.known = c.known
	b.circumstances(o, x)
	b.take(c, o, x)
	for _, part := range b.objects(o, "component") {
		pc := conceptOf(part["code"])
		if x.known.about == aPanel { // a component may leave unsaid what the panel says
			pc.known.standing, pc.known.lying, pc.known.derived = pc.known.standing || x.known.standing, pc.known.lying || x.known.lying, pc.known.derived || x.known.derived
		}
		b.take(pc, part, x)
		b.extensions(part, x)
	}
	b.extensions(o, x)
	for _, m := range b.objects(o, "hasMember") {
		x.members = append(x.members, refName(b.text(m, "reference")))
	}
	for _, m := range b.objects(o, "related") { // of an older release
		if t := b.text(m, "type"); t == "" || t == "has-member" {
			x.members = append(x.members, refName(b.text(b.object(m, "target"), "reference")))
		}
	}
	b.symptom(c, o, x)
	return x
}

// refName is what tells a resource in a reference: its type and id, or the whole of a name that is no address.
func refName(ref string) string {
	if strings.HasPrefix(ref, "#") || strings.HasPrefix(ref, "urn:") {
		return ref
	}
	parts := strings.Split(ref, "/")
	if i := slices.Index(parts, "_history"); i > 0 {
		parts = parts[:i]
	}
	return strings.Join(parts[max(0, len(parts)-2):], "/")
}

// circumstances reads when, of whom, where on the body and how surely.
func (b *bundleReader) circumstances(o object, x *observation) {
	s := b.object(o, "subject")
	x.subject.Reference = b.text(s, "reference")
	i := b.object(s, "identifier")
	x.subject.Identifier.System, x.subject.Identifier.Value = b.text(i, "system"), b.text(i, "value")
	at := cmp.Or(b.text(o, "effectiveDateTime"), b.text(o, "effectiveInstant"))
	if p := b.object(o, "effectivePeriod"); at == "" && p != nil {
		from, to := b.text(p, "start"), b.text(p, "end")
		at = cmp.Or(from, to)
		f, t := moment(from), moment(to)
		x.long = from != "" && to != "" && from != to && (f.IsZero() || t.IsZero() || t.Sub(f) > time.Duration(b.span.Sitting)*time.Minute)
	}
	if t := b.object(o, "effectiveTiming"); at == "" && t != nil {
		for _, v := range b.list(t, "event") {
			if s, ok := v.(string); ok && at == "" {
				at = s
			}
		}
	}
	x.at, x.when = b.wall(at)
	if !counts(b.text(o, "status")) {
		x.trouble = append(x.trouble, "its status is not final, amended or corrected")
	}
	if len(b.list(o, "modifierExtension")) > 0 {
		x.trouble = append(x.trouble, "it has a modifierExtension, which may change what it means")
	}
	x.active = slices.Contains(conceptOf(o["category"]).codes, "activity")
	arm, err := conceptOf(o["bodySite"]).arm()
	if x.arm = arm; err != nil {
		x.trouble = append(x.trouble, err.Error())
	}
	for _, v := range []any{o["note"], o["comment"], o["comments"]} {
		if x.long {
			break // what is said of days is said of no moment; ours have our cautions there
		}
		x.note = strings.TrimSpace(x.note + " " + textOf(v))
	}
}

// textOf is the text of a note in any of its forms.
func textOf(v any) string {
	switch v := v.(type) {
	case string:
		return strings.Join(strings.Fields(v), " ")
	case object:
		return textOf(v["text"])
	case []any:
		out := ""
		for _, e := range v {
			out = strings.TrimSpace(out + " " + textOf(e))
		}
		return out
	}
	return ""
}

func moment(at string) time.Time {
	t, err := time.Parse(time.RFC3339, at)
	if err != nil {
		return time.Time{}
	}
	return t
}

// wall is a time on the client's wall clock. An offset is how FHIR says a moment, and needs no remark.
func (b *bundleReader) wall(at string) (string, time.Time) {
	if b.span.Zone == nil {
		return at, time.Time{}
	}
	if t := moment(at); !t.IsZero() {
		return t.In(b.span.Zone).Format("2006-01-02T15:04:05"), t
	}
	for _, form := range []string{"2006-01-02T15:04:05", "2006-01-02T15:04"} {
		if t, err := time.ParseInLocation(form, at, b.span.Zone); err == nil {
			return at, t
		}
	}
	return at, time.Time{}
}
