//go:build full

package ledger

func init() { full = true }
