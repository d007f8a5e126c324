// Package page opens the HTML pages that the program writes: report, letter, sheet, session page, form for a first visit.
//
// A page is one file that needs nothing else and asks for nothing: no picture, no font, no network. Its policy allows its own
// style, and its own script where it has one, by digest and nothing more, so that a browser holds it to that.
package page

import (
	"crypto/sha256"
	"encoding/base64"
	"html/template"
	"sync"
)

// Head is what opens a page. The data of every template that Parse makes embeds one.
type Head struct {
	Tag, Version, Title, Policy string // the language (BCP 47), the program's version, the title, the policy
	Dark                        bool   // the style has a dark half
	Style                       template.CSS
	Script                      template.JS
}

// NewHead makes a head; script is "" for a page that runs nothing.
func NewHead(tag, version, title, style, script string) Head {
	policy := "default-src 'none'; style-src " + digest(style)
	if script != "" {
		policy += "; script-src " + digest(script)
	}
	return Head{Tag: tag, Version: version, Title: title, Policy: policy + "; base-uri 'none'; form-action 'none'",
		Style: template.CSS(style), Script: template.JS(script)}
}

func digest(s string) string {
	sum := sha256.Sum256([]byte(s))
	return "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
}

// head is the text of a Head; the generator tells isocue's own files from others'.
const head = `<!DOCTYPE html>
<html lang="{{.Tag}}">
<head>
<meta charset="utf-8">
<meta name="generator" content="isocue {{.Version}}">
<meta http-equiv="Content-Security-Policy" content="{{.Policy}}">
<meta name="viewport" content="width=device-width, initial-scale=1">
{{if .Dark}}<meta name="color-scheme" content="light dark">
{{end}}<title>{{.Title}}</title>
<style>{{.Style}}</style>
</head>
`

// Parse makes the template of a page from its body, when it is first asked for: most runs write no page. Bodies are the program's own:
// an error in one is a defect, and panics.
func Parse(name, body string) func() *template.Template {
	return sync.OnceValue(func() *template.Template { return template.Must(template.New(name).Parse(head + body)) })
}
