package fhir

import (
	"fmt"
	"io"

	"isocue.example/compiler/progress"
	"isocue.example/compiler/record"
	"isocue.example/compiler/unit"
)

type observation struct {
	ResourceType string       `json:"resourceType"`
	ID           string       `json:"id"`
	Meta         *meta        `json:"meta,omitempty"`
	Extension    []extension  `json:"extension,omitempty"`
	Status       string       `json:"status"`
	Category     []concept    `json:"category,omitempty"`
	Code         concept      `json:"code"`
	Subject      reference    `json:"subject"`
	Effective    string       `json:"effectiveDateTime,omitempty"`
	Period       *period      `json:"effectivePeriod,omitempty"`
	Value        *quantity    `json:"valueQuantity,omitempty"`
	Note         []annotation `json:"note,omitempty"`
	BodySite     *concept     `json:"bodySite,omitempty"`
	Component    []component  `json:"component,omitempty"`
}

type extension struct {
	URL   string `json:"url"`
	Value int    `json:"valueInteger"`
}

type component struct {
	Code  concept  `json:"code"`
	Value quantity `json:"valueQuantity"`
}

func (o *observation) id() string { return o.ID }

var vitalSigns = []concept{{Coding: []coding{{category, "vital-signs", "Vital Signs"}}}}

func mmHg(d unit.Dec) quantity { return quantity{d, "mmHg", ucum, "mm[Hg]"} }

// Follow writes a follow-up: a reading an Observation, where it may stand in a home mean, and its pulse another; then a window
// an Observation, its mean. Alerts are not health records: who is told what, and how soon, is for the follow-up itself to say.
func Follow(w io.Writer, f progress.Followed) error {
	c, err := newClock(f.Zone)
	if err != nil {
		return err
	}
	note, err := notes(f.Cautions)
	if err != nil {
		return err
	}
	b := &bundle{ResourceType: "Bundle", ID: record.Identity("fhir", f.Client, "progress"), Type: "collection", Timestamp: f.Now}
	seen := map[string]int{} // the same numbers twice in a minute, of which a log may tell
	for _, x := range f.Home {
		at := x.At.String()
		what := fmt.Sprintf("%s %d/%d", at, x.Systolic, x.Diastolic)
		seen[what]++
		key := func(kind string) string {
			return record.Identity("fhir", f.Client, kind, what, fmt.Sprint(seen[what]))
		}
		b.add(reading(f.Client, key("reading"), c.dateTime(x.At), x))
		if x.Pulse > 0 {
			b.add(&observation{ResourceType: "Observation", ID: key("pulse"), Meta: &meta{[]string{profilePulse}}, Status: "final", Category: vitalSigns,
				Code: coded("8867-4", "Heart rate"), Subject: client(f.Client), Effective: c.dateTime(x.At),
				Value: &quantity{unit.Int(int64(x.Pulse)), "beats/minute", ucum, "/min"}})
		}
	}
	for _, x := range f.Windows {
		if x.Readings > 0 {
			o := mean(f.Client, x)
			o.Note = note
			b.add(o)
		}
	}
	return b.write(w)
}

func reading(id, key, at string, x record.LogReading) *observation {
	o := &observation{ResourceType: "Observation", ID: key, Meta: &meta{[]string{profileBP}}, Status: "final", Category: vitalSigns,
		Code: coded("85354-9", "Blood pressure panel with all children optional"), Subject: client(id), Effective: at,
		Component: []component{
			{coded("8480-6", "Systolic blood pressure"), mmHg(unit.Int(int64(x.Systolic)))},
			{coded("8462-4", "Diastolic blood pressure"), mmHg(unit.Int(int64(x.Diastolic)))},
		}}
	if x.Arm != "" {
		o.BodySite = &concept{Text: string(x.Arm) + " arm"}
	}
	return o
}

// mean is the mean of a window, to a tenth, with how many readings it is of.
func mean(id string, x progress.Window) *observation {
	tenth := func(d unit.Dec) quantity { return mmHg(unit.MustDec(d.Text(1))) }
	return &observation{ResourceType: "Observation", ID: record.Identity("fhir", id, "mean", x.Which, x.From.String(), x.To.String()),
		Extension: []extension{{readingsInMean, x.Readings}}, Status: "final", Category: vitalSigns,
		Code: coded("96607-7", "Blood pressure panel mean"), Subject: client(id), Period: &period{x.From.String(), x.To.String()},
		Component: []component{
			{coded("96608-5", "Systolic blood pressure mean"), tenth(x.Systolic)},
			{coded("96609-3", "Diastolic blood pressure mean"), tenth(x.Diastolic)},
		}}
}
