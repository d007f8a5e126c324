package clinic

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"time"

	"isocue.example/compiler"
	"isocue.example/compiler/files"
	"isocue.example/compiler/load"
	"isocue.example/compiler/publish"
	"isocue.example/compiler/report"
	"isocue.example/compiler/unit"
	"isocue.example/compiler/zone"
)

// Entries are those of a plan, as the calendar file has them, and today where the client lives.
func Entries(eng *compiler.Compiler, plan string, now time.Time) (out []publish.Entry, today time.Time, err error) {
	b, err := ReadBefore(plan)
	if err != nil {
		return nil, today, err
	}
	loc, err := zone.Load(b.Plan.Zone)
	if err != nil {
		return nil, today, err
	}
	b.Plan.Sitting = eng.Check.Base.Sitting
	ics, err := calendarOf(b.Plan)
	if err != nil {
		return nil, today, err
	}
	out, err = publish.Split(ics)
	return out, unit.DateOf(now.In(loc)).Time(), err
}

// Published is what stands beside a plan: digests by collection, of which it holds a digest too, and none of anybody's words.
type Published struct {
	name string
	All  map[string]publish.Sent
}

type sentFile struct {
	Version   int                     `json:"version"`
	Published map[string]publish.Sent `json:"published"`
}

const sentVersion = 2

// ReadPublished reads what was sent of a plan; nothing where nothing was.
func ReadPublished(plan string) (Published, error) {
	p := Published{plan + ".published", map[string]publish.Sent{}}
	src, err := files.Fetch(p.name, load.MaxPlan)
	if errors.Is(err, fs.ErrNotExist) {
		return p, nil
	}
	if err != nil {
		return p, fmt.Errorf("cannot read: %w", files.Short(err))
	}
	var s sentFile
	if err := json.Unmarshal(src, &s); err != nil || s.Version != sentVersion || s.Published == nil {
		return p, fmt.Errorf("%s is not what this isocue wrote there; move it away, and what the server has is compared anew", p.name)
	}
	p.All = s.Published
	return p, nil
}

// WritePublished keeps what was sent to one collection, beside what another run may have kept of others meanwhile.
func WritePublished(plan, key string, sent publish.Sent) error {
	p, err := ReadPublished(plan)
	if err != nil {
		return err
	}
	p.All[key] = sent
	var b bytes.Buffer
	if err := report.Indented(&b, sentFile{sentVersion, p.All}); err != nil {
		return err
	}
	return files.Write([]files.File{{Name: p.name, Data: b.Bytes()}}, files.Manner{Force: true})
}
