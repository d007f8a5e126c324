package fhir_test

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"isocue.example/compiler"
	"isocue.example/compiler/fhir"
	"isocue.example/compiler/load"
	"isocue.example/compiler/record"
	"isocue.example/compiler/report/plans"
	"isocue.example/compiler/unit"
)

// A stopped plan has no active request. Source: hl7.org/fhir/R4, RequestStatus: revoked is what ended before its end.
func TestStopped(t *testing.T) {
	c := engine(t)
	p := demo(t, c)
	p.Stopped = p.Start + 7
	n := 0
	for _, r := range resources(t, written(t, func(b *bytes.Buffer) error { return fhir.Plan(b, p) })) {
		switch r["resourceType"] {
		case "CarePlan", "ServiceRequest":
			if n++; r["status"] != "revoked" {
				t.Errorf("a %v of a stopped plan is %v", r["resourceType"], r["status"])
			}
		}
	}
	if n < 3 {
		t.Errorf("%d requests", n)
	}
}

// What an earlier sheet asked for and a newer one does not is revoked, under the id it had: a reader that keeps what it was sent
// would else show it on.
func TestNothingStaysOpen(t *testing.T) {
	c := engine(t)
	p := demo(t, c)
	requests := func() (out map[string]string) {
		out = map[string]string{}
		for _, r := range resources(t, written(t, func(b *bytes.Buffer) error { return fhir.Plan(b, p) })) {
			if r["resourceType"] == "ServiceRequest" {
				out[fmt.Sprint(r["id"])] = fmt.Sprint(r["status"])
				if asked := len(asList(at(r, "occurrenceTiming", "event"))) > 0; asked == (r["status"] == "revoked") {
					t.Errorf("a request that is %v has dates: %v", r["status"], asked)
				}
			}
		}
		return out
	}
	first := requests()
	p.Sheet = 2
	cancelled := p.Sessions[0].Kind
	for i := range p.Sessions {
		switch s := &p.Sessions[i]; {
		case s.Kind == cancelled:
			s.Status = record.Cancelled
		case s.Status == record.Provisional:
			s.Status = record.Confirmed // measured again
		}
	}
	second, ended := requests(), 0
	for id, status := range first {
		switch {
		case second[id] == "":
			t.Errorf("a request that was %s is not in the newer Bundle", status)
		case second[id] == "revoked":
			ended++
		case second[id] != "active":
			t.Errorf("a request is %s", second[id])
		}
	}
	if held := strings.Count(fmt.Sprint(first), "on-hold"); held == 0 || ended < held+1 {
		t.Errorf("%d requests were on hold, %d ended", held, ended)
	}
}

// A kind that the plan has no more, here one with the load of an older measurement, is revoked in every later Bundle, also after the
// plan went through its file. Source: hl7.org/fhir/R4, ServiceRequest.status: what is not revoked is still asked for.
func TestKindThatIsGone(t *testing.T) {
	c := engine(t)
	in := compiler.Input{Client: client(t, c, "demo"), Now: time.Date(2027, 1, 3, 9, 0, 0, 0, time.UTC)}
	in.Start, _ = unit.ParseDate("2027-01-04")
	in.Protocols = []*load.Protocol{&c.Standard("handgrip-start").Protocols[0]}
	known, gone := map[string]bool{}, 0 // ids of all Bundles so far
	for sheet := 1; sheet <= 3; sheet++ {
		r, err := c.Compile(in)
		if err != nil || r.Plan == nil || r.Plan.Sheet != sheet {
			t.Fatal(err, r.Findings)
		}
		var file bytes.Buffer
		if err := plans.JSON(&file, r.Plan); err != nil {
			t.Fatal(err)
		}
		p, err := load.ReadPlan(file.Bytes())
		if err != nil {
			t.Fatal(err)
		}
		p.Sitting = r.Plan.Sitting
		now := map[string]bool{}
		for _, x := range resources(t, written(t, func(b *bytes.Buffer) error { return fhir.Plan(b, p) })) {
			if x["resourceType"] != "ServiceRequest" {
				continue
			}
			now[fmt.Sprint(x["id"])] = true
			if asked := len(asList(at(x, "occurrenceTiming", "event"))) > 0; asked == (x["status"] == "revoked") || at(x, "code", "text") == "" || x["patientInstruction"] == "" {
				t.Errorf("sheet %d: %v", sheet, x)
			}
		}
		for id := range known {
			if !now[id] {
				t.Errorf("sheet %d: a request of an earlier sheet is not told of", sheet)
			}
		}
		for id := range now {
			known[id] = true
		}
		gone += len(p.Ended)
		in.Previous, in.Now = p, in.Now.Add(time.Hour)
		cl, rec := *in.Client, *in.Client.Record
		cl.Record, rec.Grip = &rec, slices.Clone(rec.Grip)
		for i := range rec.Grip { // measured again: a little less
			rec.Grip[i].Trials = slices.Clone(rec.Grip[i].Trials)
			for k := range rec.Grip[i].Trials {
				rec.Grip[i].Trials[k] = rec.Grip[i].Trials[k].Sub(unit.Int(2))
			}
		}
		in.Client = &cl
	}
	if gone == 0 {
		t.Error("no kind went away")
	}
}
