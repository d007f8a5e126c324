package cli

import (
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"isocue.example/compiler/finding"
	"isocue.example/compiler/rule"
)

// complete tells shells the words that a flag allows.
func complete(c *cobra.Command, flag string, words ...string) {
	completeBy(c, flag, fixed(words))
}

// fixed offers words, and no file.
func fixed(words []string) cobra.CompletionFunc {
	return cobra.FixedCompletions(words, cobra.ShellCompDirectiveNoFileComp)
}

// completeBy tells shells how to find the words that a flag allows.
func completeBy(c *cobra.Command, flag string, find cobra.CompletionFunc) {
	if err := c.RegisterFlagCompletionFunc(flag, begun(find)); err != nil {
		panic(finding.Bug{What: err.Error()})
	}
}

// completeProtocols offers the standard protocols with their titles; where none fits, a shell offers files.
func (a *app) completeProtocols(*cobra.Command, []string, string) (out []string, _ cobra.ShellCompDirective) {
	eng := a.engine()
	for _, id := range eng.StandardIDs() {
		out = append(out, id+"\t"+eng.Standard(id).Protocols[0].Record.Title)
	}
	return out, cobra.ShellCompDirectiveDefault
}

// completeRules offers the rules with what they claim.
func completeRules(*cobra.Command, []string, string) (out []string, _ cobra.ShellCompDirective) {
	b, err := rule.Load()
	if err != nil {
		return nil, cobra.ShellCompDirectiveError
	}
	for _, r := range b.All() {
		out = append(out, r.ID+"\t"+r.Title)
	}
	for _, x := range BeforeRules {
		out = append(out, x.ID+"\t"+x.Asks)
	}
	return out, cobra.ShellCompDirectiveNoFileComp
}

// completeAbouts offers what rules are about.
func completeAbouts(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	b, err := rule.Load()
	if err != nil {
		return nil, cobra.ShellCompDirectiveError
	}
	return b.Abouts(), cobra.ShellCompDirectiveNoFileComp
}

// upTo offers words for the first n arguments alone.
func upTo(n int, find cobra.CompletionFunc) cobra.CompletionFunc {
	return begun(func(c *cobra.Command, args []string, word string) ([]string, cobra.ShellCompDirective) {
		if len(args) >= n {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		return find(c, args, word)
	})
}

// begun keeps the words that go on as the one at hand began. Shells do it too; one that found no word then offers files.
func begun(find cobra.CompletionFunc) cobra.CompletionFunc {
	return func(c *cobra.Command, args []string, word string) ([]string, cobra.ShellCompDirective) {
		out, d := find(c, args, word)
		return slices.DeleteFunc(slices.Clone(out), func(s string) bool { return !strings.HasPrefix(s, word) }), d
	}
}
