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
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/publish"
	"isocue.example/compiler/report"
	"isocue.example/compiler/unit"
	"isocue.example/compiler/zone"
)

// Entries are those of a plan, as the calendar file has them, and today where the client lives. Where a finding rejects, there are
// none: a plan that was edited, or that the rules of now call unsafe, goes to nobody's phone.
func Entries(eng *compiler.Compiler, plan string, now time.Time) (out []publish.Entry, today time.Time, found []finding.Finding, err error) {
	b, err := ReadBefore(plan)
	if err != nil {
		return nil, today, nil, err
	}
	p, found := eng.ReadPlan(plan, b.bytes, now)
	if p != nil {
		fs, until := eng.Recall(p, nil, now)
		for i := range found { // what nobody vouches for goes to nobody's phone, but for what calls entries back
			if f := &found[i]; f.Rule == compiler.EditedRule && until >= Today(b.Plan.Zone, now) {
				f.Verdict = finding.Malformed
			}
		}
		for _, f := range fs {
			if f.Verdict == finding.Unsafe || f.Verdict == finding.Malformed { // what a waiver may forgive was judged with it
				f.Pos = finding.Pos{File: plan, Line: 1, Column: 1}
				found = append(found, f)
			}
		}
	}
	if finding.Rejected(found) {
		return nil, today, found, nil
	}
	loc, err := zone.Load(b.Plan.Zone)
	if err != nil {
		return nil, today, found, err
	}
	b.Plan.Sitting = eng.Check.Base.Sitting
	ics, err := calendarOf(b.Plan)
	if err != nil {
		return nil, today, found, err
	}
	out, err = publish.Split(ics)
	return out, unit.DateOf(now.In(loc)).Time(), found, err
}

// Published is what stands beside a plan: digests by collection, of which it holds a digest too, and none of anybody's words. Begun is
// what a run set out to send and may have sent: it says so before it sends, so that a run that is killed leaves nothing on the server
// that the next one does not know for its own.
type Published struct {
	name  string
	All   map[string]publish.Sent
	Begun map[string]publish.Begun
}

type sentFile struct {
	Version   int                      `json:"version"`
	Published map[string]publish.Sent  `json:"published"`
	Begun     map[string]publish.Begun `json:"begun,omitempty"`
}

const sentVersion = 2

// ReadPublished reads what was sent of a plan; nothing where nothing was.
func ReadPublished(plan string) (Published, error) {
	p := Published{plan + ".published", map[string]publish.Sent{}, map[string]publish.Begun{}}
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
	if s.Begun != nil {
		p.Begun = s.Begun
	}
	return p, nil
}

// WritePublished keeps what was sent to one collection, and what is about to be, beside what another run may have kept of others
// meanwhile.
func WritePublished(plan, key string, sent publish.Sent, begun publish.Begun) error {
	p, err := ReadPublished(plan)
	if err != nil {
		return err
	}
	p.All[key], p.Begun[key] = sent, begun
	if len(begun) == 0 {
		delete(p.Begun, key)
	}
	var b bytes.Buffer
	if err := report.Indented(&b, sentFile{sentVersion, p.All, p.Begun}); err != nil {
		return err
	}
	return files.Write([]files.File{{Name: p.name, Data: b.Bytes()}}, files.Manner{Force: true})
}
