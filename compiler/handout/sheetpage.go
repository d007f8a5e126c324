package handout

import (
	_ "embed"
	"html/template"
)

//go:embed page/sheet.css
var sheetStyle string

//go:embed page/sheet.html
var sheetBody string

var sheetPage = template.Must(template.New("sheet").Parse(pageHead + sheetBody))
