package followup

import (
	"cmp"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strings"

	"isocue.example/compiler/page"
	"isocue.example/compiler/progress"
	"isocue.example/compiler/report"
)

// Letter is a follow-up for the prescriber. It alone of all that is printed of a follow-up has the client's name.
type Letter struct {
	progress.Followed
	Name    string // the client's
	Version string // of the program
}

// Letters are the forms of a letter.
var Letters = report.Forms[Letter]{{Name: "text", Write: letterText}, {Name: "html", Write: letterPage}}

// letter is what a letter says, for both forms of it.
type letter struct {
	Client, Date, To, Name string
	Reason                 string
	Also, Averages, Doing  []string
	Cannot, Training, From string
	Slip                   []string
	Caution                string
}

// newLetter makes the letter. Whatever is said first is why it is written.
func newLetter(f Letter) (letter, error) {
	if err := report.CheckCautions(f.Cautions); err != nil {
		return letter{}, err
	}
	l := letter{Client: f.Client, Date: f.At.Date().String(), Name: cmp.Or(report.Clean(f.Name), "client "+f.Client), To: cmp.Or(report.Clean(f.Contacts.Prescriber), "the prescriber")}
	var why []string
	for _, t := range f.Tells {
		if t.Who == "prescriber" || t.Who == "emergency" {
			why = append(why, plainWhy(t.Why))
		}
	}
	if len(why) == 0 {
		why = append(why, standing(f.Followed))
	}
	l.Reason = fmt.Sprintf("I write about %s because %s.", l.Name, why[0])
	for _, s := range why[1:min(len(why), 3)] {
		l.Also = append(l.Also, upper(s)+".")
	}
	if len(why) > 3 {
		l.Also = append(l.Also, fmt.Sprintf("%d more points stand in the report.", len(why)-3))
	}
	if s := signs(f.Followed, why); s != "" {
		l.Also = append(l.Also, s)
	}
	l.entered(f.Followed, why)
	l.averages(f.Followed)
	l.Doing = doing(f.Followed)
	l.Cannot = "Readings do not tell what caused a change, whether and when tablets were taken, or the pressure in the clinic or over 24 hours."
	switch {
	case f.Closing() != nil:
		l.Training = "Training is stopped until you write that it may go on."
	case f.Entered != nil && len(f.Entered.Held) > 0:
		l.Training = "Training is held for now: " + report.Clean(f.Entered.Held[0].Says) + "."
	case f.Next.Step == progress.Finish && f.Entered != nil && f.Entered.Course != nil:
		l.Training = "The course has ended; " + progress.Asks(f.Entered.Course) + "."
	case f.Next.Step == progress.Finish:
		l.Training = "The course has ended; whether more follows is open."
	default:
		l.Training = "Training goes on unless you write otherwise."
	}
	l.From = "The coach"
	if c := report.Clean(f.Contacts.Coach); c != "" {
		l.From += ", " + c
	}
	l.Slip = []string{l.Name + " (" + f.Client + ")", "Training: may go on / waits until ____________",
		"Pressure to call at: ______ / ______ mmHg or over, under ______", "Remarks: ______________________________", "Name, date, signature: ______________________________"}
	for _, c := range f.Cautions {
		if c.ID == "medicine-unchanged" {
			l.Caution = "The client was told: " + c.Text
		}
	}
	if l.Caution == "" {
		return l, report.ErrNoCautions
	}
	return l, nil
}

// signs are the danger signs of the course that are no reason of the letter, the newest first. A clearance ends the alert; it does
// not say that whoever reads this letter has heard.
func signs(f progress.Followed, why []string) string {
	var seen []string
	for _, e := range slices.Backward(f.Events) {
		day := e.At.Date().String()
		said := func(w string) bool { return strings.Contains(w, day) && strings.Contains(w, e.What) }
		if !e.Grave || e.What == "" || f.Plan != nil && e.At.Date() < f.Plan.Start || slices.ContainsFunc(why, said) {
			continue
		}
		if s := e.What + " on " + day; !slices.Contains(seen, s) {
			seen = append(seen, s)
		}
	}
	switch n := len(seen) - mostSigns; {
	case len(seen) == 0:
		return ""
	case n > 0:
		return fmt.Sprintf("The logs of the course tell of %s, and of %d more.", strings.Join(seen[:mostSigns], "; "), n)
	}
	return fmt.Sprintf("The logs of the course tell of %s.", strings.Join(seen, "; "))
}

// entered says what the letter would else not name: readings that reached the line of the gate, also where what they closed is open
// again, and every medicine that changed meanwhile. It says no word of advice about either.
func (l *letter) entered(f progress.Followed, why []string) {
	high := slices.DeleteFunc(f.Reached(), func(s progress.Sitting) bool {
		return slices.ContainsFunc(why, func(w string) bool { return strings.Contains(w, s.At.Date().String()) })
	})
	if len(high) > 0 {
		l.Also = append(l.Also, upper(reachedWords(high, mostSigns))+".")
	}
	var said []string
	for i, m := range f.Medicines {
		if left := len(f.Medicines) - i; i == mostMedicines {
			said = append(said, fmt.Sprintf("%d more", left))
			break
		}
		said = append(said, report.Clean(m.Says))
	}
	if len(said) > 0 {
		l.Also = append(l.Also, "Medicine, as the coach was told: "+strings.Join(said, "; ")+".")
	}
}

// mostMedicines is how many changes of medicine a letter names: it is one page.
const mostMedicines = 4

// mostSigns is how many danger signs a letter names beside its reasons: it is one page.
const mostSigns = 3

// standing is the reason where no rule has one for the prescriber.
func standing(f progress.Followed) string {
	switch {
	case f.Next.Step == progress.Finish:
		return fmt.Sprintf("a course of home training ended on %s; the verdict on the home pressure is: %s", f.CourseEnd, f.Verdict)
	case f.Verdict == progress.NotEnough:
		return "home readings during a training course are not yet enough to compare"
	}
	return fmt.Sprintf("home pressure during a training course was followed up; the verdict is: %s", f.Verdict)
}

// allowedTail is the end of a rule's message, which says what is allowed.
var allowedTail = regexp.MustCompile(`[,;] ((?:allowed|usual|needed)[^:]*): (.*)$`)

// plainWhy is a rule's message as part of a sentence; that nothing of the kind is allowed goes without saying.
func plainWhy(s string) string {
	if m := allowedTail.FindStringSubmatch(s); m != nil && strings.HasPrefix(m[2], "none") {
		return allowedTail.ReplaceAllString(s, "")
	}
	return allowedTail.ReplaceAllString(s, " ($1: $2)")
}

func (l *letter) averages(f progress.Followed) {
	for _, w := range f.Windows {
		if w.Readings > 0 {
			l.Averages = append(l.Averages, fmt.Sprintf("%s, %s to %s: %s mmHg (%d readings, %d days)", w.Which, w.From, w.To, pair(w.Systolic, w.Diastolic), w.Readings, w.Days))
		}
	}
	if len(l.Averages) == 0 {
		l.Averages = append(l.Averages, "no readings that can be averaged")
	}
	c := f.Change
	if c == nil {
		return
	}
	l.Averages = append(l.Averages,
		fmt.Sprintf("change: %s systolic; %s to %s, because such means of one person differ by up to %s by themselves: %s", plusMinus(c.Systolic), plusMinus(c.Low), plusMinus(c.High), c.Limit.Text(1), f.Verdict))
	if f.Verdict == progress.NotComparable && len(f.Because) > 0 {
		l.Averages = append(l.Averages, "not comparable: "+f.Because[0])
	}
	if c.Selected != nil && f.Verdict != progress.NotComparable && c.Systolic.Sign() < 0 {
		l.Averages = append(l.Averages, fmt.Sprintf("if the baseline was chosen because it was high, about %s could come from that choice alone (assumed: a usual mean of %s; %s of the distance to it remains)", mmHg(*c.Selected), f.Figures.AssumedMean, f.Figures.Remains))
	}
}

// doing is what the client does, in plain words.
func doing(f progress.Followed) []string {
	out := progress.Doing(f.Plan, f.At)
	if len(out) == 0 {
		return []string{"home training; the plan was not at hand"}
	}
	for i := range out {
		out[i] = report.Clean(out[i])
	}
	if f.Training != nil && f.Training.Due > 0 {
		out = append(out, fmt.Sprintf("%d of %d sessions done", f.Training.Done, f.Training.Due))
	}
	if f.Training != nil && f.Training.Partial {
		out = append(out, fmt.Sprintf("%d sessions done, as far as the diary tells", f.Training.Done))
	}
	return out
}

func upper(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

func letterText(w io.Writer, f Letter) error {
	l, err := newLetter(f)
	if err != nil {
		return err
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%s, to %s\n\n%s\n", l.Date, l.To, l.Reason)
	for _, s := range l.Also {
		fmt.Fprintf(&b, "%s\n", s)
	}
	fmt.Fprintf(&b, "\nHome pressure, seated:\n")
	for _, s := range l.Averages {
		fmt.Fprintf(&b, "- %s\n", s)
	}
	fmt.Fprintf(&b, "\nAt home the client:\n")
	for _, s := range l.Doing {
		fmt.Fprintf(&b, "- %s\n", s)
	}
	fmt.Fprintf(&b, "\n%s\n%s\n%s\n\n%s\n\n---- please return ----\n", l.Cannot, l.Caution, l.Training, l.From)
	for _, s := range l.Slip {
		fmt.Fprintf(&b, "%s\n", s)
	}
	fmt.Fprintf(&b, "\nWritten by isocue %s\n", f.Version)
	_, err = io.WriteString(w, b.String())
	return err
}

var letterOf = page.Parse("letter", `<body>
<main>
<p>{{.Date}}, to {{.To}}</p>
<h1>{{.Reason}}</h1>
{{range .Also}}<p>{{.}}</p>
{{end}}<h2>Home pressure, seated</h2>
<ul>{{range .Averages}}<li>{{.}}</li>{{end}}</ul>
<h2>At home the client</h2>
<ul>{{range .Doing}}<li>{{.}}</li>{{end}}</ul>
<p>{{.Cannot}}</p>
<p>{{.Caution}}</p>
<p>{{.Training}}</p>
<p>{{.From}}</p>
<section class="slip" aria-label="reply slip">
<h2>Please return</h2>
{{range .Slip}}<p>{{.}}</p>
{{end}}</section>
</main>
</body>
</html>
`)

// letterPage writes one HTML file that prints on one A4 page.
func letterPage(w io.Writer, f Letter) error {
	l, err := newLetter(f)
	if err != nil {
		return err
	}
	return letterOf().Execute(w, struct {
		page.Head
		letter
	}{page.NewHead("en", f.Version, "Letter to the prescriber, "+f.Client, letterStyle, ""), l})
}
