package clinic

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"

	"isocue.example/compiler"
	"isocue.example/compiler/files"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/history"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
)

// digest is a digest of the logs and the diary that stand beside a record, "" where there is none.
func (b *belongings) digest() (string, error) {
	if b.log+b.sessions+b.diary == "" {
		return "", nil
	}
	h := sha256.New()
	for _, x := range [][2]string{{logEnd, b.log}, {sessionsEnd, b.sessions}, {load.DiaryEnd, b.diary}} {
		if x[1] == "" {
			continue
		}
		src, err := load.FetchLog(x[1])
		if err != nil {
			return "", fmt.Errorf("cannot read %s: %w", x[1], files.Cause(err))
		}
		fmt.Fprintf(h, "%s %d\n", x[0], len(src))
		h.Write(src)
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}

// readBoth reads what stands beside a record; each log by itself, so that one that cannot be read does not hide the other. keep is
// handed each file that was read.
func readBoth(eng *compiler.Compiler, in compiler.Following, b *belongings, keep func(*load.File)) (log, sessions *record.Log, out []finding.Finding) {
	for _, name := range []string{b.log, b.sessions} {
		if name == "" {
			continue
		}
		pressure, session := name, ""
		if name == b.sessions {
			pressure, session = "", name
		}
		l, s, err := readLogs(eng, in, pressure, session, keep)
		if err != nil {
			out = append(out, unreadable(name, err))
			continue
		}
		if l != nil {
			log = l
		} else {
			sessions, l = s, s
		}
		if f, empty := emptyLog(l, name); empty {
			out = append(out, f)
		}
	}
	return log, sessions, out
}

// emptyLog is the finding that nothing was read from a log: a caution where it has no row, for a course may not have begun.
func emptyLog(l *record.Log, name string) (finding.Finding, bool) {
	if l == nil || l.Read > 0 {
		return finding.Finding{}, false
	}
	f := finding.Finding{Rule: EmptyLog, Verdict: finding.Caution, Pos: finding.Pos{File: name, Line: 1, Column: 1}, Private: true,
		Message: "the log has no row below its headings, allowed: a row for each reading or session",
		Remedy:  "see whether this is the log that is kept, and whether it was saved", Rationale: "A log from which nothing is read raises no alert, whatever was meant to stand in it."}
	if l.Rows > 0 {
		f.Verdict = finding.Malformed
		f.Message = fmt.Sprintf("none of the %d rows of the log can be read, allowed: at least one", l.Rows)
		f.Remedy = "`isocue progress --client FILE --log FILE` says what is wrong with each row"
	}
	return f, true
}

// readLogs reads the logs of a client; nil for one that has no name. keep is handed each file that was read.
func readLogs(eng *compiler.Compiler, in compiler.Following, log, sessions string, keep func(*load.File)) (l, s *record.Log, err error) {
	span, err := eng.LogSpan(in.Client.Record, in.Now)
	if err != nil {
		return nil, nil, err
	}
	span.Name = in.Client.Node.Get("name").Text()
	for _, x := range []struct {
		name string
		read func(string, []byte, load.LogSpan) (*record.Log, error)
		into **record.Log
	}{{log, load.PressureLog, &l}, {sessions, load.SessionLog, &s}} {
		if x.name == "" {
			continue
		}
		src, err := load.FetchLog(x.name)
		if err != nil {
			return nil, nil, fmt.Errorf("cannot read %s: %w", x.name, files.Cause(err))
		}
		if *x.into, err = x.read(x.name, src, span); err != nil {
			return nil, nil, err
		}
		keep(load.LogFile(x.name, src, in.Client))
	}
	return l, s, nil
}

// readPlan reads a plan of the client's; nil without a name.
func readPlan(name string, cl *record.Client) (*record.Plan, error) {
	if name == "" {
		return nil, nil
	}
	src, err := files.Fetch(name, load.MaxPlan)
	if err != nil {
		return nil, fmt.Errorf("cannot read %s: %w", name, files.Cause(err))
	}
	p, err := load.ReadPlan(src)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	if p.Client != cl.ID {
		return nil, fmt.Errorf("%s is the plan of another client than the record, allowed: of the same", name)
	}
	return p, nil
}

// shut is what a client's logs refuse: what closes training. A running course is held for it, which the compile decides. The client
// of the input gets the readings of the log, so that the gate judges the newest, and the rows of the session log. say is told of columns
// that are not read.
func shut(eng *compiler.Compiler, in *compiler.Input, log, sessions string, keep func(*load.File), say func(string, ...any)) ([]finding.Finding, error) {
	if log == "" && sessions == "" && in.Diary == nil && len(in.Previous.Alerts()) == 0 {
		return nil, nil
	}
	f := compiler.Following{Client: in.Client, Plan: in.Previous, Now: in.Now, Diary: in.Diary}
	var err error
	if f.Log, f.Sessions, err = readLogs(eng, f, log, sessions, keep); err != nil {
		return nil, err
	}
	var ms []record.Modality
	for _, p := range in.Protocols {
		ms = append(ms, p.Record.Modality)
	}
	written, noted := f.Log, readingsOf(in.Diary, history.Wall(in.Client.Record.Zone, in.Now))
	f.Log = withNoted(f.Log, noted)
	if f.Sessions != nil {
		in.Sessions = f.Sessions.Sessions
	}
	closings, settled := eng.Shut(f, ms)
	in.Client = compiler.WithReadings(in.Client, f.Log, settled, eng.Check.Base.Sitting.SameSitting)
	var out []finding.Finding
	for _, x := range closings {
		if in.Previous == nil {
			out = append(out, x.Finding)
		} else {
			in.Closings = append(in.Closings, x)
		}
	}
	for _, x := range []struct {
		log  *record.Log
		name string
	}{{written, log}, {f.Sessions, sessions}} {
		if x.log != nil && x.log.NotRead() != "" {
			say("%s: not read: column %s", x.name, x.log.NotRead())
		}
		// Before a course nobody has trained, so that a session log without a row is no wonder.
		if e, empty := emptyLog(x.log, x.name); empty && !(x.log == f.Sessions && x.log.Rows == 0 && in.Previous == nil) {
			out = append(out, e)
		}
	}
	if finding.Rejected(out) { // nothing is compiled, so that nothing else tells of these
		for i, x := range in.Closings {
			out = slices.Insert(out, i, x.Finding)
		}
	}
	return out, nil
}
