package plans

import (
	"bytes"
	"encoding/json"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/record"
	"isocue.example/compiler/report"
)

// Encoder writes plans one after the other, byte for byte as JSON does, and keeps its buffers between them. It is not safe for use by
// several goroutines at once.
type Encoder struct {
	dense bytes.Buffer
	enc   *json.Encoder
	rest  []byte // the plan without its sessions
	out   []byte
}

// JSON is the plan as JSON, valid until the next call.
func (ps *Encoder) JSON(p *record.Plan) ([]byte, error) {
	if err := report.CheckCautions(p.Cautions); err != nil {
		return nil, err
	}
	if ps.enc == nil {
		ps.enc = json.NewEncoder(&ps.dense)
		ps.enc.SetEscapeHTML(false)
	}
	ps.dense.Reset()
	rest := *p
	rest.Sessions = nil
	if err := ps.enc.Encode(&rest); err != nil {
		return nil, err
	}
	ps.rest = appendIndented(ps.rest[:0], ps.dense.Bytes())
	at := bytes.Index(ps.rest, []byte(noSessions))
	if at < 0 {
		panic(finding.Bug{What: "a plan has no place for its sessions"})
	}
	at += len(noSessions) - len("null")
	ps.out = appendSessions(append(ps.out[:0], ps.rest[:at]...), p.Sessions)
	ps.out = append(ps.out, ps.rest[at+len("null"):]...)
	return record.Seal(report.Escaped(ps.out)), nil
}

// noSessions is how a plan without sessions says so; no text in it can, for there a line break is escaped.
const noSessions = "\n  \"sessions\": null"

// appendIndented is json.Indent, with two spaces, for what our own encoder wrote without any space: it need not be checked again,
// which is most of what json.Indent does.
func appendIndented(dst, dense []byte) []byte {
	depth := 0
	for i := 0; i < len(dense); {
		c := dense[i]
		switch c {
		case '{', '[':
			dst = append(dst, c)
			if i++; dense[i] == '}' || dense[i] == ']' {
				dst = append(dst, dense[i])
				i++
				continue
			}
			depth++
			dst = newline(dst, depth)
		case '}', ']':
			depth--
			dst = append(newline(dst, depth), c)
			i++
		case ',':
			dst = newline(append(dst, c), depth)
			i++
		case ':':
			dst = append(dst, ": "...)
			i++
		default: // a text, or a number or word
			end := i + 1
			if c == '"' {
				for ; dense[end] != '"'; end++ {
					if dense[end] == '\\' {
						end++
					}
				}
				end++
			} else {
				for end < len(dense) && dense[end] != ',' && dense[end] != '}' && dense[end] != ']' {
					end++
				}
			}
			dst = append(dst, dense[i:end]...)
			i = end
		}
	}
	return dst
}

func newline(dst []byte, depth int) []byte {
	dst = append(dst, '\n')
	for range depth {
		dst = append(dst, "  "...)
	}
	return dst
}
