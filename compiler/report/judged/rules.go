package judged

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"isocue.example/compiler/report"
	"isocue.example/compiler/rule"
)

type jsonRule struct {
	ID        string                 `json:"id"`
	Title     string                 `json:"title"`
	About     string                 `json:"about"`
	Verdict   string                 `json:"verdict"`
	When      string                 `json:"when"`
	Limit     map[string]json.Number `json:"limit"`
	Rationale string                 `json:"rationale"`
	Remedy    string                 `json:"remedy"`
	Sources   []string               `json:"sources"`
	Tell      *jsonTellOf            `json:"tell,omitempty"` // of a rule about a log
	Since     string                 `json:"since"`
}

type jsonTellOf struct {
	Who     string `json:"who"`
	HowSoon string `json:"howSoon"`
}

// Rules are the forms of a list of rules.
var Rules = report.Forms[[]*rule.Rule]{{Name: "text", Write: rulesText}, {Name: "json", Write: rulesJSON}}

func rulesJSON(w io.Writer, rs []*rule.Rule) error {
	out := struct {
		Version int        `json:"version"`
		Rules   []jsonRule `json:"rules"`
	}{1, []jsonRule{}}
	for _, r := range rs {
		j := jsonRule{r.ID, r.Title, r.About, string(r.Verdict), r.WhenText, map[string]json.Number{}, r.Rationale, r.Remedy, r.Sources, nil, r.Since}
		if r.Tell.Who != "" {
			j.Tell = &jsonTellOf{r.Tell.Who, r.Tell.HowSoon}
		}
		for k, n := range r.Limit {
			j.Limit[k] = json.Number(n.Num.String())
		}
		out.Rules = append(out.Rules, j)
	}
	return report.Indented(w, out)
}

// rulesText lists rules, one a line.
func rulesText(w io.Writer, rs []*rule.Rule) error {
	width := 0
	for _, r := range rs {
		width = max(width, len(r.ID))
	}
	for _, r := range rs {
		if _, err := fmt.Fprintf(w, "%-*s  %-15s  %s\n", width, r.ID, r.Verdict, r.Title); err != nil {
			return err
		}
	}
	return nil
}

// Explain prints a rule's page for a terminal.
func Explain(w io.Writer, b *rule.Base, r *rule.Rule) error {
	var s strings.Builder
	fmt.Fprintf(&s, "%s: %s\n\n", r.ID, r.Title)
	fmt.Fprintf(&s, "verdict  %s, judged for each %s, since %s\n", r.Verdict, r.About, r.Since)
	for _, l := range r.Limits {
		fmt.Fprintf(&s, "limit    %s %s\n", l, r.Limit[l].Raw)
	}
	for _, m := range b.Moves(r.ID) {
		fmt.Fprintf(&s, "moved    %s %s to %s in %s (%s): %s\n", m.Limit, m.Old, m.New, m.Version, m.Date, m.Why)
	}
	if r.Tell.Who != "" {
		fmt.Fprintf(&s, "tell     %s, %s\n", r.Tell.Who, r.Tell.HowSoon)
	}
	if r.Ours() != "" {
		fmt.Fprintf(&s, "ours     %s\n", report.Clean(r.Ours()))
	}
	fmt.Fprintf(&s, "fix      %s\n", r.Remedy)
	fmt.Fprintf(&s, "why      %s\n", r.Rationale)
	for i, k := range r.Sources {
		head := "sources  "
		if i > 0 {
			head = "         "
		}
		src := b.Sources()[k]
		fmt.Fprintf(&s, "%s%s: %s [%s]\n", head, k, src.Cite(), SeenWords(src))
		if src.Figures != "" {
			fmt.Fprintf(&s, "           %s\n", src.Figures)
		}
	}
	if len(r.Milder) > 0 {
		fmt.Fprintf(&s, "silences %s\n", strings.Join(r.Milder, ", "))
	}
	_, err := io.WriteString(w, s.String())
	return err
}

// ExplainRetired prints the page of a rule that is no longer in the base, and points on.
func ExplainRetired(w io.Writer, b *rule.Base, r rule.Retired) error {
	var s strings.Builder
	fmt.Fprintf(&s, "%s: %s\n\n", r.ID, r.Title)
	fmt.Fprintf(&s, "verdict  none: the rule %s\n", r.Fate())
	fmt.Fprintf(&s, "why      %s\n", r.Why)
	for _, id := range r.By {
		title := ""
		if now := b.Rule(id); now != nil {
			title = now.Title
		} else if also, ok := b.RetiredRule(id); ok {
			title = also.Title + "; it " + also.Fate()
		}
		fmt.Fprintf(&s, "now      %s: %s\n", id, title)
	}
	if len(r.By) > 0 {
		fmt.Fprintf(&s, "see      isocue explain %s\n", r.By[0])
	}
	_, err := io.WriteString(w, s.String())
	return err
}

// SeenWords says how far a source was read.
func SeenWords(s rule.Source) string {
	switch {
	case s.Unpublished():
		return s.Kind
	case s.Seen == "read":
		return s.Kind + ", figures read"
	case s.Seen == "secondary":
		return s.Kind + ", figures read on a page that reports it"
	}
	return s.Kind + ", figures from memory"
}
