package report

import (
	"bufio"
	"fmt"
	"html"
	"io"
	"regexp"
	"strconv"
	"strings"

	"counterproof/checks/wording"
)

// HTML writes the report as one self-contained file that prints well. It holds no
// script, refers to nothing outside, and forbids both to the browser.
func (r *Report) HTML(w io.Writer) error {
	d, err := r.compose()
	if err != nil {
		return err
	}
	h := &htmlWriter{w: bufio.NewWriterSize(w, 1<<16)}
	h.document(d)
	if err := h.w.Flush(); err != nil {
		return fmt.Errorf("the report cannot be written: %w", err)
	}
	return nil
}

type htmlWriter struct {
	w       *bufio.Writer
	section bool
}

// Errors stay in the bufio.Writer until Flush.
func (h *htmlWriter) put(parts ...string) {
	for _, p := range parts {
		_, _ = h.w.WriteString(p)
	}
}

// text makes data harmless and what cannot be seen visible.
func text(s string) string {
	return html.EscapeString(wording.Visible(strings.ToValidUTF8(s, "\uFFFD")))
}

var notStyle = regexp.MustCompile(`[^0-9A-Za-z ]`)

func (h *htmlWriter) document(d *document) {
	h.put("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n",
		`<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'">`, "\n",
		`<meta name="viewport" content="width=device-width, initial-scale=1">`, "\n<title>", text(d.title), "</title>\n<style>\n",
		// Nothing but letters, digits and blanks of the head gets into the style sheet.
		style, "@page { @bottom-left { content: \"", notStyle.ReplaceAllString(d.foot, ""), "\"; } }\n</style>\n</head>\n<body>\n<main>\n")
	for _, b := range d.blocks {
		h.block(b)
	}
	if h.section {
		h.put("</section>\n")
	}
	h.put("</main>\n<footer>", text(d.foot), "</footer>\n</body>\n</html>\n")
}

func (h *htmlWriter) words(w words) {
	for _, r := range w {
		t := text(r.text)
		switch r.kind {
		case strong:
			h.put("<strong>", t, "</strong>")
		case quoted:
			h.put(`<span class="said">`, t, "</span>")
		case marked:
			h.put(`<mark class="said">`, t, "</mark>")
		case digits:
			h.put("<code>", t, "</code>")
		default:
			h.put(t)
		}
	}
}

func (h *htmlWriter) block(b block) {
	switch b := b.(type) {
	case cover:
		h.put(`<section class="front">`, "\n", `<header><p class="kind">Comparison report</p>`, "\n<h1>", text(b.title), "</h1>\n<p>", text(b.over), " · ", text(b.under), "</p></header>\n")
		h.section = true
	case section:
		if h.section {
			h.put("</section>\n")
		}
		h.section = true
		h.put("<section>\n<h2>", text(b.text), "</h2>\n")
	case heading:
		h.put("<h3>", text(b.text), "</h3>\n")
	case paragraph:
		h.put("<p", []string{"", ` class="lead"`, ` class="small"`, ` class="warning"`}[b.role], ">")
		h.words(b.text)
		h.put("</p>\n")
	case bullets:
		tag := "ul"
		if b.numbered {
			tag = "ol"
		}
		h.put("<", tag, ">\n")
		for _, x := range b.items {
			h.put("<li>")
			h.words(x)
			h.put("</li>\n")
		}
		h.put("</", tag, ">\n")
	case facts:
		h.facts(b.rows)
	case tally:
		h.put(`<ul class="tally">`, "\n")
		for _, n := range b.numbers {
			h.put("<li><strong>", text(n.value), "</strong> ", text(n.label), "</li>\n")
		}
		h.put("</ul>\n")
	case panel:
		h.put(`<ul class="panel">`, "\n")
		for _, x := range b.rows {
			h.put("<li><div><strong>", text(x.name), "</strong><br>", text(x.seat), `</div><div class="ink">Signature</div><div class="ink">Date</div><div class="digital">`)
			h.words(x.digital)
			h.put("</div></li>\n")
		}
		h.put("</ul>\n")
	case table:
		h.table(b)
	case glance:
		h.glance(b)
	case entry:
		h.entry(b)
	case ballot:
		h.ballot(b)
	case commands:
		h.put("<pre>")
		for i, line := range b.lines {
			if i > 0 {
				h.put("\n")
			}
			h.put(text(line))
		}
		h.put("</pre>\n")
	}
}

func (h *htmlWriter) facts(rows []fact) {
	if len(rows) == 0 {
		return
	}
	h.put("<dl>\n")
	for _, f := range rows {
		h.put("<dt>", text(f.label), "</dt>")
		for _, line := range f.lines {
			h.put("<dd>")
			h.words(line)
			h.put("</dd>")
		}
		h.put("\n")
	}
	h.put("</dl>\n")
}

func (h *htmlWriter) table(t table) {
	h.put("<table>\n<caption>", text(t.caption), "</caption>\n<thead><tr>")
	for _, x := range t.heads {
		h.put(`<th scope="col">`, text(x), "</th>")
	}
	h.put("</tr></thead>\n<tbody>\n")
	for _, row := range t.rows {
		h.put("<tr>")
		for _, cell := range row {
			h.put("<td>")
			h.words(cell)
			h.put("</td>")
		}
		h.put("</tr>\n")
	}
	h.put("</tbody>\n</table>\n")
}

func (h *htmlWriter) glance(g glance) {
	last := g.first + len(g.contests) - 1
	h.put(`<table class="glance">`, "\n<caption>", text(fmt.Sprintf("Ballot styles by contests %d to %d", g.first, max(last, g.first))), "</caption>\n<thead><tr>",
		`<th scope="col">Style</th><th scope="col">Precincts</th><th scope="col" class="up"><span>Ballot as a whole</span></th>`)
	for i, x := range g.contests {
		h.put(`<th scope="col" class="up"><span>`, strconv.Itoa(g.first+i), " ", text(x), "</span></th>")
	}
	h.put("</tr></thead>\n<tbody>\n")
	for _, r := range g.rows {
		h.put(`<tr><th scope="row">`, text(r.Style), "</th><td>", count(r.Precincts), "</td><td>", cellMark(r.Ballot[0]), "</td>")
		for i := range len(r.Cells) {
			h.put("<td>", cellMark(r.Cells[i]), "</td>")
		}
		h.put("</tr>\n")
	}
	h.put("</tbody>\n</table>\n<ul class=\"legend\">\n")
	for _, m := range cellMarks {
		h.put("<li>", m.mark, " ", m.word, "</li>\n")
	}
	h.put("<li>· not on this ballot</li>\n</ul>\n")
}

func (h *htmlWriter) entry(e entry) {
	h.put("<article>\n<h4>")
	if e.number != "" {
		h.put(`<span class="number">`, text(e.number), "</span> ")
	}
	h.put(text(e.title), "</h4>\n")
	if e.word != "" {
		h.put(`<p class="status">`)
		if e.cell != 0 {
			h.put(cellMark(e.cell), " ")
		}
		h.put(text(e.word), "</p>\n")
	}
	if len(e.message) > 0 {
		h.put("<p>")
		h.words(e.message)
		h.put("</p>\n")
	}
	h.facts(e.rows)
	h.put("</article>\n")
}

func (h *htmlWriter) ballot(b ballot) {
	h.put(`<div class="ballot">`, "\n<h3>Ballot style ", text(b.title), "</h3>\n<p>", text(b.under), "</p>\n")
	for _, n := range b.notes {
		h.put("<p>")
		h.words(n)
		h.put("</p>\n")
	}
	h.put(`<div class="columns">`, "\n")
	for _, c := range b.contests {
		h.put(`<div class="contest">`, "\n")
		for _, x := range c.headings {
			h.put(`<p class="over">`, text(x), "</p>\n")
		}
		if c.title != "" || c.info != "" {
			h.put("<h4>", text(orNothing(c.title)), "</h4>\n")
		}
		if c.info != "" {
			h.put("<p>", text(c.info), "</p>\n")
		}
		if c.text != "" {
			h.put(`<p class="small">`, text(c.text), "</p>\n")
		}
		if len(c.choices) > 0 {
			h.put("<ol>\n")
			for _, x := range c.choices {
				h.put(`<li><span class="said">`, text(x[0]), "</span>")
				if x[1] != "" {
					h.put(` <span class="lines">`, text(x[1]), "</span>")
				}
				h.put("</li>\n")
			}
			h.put("</ol>\n")
		}
		h.put("</div>\n")
	}
	h.put("</div>\n</div>\n")
}

const style = `:root { color-scheme: light; }
body { margin: 0; background: #fff; color: #26211c; font: 16px/1.45 "Source Sans 3", "Segoe UI", "Helvetica Neue", Arial, sans-serif; }
main { max-width: 52rem; margin: 0 auto; padding: 2rem 1.5rem; }
section { margin-bottom: 3rem; }
h1, h4, .said, .columns li { font-family: "Source Serif 4", Georgia, "Times New Roman", serif; }
h1 { font-size: 2.3rem; line-height: 1.15; margin: 0.2rem 0; }
h2 { font-size: 1.5rem; border-bottom: 2px solid #26211c; padding-bottom: 0.2rem; }
h3 { font-size: 1.12rem; margin: 1.8rem 0 0.5rem; }
h4 { font-size: 1.02rem; margin: 0; }
p { margin: 0.3rem 0; }
.kind { color: #a1301a; font-weight: 600; margin: 0; }
.lead { font-size: 1.2rem; margin: 1rem 0; }
.small, caption, .status { font-size: 0.88rem; }
.warning { border: 2px solid #a1301a; padding: 0.5rem 0.75rem; }
.status, dt, caption, .lines { color: #5a5044; }
code, pre { font-family: "Source Serif 4", Georgia, serif; font-size: 0.86rem; overflow-wrap: anywhere; }
pre { background: #f5f1e8; padding: 0.5rem 0.75rem; margin: 0.3rem 0 0.8rem; white-space: pre-wrap; }
mark { background: #f6dccb; color: inherit; font-weight: 700; text-decoration: underline; text-decoration-thickness: 2px; }
dl { display: grid; grid-template-columns: 10.5rem 1fr; gap: 0.1rem 1rem; margin: 0.4rem 0; }
dt { grid-column: 1; } dd { grid-column: 2; margin: 0; overflow-wrap: anywhere; }
table { border-collapse: collapse; width: 100%; margin: 0.6rem 0 1.2rem; font-size: 0.9rem; }
caption { text-align: left; padding-bottom: 0.2rem; }
thead { border-bottom: 1px solid #26211c; }
th { text-align: left; vertical-align: bottom; font-weight: 600; }
th, td { padding: 0.2rem 0.6rem 0.2rem 0; }
td { vertical-align: top; border-bottom: 1px solid #ded5c3; overflow-wrap: anywhere; }
.glance td, .glance tbody th { padding: 0 0.1rem; border-bottom: 1px solid #ded5c3; }
.glance td { text-align: center; }
.glance { width: auto; font-size: 0.8rem; line-height: 1.35; }
.up { padding: 0.2rem 0.1rem; text-align: center; } .up span { writing-mode: vertical-rl; transform: rotate(180deg); max-height: 13rem; font-weight: 400; display: inline-block; }
.legend, .tally, .panel { list-style: none; padding: 0; display: flex; flex-wrap: wrap; gap: 0.3rem 1.4rem; }
.tally strong { display: block; font-size: 1.4rem; line-height: 1.1; }
.panel { display: block; }
.panel li { display: grid; grid-template-columns: 15rem 1fr 8rem; gap: 0 1rem; padding: 0.9rem 0 0.4rem; }
.ink { border-top: 1px solid #26211c; font-size: 0.8rem; align-self: end; color: #5a5044; }
.digital { grid-column: 1 / -1; font-size: 0.88rem; }
article { border-top: 1px solid #c9bb9f; padding: 0.6rem 0 0.8rem; break-inside: avoid; }
.number { display: inline-block; min-width: 1.8rem; }
.columns { columns: 2; column-gap: 2rem; }
.contest { break-inside: avoid; margin-bottom: 1rem; }
.contest ol { margin: 0.2rem 0; padding-left: 1.6rem; }
.over { font-weight: 600; border-bottom: 1px solid #c9bb9f; }
footer { max-width: 52rem; margin: 0 auto; padding: 0 1.5rem 2rem; font-size: 0.8rem; color: #5a5044; }
@media (max-width: 40rem) { .columns { columns: 1; } dl { display: block; } .panel li { display: block; } }
@media print {
body { font-size: 10pt; } main { max-width: none; padding: 0; } footer { display: none; }
h2, h3, h4, caption { break-after: avoid; } tr { break-inside: avoid; } thead { display: table-header-group; }
section, .ballot { break-before: page; } .front { break-before: auto; }
}
@page { size: letter; margin: 18mm 18mm 20mm; @bottom-right { content: "Page " counter(page) " of " counter(pages); font: 7.5pt sans-serif; } @bottom-left { font: 6.5pt serif; white-space: nowrap; } }
`
