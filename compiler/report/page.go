package report

import (
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
)

// A page is one HTML file that needs nothing else: no script, no picture, no font, no network. Its policy allows its own
// style by digest and nothing more. Meaning is in words, shapes and line widths, never in a colour.

// pageStyle is what both pages share.
const pageStyle = `
html { background: #fff; color: #000; font: 11pt/1.35 sans-serif; }
body { margin: 0 auto; max-width: 50rem; padding: 1rem; }
h1 { font-size: 1.3rem; margin: 0 0 .5rem; }
h2 { font-size: 1.05rem; margin: 1.2rem 0 .4rem; }
p, ul, dl { margin: .4rem 0; }
li { margin: .2rem 0; }
table { border-collapse: collapse; margin: .4rem 0; }
caption { text-align: left; font-weight: bold; padding: .2rem 0; }
th, td { border: 1px solid #555; padding: .15rem .5rem; text-align: left; vertical-align: top; }
td.n { text-align: right; }
figure { margin: .6rem 0; }
figcaption { margin-bottom: .2rem; }
svg { display: block; width: 100%; height: auto; border: 1px solid #555; }
svg text { font: 11px sans-serif; fill: #000; }
.axis { stroke: #000; stroke-width: 1; }
.grid { stroke: #ccc; stroke-width: .5; }
.limit { stroke: #000; stroke-width: .8; stroke-dasharray: 6 4; }
.mean { stroke: #000; stroke-width: 3; }
.noise { stroke: #000; stroke-width: 1; }
.days { fill: none; stroke: #000; stroke-width: 1; }
.full { fill: #000; stroke: #000; }
.open { fill: #fff; stroke: #000; }
code { overflow-wrap: anywhere; }
`

// letterStyle makes the letter one printed page.
const letterStyle = pageStyle + `
@page { size: A4; margin: 18mm; }
@media print { html { font-size: 10.5pt; } body { padding: 0; max-width: none; } }
.slip { border-top: 1px dashed #000; margin-top: 1.2rem; padding-top: .6rem; }
.slip p { margin: .7rem 0; }
`

// reportStyle breaks printed pages between parts.
const reportStyle = pageStyle + `
@page { size: A4; margin: 15mm; }
@media print { body { padding: 0; max-width: none; } figure, tr { break-inside: avoid; } }
`

// pageHead opens every page; the generator tells isocue's own files from others'.
const pageHead = `<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="generator" content="isocue {{.Version}}">
<meta http-equiv="Content-Security-Policy" content="{{.Policy}}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{{.Title}}</title>
<style>{{.Style}}</style>
</head>
`

// head is what opens a page.
type head struct {
	Version, Title, Policy string
	Style                  template.CSS
}

func newHead(version, title, style string) head {
	sum := sha256.Sum256([]byte(style))
	return head{version, title, fmt.Sprintf("default-src 'none'; style-src 'sha256-%s'", base64.StdEncoding.EncodeToString(sum[:])), template.CSS(style)}
}

// pages are parsed once; they are ours, and an error in one is a defect of the program.
func page(name, body string) *template.Template {
	return template.Must(template.New(name).Parse(pageHead + body))
}

func execute(w io.Writer, t *template.Template, data any) error { return t.Execute(w, data) }
