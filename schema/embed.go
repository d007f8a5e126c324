// Package schema carries the language: the closed shapes of the files people write, the rule base, and the data that
// the program prints from. All of it is CUE; this file only embeds it.
//
// The language is definitions alone: names, units and physical span, never a clinical limit. Data (sources, questions, sitting, cautions,
// samples) stands in base. Every clinical limit stands in rules, in a file for each rule or family of rules.
package schema

import "embed"

// FS holds the language at its top, the data beside the rules under base, and the rule base under rules.
//
//go:embed *.cue base/*.cue rules/*.cue cue.mod/module.cue
var FS embed.FS

// Path is the import path by which a file of the author's names this package.
const Path = "isocue.example/schema"
