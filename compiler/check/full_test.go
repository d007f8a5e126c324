//go:build full

package check_test

func init() { full = true }
