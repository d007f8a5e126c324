//go:build full

package compiler

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"regexp"
	"strings"
	"testing"
	"time"

	"isocue.example/compiler/load"
	"isocue.example/compiler/progress"
	"isocue.example/compiler/unit"
)

// What the session page answers to readings and symptoms is never less urgent than what the rules about a log make of the same, nor
// than what it answers to the readings or to an answer alone. The page's own words of it are run, by node, over every line of the
// gate and one number either side.
func TestPageInABrowserGateAsTheLog(t *testing.T) {
	js, err := os.ReadFile("handout/page/session-gate.js")
	if err != nil {
		t.Fatal(err)
	}
	judge := regexp.MustCompile(`(?s)const mean = .*?\nfunction judge\(.*?\n}\n`).FindString(string(js))
	if judge == "" {
		t.Fatal("the page has no judge")
	}
	c := engine(t)
	plan := aCourse(t, c, "handgrip-alternating")
	now, err := time.Parse(time.RFC3339, wednesday)
	if err != nil {
		t.Fatal(err)
	}
	type reading struct {
		Upper int `json:"upper"`
		Lower int `json:"lower"`
		Pulse int `json:"pulse"`
	}
	type asked struct {
		Out    []reading `json:"out"`
		Light  bool      `json:"light"`
		Uneven bool      `json:"uneven"`
	}
	const first, second = 0, 1
	rank := map[string]int{"": 0, "effort": 1, "coach": 2, "again": 2, "clinic": 3, "maternity": 3, "emergency": 4}
	for name, edit := range map[string][2]string{"cleared": {}, "uncleared": uncleared, "pregnant": pregnant} {
		cl := tomas(t, c, func(s string) string {
			if edit[0] == "" {
				return s + "\n"
			}
			return regexp.MustCompile(edit[0]).ReplaceAllString(s, edit[1])
		})
		span, err := c.LogSpan(cl.Record, now)
		if err != nil {
			t.Fatal(err)
		}
		follow := func(a asked) (progress.Followed, int) {
			var notes []string
			if a.Light {
				notes = append(notes, "dizzy")
			}
			if a.Uneven {
				notes = append(notes, "palpitations")
			}
			r := a.Out[0]
			in := Following{Client: cl, Now: now, Plan: plan}
			if in.Log, err = load.PressureLog("log.csv", fmt.Appendf(nil, "%s2027-02-10T07:00,%d,%d,%d,left,,%s\n", logHead, r.Upper, r.Lower, r.Pulse, strings.Join(notes, "; ")), span); err != nil {
				t.Fatal(err)
			}
			f, worst := c.Follow(in), 0
			for _, x := range f.Tells {
				switch {
				case x.File == "" || x.On != unit.At(plan.Start, 0).Date()+9:
				case x.Who == "emergency":
					worst = max(worst, rank["emergency"])
				case x.Closes && x.Who != "coach": // the coach is whom the page sends to as well
					worst = max(worst, rank["clinic"])
				case strings.HasPrefix(x.Rule, "log-effort"):
					worst = max(worst, rank["effort"])
				default:
					worst = max(worst, rank["coach"])
				}
			}
			return f, worst
		}
		var all []asked
		for _, upper := range []int{89, 90, 99, 100, 130, 139, 140, 159, 160, 179, 180} {
			for _, lower := range []int{55, 80, 90, 100, 110} {
				for _, pulse := range []int{70, 101, 121} {
					for n := range 4 {
						if upper-lower >= 15 {
							r := reading{upper, lower, pulse}
							all = append(all, asked{[]reading{r, r}, n&1 > 0, n&2 > 0})
						}
					}
				}
			}
		}
		f, _ := follow(all[0])
		in, err := json.Marshal(map[string]any{"gate": f.Gate, "all": all})
		if err != nil {
			t.Fatal(err)
		}
		cmd := exec.Command("node", "-e", judge+`
const data = JSON.parse(require('fs').readFileSync(0))
console.log(JSON.stringify(data.all.map(a => [judge(a, false), judge(a, true)])))`)
		cmd.Stdin = bytes.NewReader(in)
		out, err := cmd.Output()
		if err != nil {
			t.Fatalf("node: %v %s", err, err.(*exec.ExitError).Stderr)
		}
		var says [][2]string
		if err := json.Unmarshal(out, &says); err != nil || len(says) != len(all) || len(all) < 400 {
			t.Fatalf("%v, %d answers to %d", err, len(says), len(all))
		}
		answer := map[string][2]string{}
		for i, a := range all {
			answer[fmt.Sprint(a)] = says[i]
		}
		heard := map[int]int{}
		for i, a := range all {
			_, least := follow(a)
			heard[least]++
			if rank[says[i][second]] < least {
				t.Errorf("%s: to %+v the page says %q, a log comes to %d", name, a, says[i][second], least)
			}
			if least == rank["emergency"] && says[i][first] != "emergency" {
				t.Errorf("%s: to %+v the page says first %q, a log comes to the emergency number", name, a, says[i][first])
			}
			for _, part := range []asked{{a.Out, false, false}, {a.Out, a.Light, false}, {a.Out, false, a.Uneven}} {
				p := answer[fmt.Sprint(part)]
				for n := range 2 {
					if rank[says[i][n]] < rank[p[n]] || p[n] == "again" && says[i][n] == "coach" {
						t.Errorf("%s: to %+v the page says %q, to a part of it alone %q", name, a, says[i][n], p[n])
					}
				}
			}
		}
		if heard[4] == 0 || heard[3] == 0 || heard[2] == 0 || name == "uncleared" && heard[1] == 0 || name != "pregnant" && heard[0] == 0 {
			t.Errorf("%s: of urgencies were heard %v", name, heard)
		}
	}
}
