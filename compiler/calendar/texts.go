package calendar

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"slices"

	"isocue.example/compiler/record"
)

// Texts is a digest of what each entry of a plan's calendar says, by uid: all its bytes but the stamps, its number and the sheet's.
// An entry that stands for several sessions goes by the first one's uid, and the others have none.
func Texts(p *record.Plan, opt Options) (map[string]string, error) {
	q := *p
	q.Sessions, q.Others = slices.Clone(p.Sessions), slices.Clone(p.Others)
	for i := range q.Sessions {
		q.Sessions[i].Sequence, q.Sessions[i].Sheet, q.Sessions[i].Modified = 0, 0, ""
	}
	for i := range q.Others {
		q.Others[i].Sequence, q.Others[i].Sheet, q.Others[i].Modified = 0, 0, ""
	}
	q.Now = "2000-01-01T00:00:00Z"
	if len(q.Sessions)+len(q.Others) == 0 {
		return nil, nil
	}
	ics, err := Encode(nil, &q, opt)
	if err != nil {
		return nil, err
	}
	begin, end, out := []byte("BEGIN:VEVENT\r\nUID:"), []byte("END:VEVENT\r\n"), make(map[string]string, len(q.Sessions)+len(q.Others))
	for {
		i := bytes.Index(ics, begin)
		if i < 0 {
			return out, nil
		}
		ics = ics[i+len(begin):]
		n := bytes.Index(ics, end)
		uid, _, _ := bytes.Cut(ics[:n], []byte("\r\n"))
		sum := sha256.Sum256(ics[:n])
		out[string(uid)] = hex.EncodeToString(sum[:8])
		ics = ics[n:]
	}
}
