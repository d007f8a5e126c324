//go:build full

package load

func init() { full = true }
