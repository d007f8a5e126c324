package cli

import (
	"isocue.example/compiler"
	"isocue.example/compiler/record"
)

// followed reads the logs that a compile was given. What closes training refuses; the readings stand beside those of the record,
// so that the gate judges the newest.
func (j *judging) followed(in *compiler.Input, fl compileFlags) error {
	if fl.log == "" && fl.sessions == "" {
		return nil
	}
	f := compiler.Following{Client: in.Client, Plan: in.Previous, Now: in.Now}
	var err error
	if f.Log, f.Sessions, err = j.readLogs(f, fl.log, fl.sessions); err != nil {
		return err
	}
	var ms []record.Modality
	for _, p := range in.Protocols {
		ms = append(ms, p.Record.Modality)
	}
	j.found = append(j.found, j.eng.Shut(f, ms)...)
	in.Client = compiler.WithReadings(in.Client, f.Log)
	return nil
}
