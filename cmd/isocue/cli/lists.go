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
	"isocue.example/compiler/report/judged"
	"isocue.example/compiler/rule"
	"isocue.example/compiler/zone"
)

// noRule names the rule that was probably meant.
func noRule(b *rule.Base, id string) error {
	ids := b.IDs()
	for _, x := range BeforeRules {
		ids = append(ids, x.ID)
	}
	return fmt.Errorf("%q is no rule%s; `isocue rules` lists them", id, near.Hint(id, ids))
}

func (a *app) rules() *cobra.Command {
	var about, modality, format, policy string
	c := &cobra.Command{
		Use: "rules", Short: "list the rules", Example: "  isocue rules --modality handgrip\n  isocue rules --about session --format json", Args: words(0, 0, "none"),
		RunE: func(*cobra.Command, []string) error {
			if err := textOrJSON(format); err != nil {
				return err
			}
			b, err := a.rulebase()
			if policy != "" && err == nil {
				var eng *compiler.Compiler
				if eng, err = a.under(policy); err == nil {
					b = eng.Check.Base
				}
			}
			if err != nil {
				return err
			}
			if err := noneOrOneOf("--about", about, b.Abouts()); err != nil {
				return err
			}
			if err := noneOrOneOf("--modality", modality, modalities()); err != nil {
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
			return judged.Rules.Write(a.out, format, out)
		},
	}
	c.Flags().StringVar(&about, "about", "", "only rules judged for each protocol, stage, programme, answer, medicine, measurement, dose, session or plan")
	c.Flags().StringVar(&modality, "modality", "", "only rules that can concern this modality")
	c.Flags().StringVar(&format, "format", "text", "text or json")
	c.Flags().StringVar(&policy, "policy", "", "a clinic's policy: its own rules are listed, and its limits stand in place of the base's")
	complete(c, "format", listFormats...)
	complete(c, "modality", modalities()...)
	completeBy(c, "about", completeAbouts)
	return c
}

func modalities() (out []string) {
	for _, m := range record.Modalities {
		out = append(out, string(m))
	}
	return out
}

// listFormats are the forms of a list.
var listFormats = []string{"text", "json"}

// textOrJSON refuses another form of a list.
func textOrJSON(format string) error { return oneOf("--format", format, listFormats) }

// oneOf refuses a word that is not among those allowed.
func oneOf(flag, word string, allowed []string) error {
	if slices.Contains(allowed, word) {
		return nil
	}
	return fmt.Errorf("%s is %q%s; allowed: %s", flag, word, near.Hint(word, allowed), orList(allowed))
}

// noneOrOneOf is oneOf for a flag that may be left out.
func noneOrOneOf(flag, word string, allowed []string) error {
	if word == "" {
		return nil
	}
	return oneOf(flag, word, allowed)
}

// orList joins words as a sentence does: a, b or c.
func orList(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " or " + words[len(words)-1]
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
				f, err := a.front().Open(eng, args[0], "standard-input")
				if err != nil {
					return err
				}
				return a.source(f)
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
	complete(c, "format", listFormats...)
	c.ValidArgsFunction = upTo(1, a.completeProtocols)
	return c
}

// source prints a protocol as its author wrote it. Any other file may hold what is not to be printed; one with control
// characters, at which a terminal would do things, is malformed.
func (a *app) source(f *load.File) error {
	switch {
	case f.Kind != load.IsProtocol:
		return fmt.Errorf("%s is %s, allowed here: a protocol", f.Name, f.Kind.Words())
	case len(f.Findings) > 0:
		return fmt.Errorf("%s is malformed, allowed here: a protocol that can be read; isocue lint says what is wrong", f.Name)
	}
	_, err := a.out.Write(f.Source)
	return err
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
				Version, b.Version, b.Len(), b.QuestionSet(), len(b.Questions()), zone.Version())
			return err
		},
	}
}

func (a *app) completion() *cobra.Command {
	shells := []string{"bash", "zsh", "fish", "powershell"}
	return &cobra.Command{
		Use: "completion bash|zsh|fish|powershell", Short: "print a completion script for a shell",
		Example: "  isocue completion bash > isocue.bash", Args: words(1, 1, "one shell: "+orList(shells)),
		ValidArgsFunction: upTo(1, fixed(shells)),
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
			return fmt.Errorf("%q is no shell we write for%s; allowed: %s", args[0], near.Hint(args[0], shells), orList(shells))
		},
	}
}
