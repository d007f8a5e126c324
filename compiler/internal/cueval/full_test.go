//go:build full

package cueval

func init() { full = true }
