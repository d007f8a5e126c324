//go:build full

package files

func init() { full = true }
