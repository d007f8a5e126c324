// Package schema carries the language: the closed shapes of the files people write, the rule base, and the data that
// the program prints from. All of it is CUE; this file only embeds it.
//
// A file with a #Definition says a shape: names, units and physical span, never a clinical limit. A file of plain
// fields (sources, questions, sitting, cautions, samples) is data. Every clinical limit stands in rules, a file for each rule or family of rules.
package schema

import "embed"

// FS holds the schema package at its top and the rule base under rules.
//
//go:embed *.cue rules/*.cue cue.mod/module.cue
var FS embed.FS

// Path is the import path by which a file of the author's names this package.
const Path = "isocue.example/schema"
