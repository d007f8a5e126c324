package clinic

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
	"time"

	"isocue.example/compiler"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

// A worker that keeps its buffers writes for each client what a compile of that client alone writes.
func TestDeskWritesWhatCompileWrites(t *testing.T) {
	eng, err := compiler.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	src, err := os.ReadFile(filepath.Join("..", "..", "..", "testdata", "demo", "client.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	day, _ := unit.ParseDate("2027-01-04")
	client := eng.Reader.Bytes("c.yaml", src).Client
	plan := func(ids ...string) *record.Plan {
		in := compiler.Input{Client: client, Start: day, Now: time.Date(2027, 1, 3, 9, 0, 0, 0, time.UTC)}
		for _, id := range ids {
			in.Protocols = append(in.Protocols, &eng.Standard(id).Protocols[0])
		}
		r, err := eng.Compile(in)
		if err != nil || r.Plan == nil {
			t.Fatal(err, r.Findings)
		}
		return r.Plan
	}
	d := newDesk()
	for _, p := range []*record.Plan{plan("handgrip-alternating", "slow-breathing-short-pause"), plan("slow-breathing-even"), plan("handgrip-alternating")} {
		files, err := Pack{"p", packNames, false, d.ofCalendar, d.plans.JSON}.Files(eng, p, client)
		if err != nil {
			t.Fatal(err)
		}
		alone := NewPack("p")
		alone.sounds = false
		want, err := alone.Files(eng, p, client)
		if err != nil || len(files) != len(packNames) {
			t.Fatal(err, len(files))
		}
		for i, f := range files {
			if f.Name != want[i].Name || !bytes.Equal(f.Data, want[i].Data) {
				t.Errorf("%s differs", f.Name)
			}
		}
		if _, err := load.ReadPlan(files[len(files)-1].Data); err != nil {
			t.Error(err)
		}
	}
}
