// Package fhir writes a plan and a follow-up as health records: Bundles of HL7 FHIR release 4 (4.0.1).
//
// A Bundle is a collection of resources. A plan is a CarePlan with one ServiceRequest for every kind of session, in which the
// sessions are dated; what its loads stand on are Observations. A follow-up is one Observation a reading, of the profile for
// blood pressure, and one a window, its mean. Whom a resource is about is named by the client's id and by nothing else: the
// client's name is in none of them. Codes are LOINC's, units UCUM's; SNOMED CT, which needs a licence in many countries, is not
// used. Ids are derived from what a resource is, so that the same plan gives the same bytes, and a newer one the same ids.
package fhir

import (
	"encoding/json"
	"fmt"
	"io"
	"time"

	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
	"isocue.example/compiler/zone"
)

// Code systems and profiles.
const (
	loinc          = record.LOINC
	ucum           = record.UCUM
	category       = "http://terminology.hl7.org/CodeSystem/observation-category"
	measuredSystem = "https://isocue.example/measurement"
	profileBP      = "http://hl7.org/fhir/StructureDefinition/bp"
	profilePulse   = "http://hl7.org/fhir/StructureDefinition/heartrate"
	readingsInMean = "http://hl7.org/fhir/uv/cardx-htn-mng/StructureDefinition/NumberOfMeasurementsExt"
)

// Notice is what the licences of the code systems ask to be said wherever their codes are handed on.
const Notice = "This material contains content from LOINC (http://loinc.org). LOINC is copyright (c) Regenstrief Institute, Inc. and the " +
	"Logical Observation Identifiers Names and Codes (LOINC) Committee and is available at no cost under the license at http://loinc.org/license. " +
	"LOINC is a registered United States trademark of Regenstrief Institute, Inc. " +
	"Units are codes of UCUM (https://ucum.org), copyright (c) Regenstrief Institute, Inc. and the UCUM Organization, used under its license."

// resource is any of those that stand in a Bundle.
type resource interface{ id() string }

type bundle struct {
	ResourceType string  `json:"resourceType"`
	ID           string  `json:"id"`
	Type         string  `json:"type"`
	Timestamp    string  `json:"timestamp"`
	Entry        []entry `json:"entry,omitempty"`
}

type entry struct {
	FullURL  string   `json:"fullUrl"`
	Resource resource `json:"resource"`
}

func (b *bundle) add(r resource) { b.Entry = append(b.Entry, entry{"urn:uuid:" + r.id(), r}) }

func (b *bundle) write(w io.Writer) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(b)
}

type meta struct {
	Profile []string `json:"profile"`
}

type coding struct {
	System  string `json:"system"`
	Code    string `json:"code"`
	Display string `json:"display,omitempty"`
}

type concept struct {
	Coding []coding `json:"coding,omitempty"`
	Text   string   `json:"text,omitempty"`
}

func coded(code, text string) concept {
	return concept{Coding: []coding{{System: loinc, Code: code}}, Text: text}
}

type identifier struct {
	System string `json:"system"`
	Value  string `json:"value"`
}

// reference is to a resource of the Bundle, or by identifier to somebody who is not in it.
type reference struct {
	Reference  string      `json:"reference,omitempty"`
	Type       string      `json:"type,omitempty"`
	Identifier *identifier `json:"identifier,omitempty"`
}

func client(id string) reference {
	return reference{Type: "Patient", Identifier: &identifier{record.ClientSystem, id}}
}

func to(r resource) reference { return reference{Reference: "urn:uuid:" + r.id()} }

type period struct {
	Start string `json:"start"`
	End   string `json:"end"`
}

type quantity struct {
	Value  unit.Dec `json:"value"`
	Unit   string   `json:"unit"`
	System string   `json:"system"`
	Code   string   `json:"code"`
}

type annotation struct {
	Text string `json:"text"`
}

// clock writes wall times of a zone as FHIR's dateTime, with their offset from UTC.
type clock struct{ loc *time.Location }

func newClock(name string) (clock, error) {
	loc, err := zone.Load(name)
	if err != nil {
		return clock{}, fmt.Errorf("zone %s: %w", name, err)
	}
	return clock{loc}, nil
}

func (c clock) dateTime(l unit.Local) string {
	y, m, d := l.Date().Time().Date()
	return time.Date(y, m, d, 0, int(l.Clock()), 0, 0, c.loc).Format(time.RFC3339)
}

// notes are the cautions that every output carries, then the licences' notice.
func notes(cs []record.Caution) (out []annotation, err error) {
	if len(cs) == 0 {
		return nil, fmt.Errorf("the plan has no cautions, allowed: at least one, since every output must carry them")
	}
	for _, c := range cs {
		out = append(out, annotation{c.Text})
	}
	return append(out, annotation{Notice}), nil
}
