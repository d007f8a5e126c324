//go:build full

package main

func init() { full = true }
