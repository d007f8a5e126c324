package compiler

import (
	"fmt"
	"slices"
	"strings"
	"sync"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/load"
	"isocue.example/compiler/near"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/tree"
	"isocue.example/compiler/unit"
)

// WaiverRule is the rule id of findings about waivers.
const WaiverRule = "waiver"

// Waivers is a clinic's signed acceptances. Each stands for one out-of-evidence finding about a protocol's dose: one rule, one
// place, one value, one revision, until a date. Nothing else can be waived, and a waived finding stays in sight.
type Waivers struct {
	file      *load.File
	reviewers []string
	signing   rule.Signing

	mu     sync.Mutex
	judged map[string]bool // protocols seen in this run
	used   map[*tree.Node]bool
	void   map[*tree.Node]string // why a waiver that names a finding is not valid
}

// NewWaivers reads a waivers file beside the policy that names the reviewers; policy may be nil. Findings that reject mean
// that no waiver of the file may be used.
func (c *Compiler) NewWaivers(f, policy *load.File) (*Waivers, []finding.Finding) {
	w := &Waivers{file: f, signing: c.Check.Base.Signing, judged: map[string]bool{}, used: map[*tree.Node]bool{}, void: map[*tree.Node]string{}}
	fs := append([]finding.Finding(nil), f.Findings...)
	if f.Kind != load.IsWaivers {
		return w, append(fs, notWaiver(f, f.Node, fmt.Sprintf("file is %s, allowed here: waivers", f.Kind.Words()), "name the clinic's waivers"))
	}
	if finding.Rejected(fs) {
		return w, fs
	}
	if policy != nil {
		for _, r := range policy.Node.Get("reviewers").Items() {
			w.reviewers = append(w.reviewers, r.Text())
		}
		if n := policy.Node.Get("options", "waiverMonths"); n != nil {
			w.signing.Months = n.Whole()
		}
	}
	for i, n := range f.Node.Get("waivers").Items() {
		fs = append(fs, w.term(n)...)
		if first := slices.IndexFunc(f.Node.Get("waivers").Items()[:i], func(o *tree.Node) bool { return sameWaiver(o, n) }); first >= 0 {
			fs = append(fs, notWaiver(f, n, fmt.Sprintf("%s is waivers[%d] once more: the same value of the same rule at the same place, allowed: one waiver", n.Path(), first), "remove one of the two"))
		}
		r := c.Check.Base.Rule(n.Get("rule").Text())
		switch by := n.Get("by"); {
		case !slices.Contains(w.reviewers, by.Text()):
			who, remedy := "a reviewer of the policy ("+strings.Join(w.reviewers, ", ")+")", "have a reviewer of the policy sign it"
			if len(w.reviewers) == 0 {
				who, remedy = "a reviewer of the policy, which names none", "name the clinic's reviewers under reviewers in policy.cue, and have one of them sign"
			}
			fs = append(fs, notWaiver(f, by, fmt.Sprintf("%s is %s, allowed: %s", by.Path(), by.Raw, who), remedy))
		case r == nil:
			fate := "is no rule" + near.Hint(n.Get("rule").Text(), c.Check.Base.IDs())
			if old, ok := c.Check.Base.RetiredRule(n.Get("rule").Text()); ok {
				fate = old.Fate()
			}
			fs = append(fs, notWaiver(f, n.Get("rule"), fmt.Sprintf("%s is %s, which %s", n.Get("rule").Path(), n.Get("rule").Raw, fate), "write the rule that stands in brackets behind the finding, or take the waiver out"))
		case r.Verdict != finding.OutOfEvidence || (r.About != "protocol" && r.About != "stage"):
			what := "about the client"
			if r.Verdict != finding.OutOfEvidence {
				what = string(r.Verdict)
			}
			fs = append(fs, notWaiver(f, n.Get("rule"), fmt.Sprintf("%s is %s, which is %s, allowed: a rule that is out-of-evidence about a protocol's dose", n.Get("rule").Path(), r.ID, what),
				"take the waiver out: nobody can sign for this; change the protocol, or have a clinician open a health gate by a clearance"))
		}
	}
	return w, finding.Sort(fs)
}

// term holds a waiver's dates to each other and to the longest term.
func (w *Waivers) term(n *tree.Node) []finding.Finding {
	from, to := dates(n)
	longest := unit.DateOf(from.Time().AddDate(0, w.signing.Months, 0))
	switch until := n.Get("until"); {
	case to < from:
		return []finding.Finding{notWaiver(w.file, until, fmt.Sprintf("%s is %s, before the waiver's date of %s", until.Path(), to, from), "write the last day on which it stands")}
	case to > longest:
		return []finding.Finding{notWaiver(w.file, until, fmt.Sprintf("%s is %s, allowed: at most %d months from %s, until %s", until.Path(), to, w.signing.Months, from, longest),
			fmt.Sprintf("write until: %q, and have it signed anew then", longest))}
	}
	return nil
}

// dates are the first and the last day of a waiver, which the loader has checked.
func dates(n *tree.Node) (from, until unit.Date) {
	from, _ = unit.ParseDate(n.Get("date").Text())
	until, _ = unit.ParseDate(n.Get("until").Text())
	return from, until
}

// sameWaiver says whether two waivers are about one value, whoever signed them.
func sameWaiver(a, b *tree.Node) bool {
	for _, k := range []string{"protocol", "rule", "path"} {
		if a.Get(k).Text() != b.Get(k).Text() {
			return false
		}
	}
	return a.Get("revision").Whole() == b.Get("revision").Whole() && sameValue(a.Get("found"), b.Get("found").Raw)
}

// File is the name of the file that the waivers stand in.
func (w *Waivers) File() string { return w.file.Name }

func notWaiver(f *load.File, n *tree.Node, msg, remedy string) finding.Finding {
	x := wrong(f.Name, n, msg, remedy)
	x.Rule, x.Rationale = WaiverRule, "An exception that nobody may sign, or that nobody can tell from another, protects no one."
	return x
}

// apply marks the findings that a waiver forgives on a day. What such a finding stood in for is told then, and needs a waiver of its
// own.
func (w *Waivers) apply(fs []finding.Finding, protocol string, today unit.Date) (out []finding.Finding) {
	if w == nil {
		return fs
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	w.judged[protocol] = true
	for _, f := range fs {
		out = append(out, w.forgive(f, today)...)
	}
	return out
}

// forgive is a finding, waived where a waiver stands for it, and then what is behind it.
func (w *Waivers) forgive(f finding.Finding, today unit.Date) []finding.Finding {
	var back []finding.Finding
	for _, n := range w.file.Node.Get("waivers").Items() {
		if f.Verdict != finding.OutOfEvidence || n.Get("protocol").Text() != f.Protocol || n.Get("rule").Text() != f.Rule || n.Get("path").Text() != f.Path {
			continue
		}
		from, until := dates(n)
		switch {
		case n.Get("revision").Whole() != f.Revision:
			w.void[n] = fmt.Sprintf("is void: it was signed for revision %d, the protocol is revision %d", n.Get("revision").Whole(), f.Revision)
		case !sameValue(n.Get("found"), f.Found):
			w.void[n] = fmt.Sprintf("is void: it was signed for %s, found %s", n.Get("found").Raw, f.Found)
		case today < from:
			w.void[n] = fmt.Sprintf("is not valid before %s", from)
		case until < today:
			w.void[n] = fmt.Sprintf("expired on %s", until)
		default:
			w.used[n] = true
			back = append(back, f.Waive(finding.Waiver{By: n.Get("by").Text(), Date: from.String(), Until: until.String(), Reason: n.Get("reason").Text()})...)
		}
	}
	out := []finding.Finding{f}
	for _, b := range back {
		out = append(out, w.forgive(b, today)...)
	}
	return out
}

func sameValue(n *tree.Node, found string) bool {
	if n.Kind == tree.Number {
		d, err := unit.ParseDec(found)
		return err == nil && d.Cmp(n.Num) == 0
	}
	return n.Kind == tree.Text && n.Str == found || n.Raw == found
}

// Report says which waivers of the protocols judged so far are void, expired, unused or about to end, as cautions: somebody should clear
// them away, or sign anew. With known, the ids of all protocols that there are, a waiver for another one is malformed.
func (w *Waivers) Report(today unit.Date, known []string) (fs []finding.Finding) {
	if w == nil {
		return nil
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	for _, n := range w.file.Node.Get("waivers").Items() {
		id := n.Get("protocol").Text()
		if known != nil && !w.judged[id] && !slices.Contains(known, id) {
			fs = append(fs, notWaiver(w.file, n.Get("protocol"), fmt.Sprintf("%s is %s, which is no protocol here and none of the standard ones%s", n.Get("protocol").Path(), n.Get("protocol").Raw,
				near.Hint(id, known)), "name the protocol, or remove the waiver"))
			continue
		}
		_, until := dates(n)
		soon := w.used[n] && int(until-today) <= w.signing.Notice
		if !w.judged[id] || w.used[n] && !soon {
			continue
		}
		why, then := w.void[n], "take it out, or have a reviewer sign a new one"
		if soon {
			why, then = fmt.Sprintf("ends on %s, in %d days", until, int(until-today)), "have a reviewer sign it anew, or change the protocol"
		}
		if why == "" {
			why = fmt.Sprintf("is not needed: %s finds nothing at %s", n.Get("rule").Text(), n.Get("path").Text())
		}
		f := notWaiver(w.file, n, "the waiver for "+n.Get("protocol").Text()+" "+why, then)
		f.Verdict = finding.Caution
		fs = append(fs, f)
	}
	return finding.Sort(fs)
}
