package progress_test

import (
	"testing"

	"isocue.example/compiler/progress"
	"isocue.example/compiler/record"
)

// What was found stays, and nothing that was written does. Source: a folder of clients is judged one after the other.
func TestForgetKeepsFactsAlone(t *testing.T) {
	reading := record.LogReading{Systolic: 131, Note: "slept badly", Symptoms: "none", Cuff: "medium"}
	f := progress.Followed{Logs: []*record.Log{{Readings: []record.LogReading{reading}, Rows: 1, Columns: []record.Column{{Heading: "at"}}}}}
	f.Home = []record.LogReading{reading}
	f.Events = []progress.Event{{What: "dizzy", Session: &record.SessionRow{Symptoms: "dizzy"}}}
	f.Incidents = []progress.Incident{{What: "faint", Told: "the coach"}}
	f.Forget()
	if len(f.Logs[0].Readings) > 0 || f.Home[0].Note+f.Home[0].Symptoms != "" || f.Events[0].Session != nil {
		t.Errorf("texts are left: %+v", f)
	}
	if f.Home[0].Systolic != 131 || f.Home[0].Cuff != "medium" || f.Events[0].What != "dizzy" || f.Incidents[0].Told != "the coach" || f.Logs[0].Rows != 1 || f.Logs[0].Columns[0].Heading != "at" {
		t.Errorf("facts are lost: %+v", f)
	}
}
