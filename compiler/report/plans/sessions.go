package plans

import (
	"bytes"
	"encoding/json"
	"strconv"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/record"
)

// appendSessions writes the sessions of a plan as json.Indent writes them in their place of a plan: they are nine tenths of it, and a
// roster writes thousands of plans. A test holds it to encoding/json, field by field.
func appendSessions(dst []byte, sessions []record.Session) []byte {
	switch {
	case sessions == nil:
		return append(dst, "null"...)
	case len(sessions) == 0:
		return append(dst, "[]"...)
	}
	dst = append(dst, '[')
	for i := range sessions {
		if i > 0 {
			dst = append(dst, ',')
		}
		dst = appendSession(dst, &sessions[i])
	}
	return append(dst, "\n  ]"...)
}

func appendSession(dst []byte, s *record.Session) []byte {
	field := func(name string) { dst = append(append(append(dst, ",\n      \""...), name...), "\": "...) }
	text := func(name, s string) { field(name); dst = appendText(dst, s) }
	whole := func(name string, n int) { field(name); dst = strconv.AppendInt(dst, int64(n), 10) }
	truth := func(name string, b bool) { field(name); dst = strconv.AppendBool(dst, b) }
	dst = appendText(append(dst, "\n    {\n      \"uid\": "...), s.UID)
	whole("sequence", s.Sequence)
	whole("sheet", s.Sheet)
	if s.Modified != "" {
		text("modified", s.Modified)
	}
	text("status", string(s.Status))
	text("protocol", s.Protocol)
	text("kind", s.Kind)
	whole("week", s.Week)
	whole("slot", s.Slot)
	text("start", s.Start.String())
	if s.Zone != "" {
		text("zone", s.Zone)
	}
	if s.Call != "" {
		text("call", s.Call)
	}
	whole("seconds", s.Seconds)
	truth("gate", s.Gate)
	truth("end", s.End)
	if s.Moved != "" {
		text("moved", s.Moved)
	}
	if s.Supervised {
		truth("supervised", true)
	}
	if s.First {
		truth("first", true)
	}
	if s.Gathered {
		truth("gathered", true)
	}
	if s.Whole {
		truth("whole", true)
	}
	if s.Merged {
		truth("merged", true)
	}
	if s.Text != "" {
		text("text", s.Text)
	}
	return append(dst, "\n    }"...)
}

// appendText writes a text as JSON; what needs no escape, as nearly all of a session, needs no encoder.
func appendText(dst []byte, s string) []byte {
	for i := range len(s) {
		if c := s[i]; c < ' ' || c > '~' || c == '"' || c == '\\' {
			var b bytes.Buffer
			e := json.NewEncoder(&b)
			e.SetEscapeHTML(false)
			if err := e.Encode(s); err != nil {
				panic(finding.Bug{What: err.Error()}) // a text can always be written
			}
			return append(dst, bytes.TrimSuffix(b.Bytes(), []byte("\n"))...)
		}
	}
	return append(append(append(dst, '"'), s...), '"')
}
