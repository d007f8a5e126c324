package plans

import (
	"encoding/csv"
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"isocue.example/compiler/unit"
)

// What a coach is told of a roster is the same in text and JSON: how many clients each rule stopped, and who is to be measured within
// two weeks, the last day of them included, or should have been. The table has a row a client.
func TestRosterTells(t *testing.T) {
	today, _ := unit.ParseDate("2027-01-20")
	rows := []RosterRow{
		{ID: "a", File: "a.yaml", Outcome: RosterCompiled, Folder: "a", Sheet: 1, Measure: today + 14},
		{ID: "b", File: "b.yaml", Outcome: RosterUnchanged, Folder: "b", Measure: today + 15},
		{ID: "c", File: "c.yaml", Outcome: RosterUnchanged, Folder: "c", Measure: today - 3},
		{ID: "d", File: "d.yaml", Outcome: RosterRefused, Rules: []string{"y", "x"}, Says: "The mean is 172 mmHg. No session."},
		{ID: "e", File: "e.yaml", Outcome: RosterRefused, Rules: []string{"x"}, Says: "not asked"},
		{File: "f.csv:3", Outcome: RosterRefused, Rules: []string{"shape"}, Reason: "line 3, column zone is missing"},
		{File: "g.yaml", Outcome: RosterFailed, Reason: "=cannot\x1bread"},
	}
	left := RosterLeft{Packs: []RosterPack{{ID: "x"}, {ID: "a", Renamed: true}}, Unsure: true}
	var text strings.Builder
	if err := Roster(&text, rows, left, today, false, true); err != nil {
		t.Fatal(err)
	}
	want := `refused: d: The mean is 172 mmHg. No session. [y, x]
refused: e: Not asked. [x]
refused: f.csv:3: Line 3, column zone is missing. [shape]
failed: g.yaml: =cannotread
not on this list, unless of one whose record could not be read, and an earlier plan may be trained by: x, a (in a folder of another name); to end one, in the packs' folder: isocue compile --previous ID/plan.json --stop DATE --pack ID
x stopped 2 clients
shape stopped 1 client
y stopped 1 client
measure, due since 2027-01-17: c
measure by 2027-02-03: a
7 clients: 1 compiled, 2 unchanged, 3 refused, 1 failed; a compiled plan is not a medical clearance
`
	if text.String() != want {
		t.Errorf("%s\nwant\n%s", text.String(), want)
	}
	var short strings.Builder
	if err := Roster(&short, rows, left, today, false, false); err != nil || !strings.HasPrefix(short.String(), "refused: d: The mean is 172 mmHg. No session.\nrefused: e: Not asked.\n") {
		t.Errorf("%v %s", err, short.String())
	}
	data, err := RosterJSON(rows, left, today)
	if err != nil {
		t.Fatal(err)
	}
	if strings.Contains(string(data), "172") {
		t.Error("the file of a roster quotes a record")
	}
	var got struct {
		Summary struct {
			Outcomes map[string]int
			Rules    []stoppedBy
			Measure  []measureSoon
			Unlisted []RosterPack
		}
		Clients []RosterRow
	}
	if err := json.Unmarshal(data, &got); err != nil {
		t.Fatal(err)
	}
	s := got.Summary
	if len(got.Clients) != 7 || s.Outcomes["refused"] != 3 || len(s.Rules) != 3 || s.Rules[0] != (stoppedBy{"x", 2}) ||
		len(s.Measure) != 2 || s.Measure[0] != (measureSoon{"c", today - 3}) || s.Measure[1] != (measureSoon{"a", today + 14}) ||
		!slices.Equal(s.Unlisted, left.Packs) {
		t.Errorf("%+v", s)
	}
	sheet, err := RosterCSV(rows)
	if err != nil {
		t.Fatal(err)
	}
	cells, err := csv.NewReader(strings.NewReader(string(sheet))).ReadAll()
	if err != nil || len(cells) != 8 || cells[1][8] != "2027-02-03" || cells[4][5] != "y;x" || strings.HasPrefix(cells[7][6], "=") {
		t.Errorf("%v %q", err, cells)
	}
}
