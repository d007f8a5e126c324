package report

import (
	"bytes"
	"encoding/json"

	"isocue.example/compiler/record"
)

// Plans writes plans one after the other, as Plan does, and keeps its buffers between them. It is not safe for use by several
// goroutines at once.
type Plans struct {
	buf bytes.Buffer
	enc *json.Encoder
}

// JSON is the plan as JSON, valid until the next call.
func (ps *Plans) JSON(p *record.Plan) ([]byte, error) {
	if err := checkCautions(p.Cautions); err != nil {
		return nil, err
	}
	if ps.enc == nil {
		ps.enc = indenting(&ps.buf)
	}
	ps.buf.Reset()
	if err := ps.enc.Encode(p); err != nil {
		return nil, err
	}
	return escaped(ps.buf.Bytes()), nil
}
