package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"isocue.example/cmd/isocue/cli"
)

// How people write into cells. What is not read refuses that client, names the cell, and touches nobody else; nothing is passed over.
func TestSpreadsheetHabits(t *testing.T) {
	for _, x := range []struct{ why, column, cell, want string }{
		{"nothing unusual", "measured.bloodPressure[0].systolic", "136", ""},
		{"both numbers in one cell", "measured.bloodPressure[0].systolic", "205/118", "205/118"},
		{"a severe number", "measured.bloodPressure[0].systolic", "205", "pressure-"},
		{"words around it", "measured.bloodPressure[0].systolic", "about 205", "systolic"},
		{"a day of elsewhere", "measured.bloodPressure[0].at", "03/01/2027 07:30", "at"},
		{"a start of elsewhere", "start", "04/01/2027", "start"},
	} {
		dir := t.TempDir()
		name := spreadsheetOf(t, dir, func(id string, row map[string]string) {
			if id == "a-1" {
				row[x.column] = x.cell
			}
		}, "a-1", "a-2")
		src, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		lines := strings.Split(strings.TrimRight(string(src), "\r\n"), "\n")
		extra := []string{"at", "systolic", "diastolic", "pulse", "setting", "arm"}
		cells := map[string]string{"at": "2027-01-03T12:00", "systolic": "136", "diastolic": "84", "pulse": "70", "setting": "home", "arm": "left"}
		for i, l := range lines {
			if l = strings.TrimRight(l, "\r"); l == "" {
				continue
			}
			for _, k := range extra {
				v := cells[k]
				if h := "measured.bloodPressure[0]." + k; i == 0 {
					v = h
				} else if strings.HasPrefix(l, "a-1,") && h == x.column {
					v = x.cell
				}
				l += "," + v
			}
			lines[i] = l
		}
		if err := os.WriteFile(name, []byte(strings.Join(lines, "\n")+"\n"), 0o600); err != nil {
			t.Fatal(err)
		}
		code, out, errw := run("roster", "--clients", name, "--pack", filepath.Join(dir, "packs"), "--now", "2027-01-03T21:00:00Z")
		_, one := os.Stat(filepath.Join(dir, "packs", "a-1", "plan.json"))
		_, two := os.Stat(filepath.Join(dir, "packs", "a-2", "plan.json"))
		if x.want == "" != (code == cli.ExitOK) || x.want == "" != (one == nil) || two != nil || !strings.Contains(out+errw, x.want) {
			t.Errorf("%s: exit %d, a-1 %v, a-2 %v\n%s%s", x.why, code, one, two, out, errw)
		}
	}
}
