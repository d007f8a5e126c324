package followup

import (
	"fmt"
	"io"

	"isocue.example/compiler/page"
	"isocue.example/compiler/progress"
	"isocue.example/compiler/report"
)

// chartPart draws one chart; every piece has its place from the chart's own arithmetic.
const chartPart = `{{define "chart"}}<svg role="img" aria-labelledby="{{.ID}}-title {{.ID}}-desc" viewBox="0 0 {{.Width}} {{.Height}}">
<title id="{{.ID}}-title">{{.Title}}</title><desc id="{{.ID}}-desc">{{.Desc}}</desc>
{{range .Marks}}{{if eq .Kind "line"}}<line class="{{.Class}}" x1="{{.X}}" y1="{{.Y}}" x2="{{.X2}}" y2="{{.Y2}}"/>
{{else if eq .Kind "dot"}}<circle class="{{.Class}}" cx="{{.X}}" cy="{{.Y}}" r="{{.Size}}"/>
{{else if eq .Kind "square"}}<rect class="{{.Class}}" x="{{.X}}" y="{{.Y}}" width="{{.Size}}" height="{{.Size}}"/>
{{else if eq .Kind "bar"}}<rect class="{{.Class}}" x="{{.X}}" y="{{.Y}}" width="{{.X2}}" height="{{.Y2}}"/>
{{else}}<text x="{{.X}}" y="{{.Y}}" text-anchor="{{.Anchor}}">{{.Text}}</text>
{{end}}{{end}}</svg>{{end}}`

var pageOf = page.Parse("report", chartPart+`<body>
<main>
<h1>{{.Client}}: what changed, and who must know</h1>
<p>Followed on {{.On}} ({{.Zone}}). Verdict: <strong>{{.Verdict}}</strong>.</p>
{{if .Because}}<ul>{{range .Because}}<li>{{.}}</li>{{end}}</ul>{{end}}
<h2>Who must know</h2>
{{if .Tells}}<table><caption>Most urgent first</caption>
<thead><tr><th scope="col">how soon</th><th scope="col">who</th><th scope="col">why</th><th scope="col">what to do</th></tr></thead>
<tbody>{{range .Tells}}<tr><td>{{.HowSoon}}</td><td>{{.Who}}</td><td>{{.Why}} ({{.Rule}})</td><td>{{.Do}}</td></tr>
{{end}}</tbody></table>
{{if .Closed}}<p>Training is closed. This entry of the client record closes it without the log too, and a clearance of a later day opens it: <code>{{.Closed}}</code></p>{{end}}
{{else}}<p>No rule about a log found anything.</p>{{end}}
{{if .Entered}}<h2>What the diary says</h2><ul>{{range .Entered}}<li>{{.}}</li>{{end}}</ul>{{end}}
{{if .Incidents}}<h2>Incidents</h2><ul>{{range .Incidents}}<li>{{.}}</li>{{end}}</ul>{{end}}
<h2>Pressure</h2>
{{with .Pressures}}<figure><figcaption>Home readings, mmHg: systolic full, diastolic open</figcaption>{{template "chart" .}}</figure>{{end}}
{{if .Windows}}<table><caption>The windows</caption>
<thead><tr><th scope="col">window</th><th scope="col">from</th><th scope="col">to</th><th scope="col">days</th><th scope="col">readings</th><th scope="col">mean mmHg</th><th scope="col">class</th><th scope="col">noise of the systolic mean</th></tr></thead>
<tbody>{{range .Windows}}<tr><th scope="row">{{.Which}}</th><td>{{.From}}</td><td>{{.To}}</td><td class="n">{{.Days}}</td><td class="n">{{.Readings}}</td><td class="n">{{.Mean}}</td><td>{{.Class}}</td><td>{{.Noise}}</td></tr>
{{end}}</tbody></table>{{end}}
{{if .Change}}<ul>{{range .Change}}<li>{{.}}</li>{{end}}</ul>{{end}}
{{if .Left}}<p>{{.Left}}</p>{{end}}
{{if .Days}}<table><caption>Daily means of home readings</caption>
<thead><tr><th scope="col">day</th><th scope="col">readings</th><th scope="col">systolic</th><th scope="col">diastolic</th></tr></thead>
<tbody>{{range .Days}}<tr><th scope="row">{{.Day}}</th><td class="n">{{.Readings}}</td><td class="n">{{.Systolic}}</td><td class="n">{{.Diastolic}}</td></tr>
{{end}}</tbody></table>{{else}}<p>There are no home readings.</p>{{end}}
<h2>Sessions</h2>
{{with .Done}}<figure><figcaption>Sessions by week: due open, done full</figcaption>{{template "chart" .}}</figure>{{end}}
{{if .Weeks}}<table><caption>Sessions by week</caption>
<thead><tr><th scope="col">week</th><th scope="col">due</th><th scope="col">done</th><th scope="col">stopped</th><th scope="col">gate shut</th><th scope="col">not done</th></tr></thead>
<tbody>{{range .Weeks}}<tr><th scope="row">{{.Week}}</th><td class="n">{{.Due}}</td><td class="n">{{.Done}}</td><td class="n">{{.Stopped}}</td><td class="n">{{.GateShut}}</td><td class="n">{{.Not}}</td></tr>
{{end}}</tbody></table>{{else}}<p>{{.Undone}}</p>{{end}}
{{if .Rows}}<h2>Rows that were left out or read otherwise</h2><ul>{{range .Rows}}<li>{{.}}</li>{{end}}</ul>{{end}}
<h2>Next</h2>
<p><strong>{{.Step}}</strong>: {{.Why}}</p>
{{if .Steps}}<ul>{{range .Steps}}<li>{{.}}</li>{{end}}</ul>{{end}}
{{if .Ways}}<ul>{{range .Ways}}<li>{{.Note}}{{if .Run}} <code>{{.Run}}</code>{{end}}</li>{{end}}</ul>{{end}}
<p>The coach decides. This page gives no medical advice.</p>
<h2>Cautions</h2>
<ul>{{range .Cautions}}<li>{{.}}</li>{{end}}</ul>
</main>
</body>
</html>
`)

type pageWindow struct {
	Which, From, To, Mean, Class, Noise string
	Days, Readings                      int
}

type pageDay struct {
	Day, Systolic, Diastolic string
	Readings                 int
}

type pageTell struct{ HowSoon, Who, Why, Do, Rule string }

// reportPage writes one HTML file with drawn charts and a table beside each.
func reportPage(w io.Writer, f Report) error {
	if err := report.CheckCautions(f.Cautions); err != nil {
		return err
	}
	d := struct {
		page.Head
		Client, On, Zone, Verdict, Closed, Left, Step, Why, Undone string
		Because, Entered, Incidents, Change, Rows, Steps, Cautions []string
		Tells                                                      []pageTell
		Windows                                                    []pageWindow
		Days                                                       []pageDay
		Weeks                                                      []progress.Week
		Ways                                                       []Command
		Pressures, Done                                            *chart
	}{Head: page.NewHead("en", f.Version, f.Client+": follow-up", reportStyle, ""), Client: f.Client, On: f.At.Date().String() + " " + f.At.Clock().String(), Zone: f.Zone,
		Verdict: string(f.Verdict), Because: f.Because, Change: changeWords(f.Followed), Left: leftWords(f.Followed), Step: string(f.Next.Step), Why: f.Next.Why,
		Steps: nextWords(f.Followed), Ways: f.Ways, Undone: "Nothing is known of what was done: that needs a plan and a session log."}
	for _, t := range f.Tells {
		d.Tells = append(d.Tells, pageTell{t.HowSoon, t.Who, tellWords(t), t.Do, t.Rule})
	}
	if c := f.Closing(); c != nil {
		d.Closed = conditionEntry(c.On)
	}
	for _, s := range diaryWords(f.Followed) {
		d.Entered = append(d.Entered, report.Clean(s))
	}
	for _, x := range f.Incidents {
		d.Incidents = append(d.Incidents, report.Clean(incidentWords(x)))
	}
	for _, x := range f.Windows {
		p := pageWindow{Which: x.Which, From: x.From.String(), To: x.To.String(), Days: x.Days, Readings: x.Readings, Mean: "none", Class: "none", Noise: "unknown"}
		if x.Readings > 0 {
			p.Mean, p.Class = pair(x.Systolic, x.Diastolic), fmt.Sprintf("%s (%s)", x.Class, x.Set)
		}
		if x.Noise != nil {
			p.Noise = fmt.Sprintf("%s to %s", x.Noise.Low.Text(1), x.Noise.High.Text(1))
		}
		d.Windows = append(d.Windows, p)
	}
	for _, x := range f.Days {
		d.Days = append(d.Days, pageDay{x.Date.String(), x.Systolic.Text(1), x.Diastolic.Text(1), x.Readings})
	}
	if f.Training != nil {
		if d.Weeks = f.Training.Weeks; f.Training.Partial {
			d.Undone = report.Sentence(partialWords(f.Training))
		}
	}
	for _, r := range f.Rows {
		d.Rows = append(d.Rows, report.Clean(fmt.Sprintf("%s:%d: %s", r.File, r.Line, r.Problem)))
	}
	for _, c := range f.Cautions {
		d.Cautions = append(d.Cautions, c.Text)
	}
	if c, ok := pressures(f.Followed); ok {
		d.Pressures = &c
	}
	if c, ok := done(f.Followed); ok {
		d.Done = &c
	}
	return pageOf().Execute(w, d)
}
