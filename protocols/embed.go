// Package protocols carries the standard protocols, one CUE file each, named by its id.
package protocols

import "embed"

// FS holds <id>.cue for every standard protocol.
//
//go:embed *.cue
var FS embed.FS
