package testkit

import "isocue.example/compiler/record"

// Symptoms are some of schema/base/symptoms.cue, for rooms that read no file; compiler/symptoms_test.go reads all of them.
var Symptoms = []record.Symptom{
	{ID: "chest-pain", Words: []string{"chest pain", "tight chest"}, German: []string{"*brustschmerz*", "brust* *schmerz*", "brust* druck"}, Grave: true, Incident: true},
	{ID: "faint", Words: []string{"fainted", "passed out"}, German: []string{"ohnmacht*|ohnmächt*", "schwarz* aug*"}, Grave: true, Low: true, Incident: true},
	{ID: "severe-headache", Words: []string{"severe headache"}, German: []string{"stark* *kopfschmerz*"}, Milder: []string{"headache"}, Grave: true},
	{ID: "headache", Words: []string{"headache"}, German: []string{"*kopfschmerz*"}},
	{ID: "dizzy", Words: []string{"dizzy", "dizziness", "light-headed"}, German: []string{"*schwindel*|*schwindl*"}, Low: true},
	{ID: "breathlessness", Words: []string{"breathless"}, German: []string{"kein*+luft", "atemnot"}, Grave: true},
	{ID: "injury", Words: []string{"injured"}, Incident: true, Injury: true},
}

// LogWords are some of the words around them.
var LogWords = record.LogWords{Negations: []string{"no", "not", "never", "kein*", "nicht", "ohne", "weder", "weder noch"}, Near: []string{"kein*", "ohne"},
	Over: []string{"a", "had", "in", "der", "im"}, Or: []string{"or", "oder", "noch"}, Turns: []string{"but", "aber"}, Well: []string{"fine", "ok", "gut"},
	Ill: []string{"symptoms", "pain", "schmerz*"}, Small: []string{"felt", "a", "bit", "after", "then", "today", "my", "in", "all", "none", "mir", "ist", "und", "so", "nur", "mehr"}}
