package main

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"isocue.example/cmd/isocue/cli"
)

// spreadsheetOf makes a spreadsheet of the demo client: the start that isocue writes, with a row for each id.
func spreadsheetOf(t *testing.T, dir string, edit func(id string, row map[string]string), ids ...string) string {
	t.Helper()
	name := filepath.Join(dir, "clinic.csv")
	os.Remove(name)
	if code, _, errw := run("new", "client", name); code != cli.ExitOK {
		t.Fatal(errw)
	}
	head, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	headings := strings.Split(strings.TrimSpace(string(head)), ",")
	text := string(head)
	for _, id := range ids {
		row := map[string]string{"id": id, "name": "Dara Quill", "born": "1971", "sex": "female", "zone": "America/Halifax", "dominantHand": "right",
			"contacts.coach": "+1 555 0142", "contacts.prescriber": "T. Ansah", "contacts.emergency": "911", "protocols": "handgrip-alternating", "start": "2027-01-04",
			"screening.date": "2027-01-02", "screening.by": "M. Osei", "screening.questions": "2", "medicines": "none", "taught.date": "2027-01-02", "taught.by": "M. Osei",
			"consent.date": "2027-01-02", "consent.by": "M. Osei", "consent.explained": "what is trained",
			"measured.grip.date": "2027-01-02", "measured.grip.unit": "kgf", "measured.grip.score": "best", "measured.grip.with": "home-gauge",
			"measured.grip.right": "38.5;40.0;39.5", "measured.grip.left": "35.0;36.0;35.5",
			"devices.grip.id": "home-gauge", "devices.grip.unit": "kgf", "devices.grip.step": "0.5", "devices.grip.checked": "2026-11-20",
			"devices.cuff.arm": "left", "devices.cuff.size": "medium", "devices.cuff.validated": "TRUE", "devices.cuff.fitsCm": "22;32", "devices.cuff.armCm": "28",
			"hours[0].days": "mon;tue;wed;thu;fri;sat", "hours[0].from": "07:00", "hours[0].to": "08:00", "hours[1].days": "sun", "hours[1].from": "08:00", "hours[1].to": "09:00"}
		if edit != nil {
			edit(id, row)
		}
		var cells []string
		for _, h := range headings {
			c := row[h]
			if strings.HasPrefix(h, "screening.answers.") && c == "" {
				c = "no"
			}
			cells = append(cells, c)
		}
		text += strings.Join(cells, ",") + "\r\n"
		readings := "at,systolic,diastolic,pulse,arm\n"
		for day := 29; day <= 35; day++ {
			for _, at := range []string{"07:30", "07:32", "20:00", "20:02"} {
				date := map[bool]string{true: "2026-12-" + itoa(day), false: "2027-01-0" + itoa(day-31)}[day <= 31]
				if day < 34 {
					readings += date + "T" + at + ",137,85,69,left\n"
				}
			}
		}
		readings += "2026-12-29T07:34,135,84,69,right\n"
		if err := os.WriteFile(filepath.Join(dir, id+".log.csv"), []byte(readings), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	return name
}

func itoa(n int) string { return strings.TrimLeft(string(rune('0'+n/10))+string(rune('0'+n%10)), "0") }

// A spreadsheet is compiled row by row, with readings in the logs beside it; a row that changes is compiled anew and no other is; and a row
// that moves to another line is not a change.
func TestRosterOfASpreadsheet(t *testing.T) {
	dir := t.TempDir()
	packs := filepath.Join(dir, "packs")
	spreadsheetOf(t, dir, nil, "a-1", "a-2", "a-3")
	roster := func(want string) {
		t.Helper()
		code, out, errw := run("roster", "--clients", filepath.Join(dir, "clinic.csv"), "--pack", packs, "--now", "2027-01-03T21:00:00Z")
		if code != cli.ExitOK || !strings.Contains(out, want) {
			t.Fatalf("%d, want %s\n%s%s", code, want, out, errw)
		}
	}
	roster("3 clients: 3 compiled;")
	roster("3 clients: 3 unchanged;")
	plan := func(id string) []byte {
		b, err := os.ReadFile(filepath.Join(packs, id, "plan.json"))
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	before := plan("a-2")
	spreadsheetOf(t, dir, nil, "a-3", "a-1", "a-2")
	roster("3 clients: 3 unchanged;")
	spreadsheetOf(t, dir, func(id string, row map[string]string) {
		if id == "a-1" {
			row["measured.grip.right"] = "38.5;43;42.5"
		}
	}, "a-1", "a-2", "a-3")
	roster("3 clients: 1 compiled, 2 unchanged;")
	if !bytes.Equal(plan("a-2"), before) {
		t.Error("a client of whom nothing changed was touched")
	}
	// the protocol of one row is another: its plan follows
	spreadsheetOf(t, dir, func(id string, row map[string]string) {
		if id == "a-3" {
			row["id"], row["protocols"] = "a-4", "handgrip-alternating;slow-breathing-even"
		}
		if id == "a-1" {
			row["measured.grip.right"] = "38.5;43;42.5"
		}
	}, "a-1", "a-2", "a-3")
	if err := os.Rename(filepath.Join(dir, "a-3.log.csv"), filepath.Join(dir, "a-4.log.csv")); err != nil {
		t.Fatal(err)
	}
	roster("3 clients: 1 compiled, 2 unchanged;")
	if !bytes.Contains(plan("a-4"), []byte(`"protocol": "slow-breathing-even"`)) {
		t.Error("the second protocol of a row is not in its plan")
	}
	if m := regexp.MustCompile(`"38.5|Dara`).Find(plan("a-1")); m != nil {
		t.Errorf("the plan holds %s", m)
	}
}
