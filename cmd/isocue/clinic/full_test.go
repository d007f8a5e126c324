//go:build full

package clinic

func init() { full = true }
