package cli

import (
	"github.com/spf13/cobra"

	"isocue.example/compiler/finding"
)

// complete tells shells the words that a flag allows.
func complete(c *cobra.Command, flag string, words ...string) {
	if err := c.RegisterFlagCompletionFunc(flag, cobra.FixedCompletions(words, cobra.ShellCompDirectiveNoFileComp)); err != nil {
		panic(finding.Bug{What: err.Error()})
	}
}
