//go:build full

package unit

func init() { full = true }
