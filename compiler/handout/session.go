package handout

import (
	"embed"
	"encoding/json"
	"fmt"
	"html/template"
	"strconv"
	"strings"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/page"
	"isocue.example/compiler/record"
	"isocue.example/compiler/say"
)

//go:embed page/session.css
var sessionStyle string

// The script is one program in parts, each with its own matter.
//
//go:embed page/session.js page/session-cues.js page/session-gate.js page/session-run.js page/session-log.js
var scripts embed.FS

var sessionScript = func() string {
	out := "'use strict';\n(() => {\n"
	for _, part := range []string{"", "-cues", "-gate", "-run", "-log"} {
		b, err := scripts.ReadFile("page/session" + part + ".js")
		if err != nil {
			panic(finding.Bug{What: err.Error()}) // it is embedded
		}
		out += string(b)
	}
	return out + "})()\n"
}()

//go:embed page/session.html
var sessionBody string

var sessionPage = page.Parse("session", sessionBody)

// leadSeconds is the time to put the phone down and take hold before the first line. It is not part of the session.
const leadSeconds = 5

// shell is what the page says before its script runs.
type shell struct {
	page.Head
	T             say.Page
	Call, Coach   string
	Number        template.URL
	Later         []later
	Sheet, Newest string
	Danger        []string
	SitAtEnd      string
	Readings      []reading
	Signs         []sign
	Lines         []string // of the gate
	Data          template.JS
}

// later is an emergency number of a day to come: the script shows it alone from its day on.
type later struct {
	Who, Call, Plain string
	Number           template.URL
}

type reading struct{ N, Label string }

// Session makes the page that leads through each session: one HTML file that needs no network. What it runs are the plan's
// steps, which stand in it as they stand in plan.json. Sessions that are cancelled, and those that must not be trained before a
// new measurement, have no steps in it.
func Session(in Input) ([]byte, error) {
	if err := in.check(); err != nil {
		return nil, err
	}
	if b := in.Bounds; b.Lowest <= 0 || b.Highest <= b.Lowest || b.LowestPulse <= 0 || b.MostPulse <= b.LowestPulse {
		return nil, fmt.Errorf("what a reading can be is missing, allowed: a lowest and a highest pressure and pulse")
	}
	p, l := in.Plan, in.words()
	now, err := wall(p)
	if err != nil {
		return nil, err
	}
	t := l.Page
	s := shell{T: t, Call: strings.ReplaceAll(strings.ReplaceAll(t.CallNow, "{number}", p.Emergency), " ", "\u00a0"), Number: dial(p.Emergency),
		Sheet: strings.ReplaceAll(t.SheetOf, "{n}", strconv.Itoa(p.Sheet)), Newest: t.Newest,
		SitAtEnd: l.SitAtEnd(p), Lines: l.GateLines(p, numbers(p, l))[1:]}
	for _, c := range elsewhere(p, l) {
		s.Later = append(s.Later, later{c.Who, strings.ReplaceAll(strings.ReplaceAll(t.CallNow, "{number}", c.Number), " ", "\u00a0"), c.Number, dial(c.Number)})
	}
	if p.Coach != "" {
		s.Coach = strings.ReplaceAll(t.CallCoach, "{number}", p.Coach)
	}
	s.Head = newHead(in, t.Title+", "+fmt.Sprintf(l.Sheet.Number, p.Sheet), sessionStyle, sessionScript)
	for _, c := range p.Cautions {
		s.Danger = append(s.Danger, c.Text)
	}
	for i := range p.Sitting.Readings {
		n := strconv.Itoa(i + 1)
		s.Readings = append(s.Readings, reading{n, strings.ReplaceAll(t.Reading, "{n}", n)})
	}
	data := in.run(now)
	s.Signs = data.Signs
	b, err := json.Marshal(data) // which escapes what could end a script
	if err != nil {
		return nil, err
	}
	s.Data = template.JS(b)
	return execute(sessionPage(), s)
}

// dial is the address of the emergency number, "" where it is not one number alone: what would be dialled would be another one. The
// scheme is ours and nothing but a + and digits is left, so that the address cannot lead elsewhere.
func dial(number string) template.URL {
	digits, ok := record.DialEmergency(number)
	if !ok {
		return ""
	}
	return template.URL("tel:" + digits)
}
