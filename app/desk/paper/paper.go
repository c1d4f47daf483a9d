// Package paper writes what is printed: plain pages that the machine's own browser shows and prints.
package paper

import (
	"html/template"
	"io"
)

// Page is one thing that is printed.
type Page struct {
	// Title stands at the top, Note under it.
	Title, Note string
	Sections    []Section
	// Empty is said where there are no sections.
	Empty string
}

// Section is a part of a page that is kept together.
type Section struct {
	Kicker, Head string
	Lines        []Line
}

// Line is a line of a section; Right stands at the margin.
type Line struct{ Left, Right string }

// Write writes the page as HTML, in UTF-8, without any reference to a place outside.
func (p *Page) Write(w io.Writer) error { return page.Execute(w, p) }

var page = template.Must(template.New("page").Parse(`<!DOCTYPE html>
<html><head><meta charset="utf-8"><title>{{.Title}}</title><style>
body { font: 11pt/1.35 Georgia, serif; color: #000; background: #fff; max-width: 44em; margin: 2em auto; padding: 0 1em }
h1 { font-size: 18pt; margin: 0 } h2 { font-size: 13pt; margin: 0 }
p.note, p.kicker { font: 9pt/1.35 Helvetica, Arial, sans-serif; margin: .2em 0 } p.kicker { text-transform: uppercase }
section { border-top: 1px solid #000; margin-top: 1em; padding-top: .4em; break-inside: avoid }
div.line { display: flex; gap: 2em; justify-content: space-between; white-space: pre-wrap }
div.line span:last-child { text-align: right; font-weight: bold }
@media print { body { margin: 0; max-width: none } }
</style></head><body>
<h1>{{.Title}}</h1><p class="note">{{.Note}}</p>
{{range .Sections}}<section>{{with .Kicker}}<p class="kicker">{{.}}</p>{{end}}{{with .Head}}<h2>{{.}}</h2>{{end}}
{{range .Lines}}<div class="line"><span>{{.Left}}</span><span>{{.Right}}</span></div>
{{end}}</section>
{{else}}<p>{{.Empty}}</p>
{{end}}</body></html>
`))
