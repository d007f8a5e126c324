package finding

import "strings"

// limits are the words by which a finding goes on to what is allowed.
var limits = []string{", allowed", "; allowed", ", usual: ", ", needed", ", and nothing opens training again"}

// Plain is what a finding says first: what was found, without what is allowed.
func Plain(message string) string {
	for _, l := range limits {
		if before, _, ok := strings.Cut(message, l); ok {
			message = before
		}
	}
	return message
}
