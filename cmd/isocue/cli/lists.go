package cli

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"isocue.example/compiler"
	"isocue.example/compiler/load"
	"isocue.example/compiler/near"
	"isocue.example/compiler/record"
	"isocue.example/compiler/report"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/zone"
)

func (a *app) explain() *cobra.Command {
	c := &cobra.Command{
		Use: "explain RULE", Short: "say what a rule claims, why, and on which sources",
		Example: "  isocue explain grip-load-ceiling", Args: words(1, 1, "one rule"),
		RunE: func(_ *cobra.Command, args []string) error {
			b, err := a.rulebase()
			if err != nil {
				return err
			}
			r := b.Rule(args[0])
			if old, gone := b.RetiredRule(args[0]); r == nil && gone {
				return report.ExplainRetired(a.out, b, old)
			}
			if r == nil {
				ids := b.IDs()
				for _, x := range BeforeRules {
					if x.ID == args[0] {
						_, err := fmt.Fprintf(a.out, "%s: %s\n\nverdict  %s\n", x.ID, x.Asks, x.Verdict)
						return err
					}
					ids = append(ids, x.ID)
				}
				return fmt.Errorf("%q is no rule%s; `isocue rules` lists them", args[0], near.Hint(args[0], ids))
			}
			return report.Explain(a.out, b, r)
		},
	}
	c.ValidArgsFunction = func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		var ids []string
		if b, err := a.rulebase(); err == nil {
			for _, r := range b.All() {
				ids = append(ids, r.ID+"\t"+r.Title)
			}
		}
		return ids, cobra.ShellCompDirectiveNoFileComp
	}
	return c
}

// BeforeRules are the findings that are told before any rule is judged: no file of the rule base makes them.
var BeforeRules = []struct{ ID, Asks, Verdict string }{
	{load.Unreadable, fmt.Sprintf("a file is text in UTF-8, without errors of syntax, of at most %d bytes", load.MaxBytes), "malformed, told by the reader before any rule is judged"},
	{load.DataOnly, "a file is data: fields, lists and plain values, nothing that computes", "malformed, told by the reader before any rule is judged"},
	{load.Shape, "a file has the fields, units and physical spans that docs/fields.md lists, and no others", "malformed, told by the reader before any rule is judged"},
	{compiler.PolicyRule, "a clinic's policy only narrows, and its own rules are written like those of the rule base", "malformed"},
	{Recalled, "a plan by which a client trains is still allowed by the rules, the policy and the waivers of now", "that of the gravest finding about the plan"},
	{AcceptedBefore, "what the ledger says was accepted is not refused now", "caution, beside the findings that refuse"},
	{SchemaCopy, "the schema copy of a clinic's folder is that of the program, so that the editor and isocue agree", "caution"},
	{compiler.WaiverRule, "a waiver is signed by one of the policy's reviewers, for a finding that may be waived and that stands", "malformed, or caution where it is void, expired or unused"},
}

func (a *app) rules() *cobra.Command {
	var about, modality, format string
	c := &cobra.Command{
		Use: "rules", Short: "list the rules", Example: "  isocue rules --modality handgrip\n  isocue rules --about session --format json", Args: words(0, 0, "none"),
		RunE: func(*cobra.Command, []string) error {
			if err := textOrJSON(format); err != nil {
				return err
			}
			b, err := a.rulebase()
			if err != nil {
				return err
			}
			if err := oneOf("--about", about, b.Abouts()); err != nil {
				return err
			}
			if err := oneOf("--modality", modality, modalities()); err != nil {
				return err
			}
			var out []*rule.Rule
			for _, r := range b.All() {
				if (about == "" || r.About == about) && (modality == "" || r.MayConcern(record.Modality(modality))) {
					out = append(out, r)
				}
			}
			if len(out) == 0 {
				return fmt.Errorf("no rule matches --about %q --modality %q; allowed: --about %s; --modality %s", about, modality,
					strings.Join(b.Abouts(), ", "), strings.Join(modalities(), ", "))
			}
			if format == "json" {
				return report.RulesJSON(a.out, out)
			}
			return report.RulesText(a.out, out)
		},
	}
	c.Flags().StringVar(&about, "about", "", "only rules judged for each protocol, stage, programme, answer, medicine, measurement, dose, session or plan")
	c.Flags().StringVar(&modality, "modality", "", "only rules that can concern this modality")
	c.Flags().StringVar(&format, "format", "text", "text or json")
	return c
}

func modalities() (out []string) {
	for _, m := range record.Modalities {
		out = append(out, string(m))
	}
	return out
}

// textOrJSON refuses another form of findings and lists.
func textOrJSON(format string) error {
	if format != "text" && format != "json" {
		return fmt.Errorf("--format is %q, allowed: text or json", format)
	}
	return nil
}

// oneOf refuses a word that is not among those allowed; no word at all asks for everything.
func oneOf(flag, word string, allowed []string) error {
	if word == "" || slices.Contains(allowed, word) {
		return nil
	}
	return fmt.Errorf("%s is %q%s; allowed: %s", flag, word, near.Hint(word, allowed), strings.Join(allowed, ", "))
}

func (a *app) protocols() *cobra.Command {
	var format string
	c := &cobra.Command{
		Use: "protocols [ID]", Short: "list the standard protocols, or print one's source to copy and edit",
		Example: "  isocue protocols\n  isocue protocols handgrip-alternating > ours.cue", Args: words(0, 1, "one protocol or none"),
		RunE: func(_ *cobra.Command, args []string) error {
			if err := textOrJSON(format); err != nil {
				return err
			}
			eng := a.engine()
			if len(args) == 1 {
				f, err := a.open(eng, args[0], "")
				if err != nil {
					return err
				}
				_, err = a.out.Write(f.Source)
				return err
			}
			type row struct {
				ID       string          `json:"id"`
				Title    string          `json:"title"`
				Modality record.Modality `json:"modality"`
				Revision int             `json:"revision"`
			}
			rows := []row{}
			for _, id := range eng.StandardIDs() {
				p := eng.Standard(id).Protocols[0].Record
				rows = append(rows, row{p.ID, p.Title, p.Modality, p.Revision})
			}
			if format == "json" {
				return report.Indented(a.out, map[string]any{"version": 1, "protocols": rows})
			}
			for _, r := range rows {
				if _, err := fmt.Fprintf(a.out, "%-28s  %-14s  %s\n", r.ID, r.Modality, r.Title); err != nil {
					return err
				}
			}
			return nil
		},
	}
	c.Flags().StringVar(&format, "format", "text", "text or json")
	c.ValidArgsFunction = a.completeProtocols
	return c
}

func (a *app) completeProtocols(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	return a.engine().StandardIDs(), cobra.ShellCompDirectiveDefault
}

func (a *app) version() *cobra.Command {
	return &cobra.Command{
		Use: "version", Short: "print the versions of program, rule base, schema and zone data", Example: "  isocue version", Args: words(0, 0, "none"),
		RunE: func(*cobra.Command, []string) error {
			b, err := a.rulebase()
			if err != nil {
				return err
			}
			_, err = fmt.Fprintf(a.out, "isocue %s\nrule base %s, %d rules\nquestion set %d, %d questions\nzone data %s\n",
				Version, b.Version, b.Len(), b.QuestionSet, len(b.Questions), zone.Version())
			return err
		},
	}
}

func (a *app) completion() *cobra.Command {
	return &cobra.Command{
		Use: "completion bash|zsh|fish|powershell", Short: "print a completion script for a shell",
		Example: "  isocue completion bash > isocue.bash", Args: words(1, 1, "one shell: bash, zsh, fish or powershell"), ValidArgs: []string{"bash", "zsh", "fish", "powershell"},
		RunE: func(c *cobra.Command, args []string) error {
			switch args[0] {
			case "bash":
				return c.Root().GenBashCompletionV2(a.out, true)
			case "zsh":
				return c.Root().GenZshCompletion(a.out)
			case "fish":
				return c.Root().GenFishCompletion(a.out, true)
			case "powershell":
				return c.Root().GenPowerShellCompletionWithDesc(a.out)
			}
			return fmt.Errorf("%q is no shell we write for, allowed: bash, zsh, fish or powershell", args[0])
		},
	}
}
