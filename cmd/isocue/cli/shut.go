package cli

import (
	"isocue.example/compiler"
	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
)

// followed reads the logs that a compile was given. What closes training refuses; the readings stand beside those of the record,
// so that the gate judges the newest.
func (j *judging) followed(in *compiler.Input, fl compileFlags) error {
	fs, err := shut(j.eng, in, fl.log, fl.sessions, j.keepLog)
	j.found = append(j.found, fs...)
	return err
}

// shut is what a client's logs refuse. The client of the input gets the readings of the log.
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
