package clinic

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"isocue.example/compiler"
	"isocue.example/compiler/files"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
)

// logsBeside finds the pressure log and the session log of a client beside the record, and their digest; "" where there is none.
func logsBeside(record, id string) (logs [2]string, digest string, err error) {
	h := sha256.New()
	for i, end := range []string{".log.csv", ".sessions.csv"} {
		name := filepath.Join(filepath.Dir(record), id+end)
		if _, err := os.Stat(name); errors.Is(err, fs.ErrNotExist) {
			continue
		}
		src, err := load.FetchLog(name)
		if err != nil {
			return logs, "", fmt.Errorf("cannot read %s: %w", name, files.Cause(err))
		}
		logs[i] = name
		fmt.Fprintf(h, "%s %d\n", end, len(src))
		h.Write(src)
	}
	if logs[0]+logs[1] != "" {
		digest = hex.EncodeToString(h.Sum(nil))
	}
	return logs, digest, nil
}

// readLogs reads the logs of a client; nil for one that has no name. keep is handed each file that was read.
func readLogs(eng *compiler.Compiler, in compiler.Following, log, sessions string, keep func(*load.File)) (l, s *record.Log, err error) {
	span, err := eng.LogSpan(in.Client.Record, in.Now)
	if err != nil {
		return nil, nil, err
	}
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

// shut is what a client's logs refuse: what closes training. The client of the input gets the readings of the log, so that the gate
// judges the newest.
func shut(eng *compiler.Compiler, in *compiler.Input, log, sessions string, keep func(*load.File)) ([]finding.Finding, error) {
	if log == "" && sessions == "" {
		return nil, nil
	}
	f := compiler.Following{Client: in.Client, Plan: in.Previous, Now: in.Now}
	var err error
	if f.Log, f.Sessions, err = readLogs(eng, f, log, sessions, keep); err != nil {
		return nil, err
	}
	var ms []record.Modality
	for _, p := range in.Protocols {
		ms = append(ms, p.Record.Modality)
	}
	in.Client = compiler.WithReadings(in.Client, f.Log)
	return eng.Shut(f, ms), nil
}
