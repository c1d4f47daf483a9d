package report

import (
	"bufio"
	"cmp"
	"fmt"
	"html"
	"io"
	"regexp"
	"strconv"
	"strings"

	"counterproof/checks/wording"
)

// HTML writes the report as one self-contained file that prints well. It has no script and no
// outside references, and tells the browser to forbid both.
func (r *Report) HTML(w io.Writer) error {
	return writeHTML(w, r.compose)
}

// AnnexHTML writes the annex as HTML does the report. The report must have been read with it.
func (r *Report) AnnexHTML(w io.Writer) error { return writeHTML(w, r.composeAnnex) }

func writeHTML(w io.Writer, compose func() (*document, error)) error {
	d, err := compose()
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
	// front is set on the front page; under is the level of the heading above the current text.
	front bool
	under int
}

// The bufio.Writer keeps an error until Flush.
func (h *htmlWriter) put(parts ...string) {
	for _, p := range parts {
		_, _ = h.w.WriteString(p)
	}
}

// text escapes data and makes invisible characters visible.
func text(s string) string {
	return html.EscapeString(wording.Visible(strings.ToValidUTF8(s, "\uFFFD")))
}

var notStyle = regexp.MustCompile(`[^0-9A-Za-z ]`)

func (h *htmlWriter) document(d *document) {
	h.put("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n",
		`<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'">`, "\n",
		`<meta name="viewport" content="width=device-width, initial-scale=1">`, "\n<title>", text(d.title),
		"</title>\n<style>\n",
		// Only letters, digits and blanks of the page head get into the style sheet.
		style, "@page { @bottom-left { content: \"", notStyle.ReplaceAllString(d.foot, ""),
		"\"; } }\n</style>\n</head>\n<body>\n<main>\n")
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
		h.put(`<section class="front">`, "\n", `<header><p class="kind">`, text(b.kind), "</p>\n<h1>", text(b.title),
			"</h1>\n<p>", text(b.over), " · ", text(b.under), "</p></header>\n")
		h.section, h.front = true, true
	case section:
		if h.section {
			h.put("</section>\n")
		}
		h.section, h.front, h.under = true, false, 2
		h.put("<section>\n<h2>", text(b.text), "</h2>\n")
	case heading:
		h.heading(b.text)
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
			h.put("<li><div><strong>", text(x.name), "</strong><br>", text(x.seat),
				`</div><div class="ink">Signature</div><div class="ink">Date</div><div class="digital">`)
			h.words(x.digital)
			h.put("</div></li>\n")
		}
		h.put("</ul>\n")
	case beside:
		h.put(`<div class="beside">`, "\n")
		for i, title := range b.titles {
			h.put("<div>\n")
			h.heading(title)
			h.block(bullets{items: b.lists[i]})
			h.put("</div>\n")
		}
		h.put("</div>\n")
	case table:
		h.table(b)
	case glance:
		h.glance(b)
	case entry:
		h.entry(b)
	case contestList:
		h.contests(b)
	}
}

// heading opens a subsection: of the front page, under the report's title, or of a section with a
// title of its own.
func (h *htmlWriter) heading(words string) {
	tag := "h3"
	if h.under = max(h.under, 3); h.front {
		h.under, tag = 2, "h2"
	}
	h.put("<", tag, ">", text(words), "</", tag, ">\n")
}

func (h *htmlWriter) facts(rows []fact) {
	if len(rows) == 0 {
		return
	}
	h.put("<dl>\n")
	for _, f := range rows {
		h.put("<dt>", text(f.label), "</dt>")
		if f.listed {
			h.put("<dd>\n")
			h.block(bullets{items: f.lines})
			h.put("</dd>\n")
			continue
		}
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
	h.put("<table>\n")
	if t.caption != "" {
		h.put("<caption>", text(t.caption), "</caption>\n")
	}
	h.put("<thead><tr>")
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
	h.put(`<section class="wide" tabindex="0" aria-label="The county at a glance, contests from `, strconv.Itoa(g.first),
		"\">\n", `<table class="glance">`, "\n<caption>",
		text(fmt.Sprintf("Ballot styles by contests %d to %d", g.first, max(last, g.first))), "</caption>\n<thead><tr>",
		`<th scope="col">Style</th><th scope="col">Precincts</th><th scope="col" class="up"><span>Ballot as a `+
			`whole</span></th>`)
	for i, x := range g.contests {
		h.put(`<th scope="col" class="up"><span>`, strconv.Itoa(g.first+i), " ", text(x), "</span></th>")
	}
	h.put("</tr></thead>\n<tbody>\n")
	for _, r := range g.rows {
		h.put(`<tr><th scope="row">`, text(r.Style), "</th><td>", count(r.Precincts), "</td><td>", cellMark(r.Ballot[0]),
			"</td>")
		for i := range len(r.Cells) {
			h.put("<td>", cellMark(r.Cells[i]), "</td>")
		}
		h.put("</tr>\n")
	}
	h.put("</tbody>\n</table>\n</section>\n<ul class=\"legend\">\n")
	for _, m := range cellMarks {
		h.put("<li>", m.mark, " ", m.word, "</li>\n")
	}
	h.put("<li>· not on this ballot</li>\n</ul>\n")
}

func (h *htmlWriter) entry(e entry) {
	tag := "h" + strconv.Itoa(h.under+1)
	h.put("<article>\n")
	if e.word != "" {
		h.put(`<p class="status">`)
		if e.cell != 0 {
			h.put(cellMark(e.cell), " ")
		}
		h.put(text(e.word), "</p>\n")
	}
	h.put("<", tag, ">")
	if e.number != "" {
		h.put(`<span class="number">`, text(e.number), "</span> ")
	}
	h.put(text(e.title), "</", tag, ">\n")
	if len(e.message) > 0 {
		h.put("<p>")
		h.words(e.message)
		h.put("</p>\n")
	}
	h.facts(e.rows)
	h.put("</article>\n")
}

func (h *htmlWriter) contests(b contestList) {
	h.put(`<div class="columns">`, "\n")
	for _, c := range b.contests {
		h.put(`<div class="contest">`, "\n")
		for _, x := range c.headings {
			h.put(`<p class="over">`, text(x), "</p>\n")
		}
		if c.title != "" || c.info != "" {
			h.put("<h3>", text(c.number), " ", text(cmp.Or(c.title, "(nothing)")), "</h3>\n")
		}
		if c.info != "" {
			h.put("<p>", text(c.info), "</p>\n")
		}
		for _, x := range c.notes {
			h.put(`<p class="small">`, text(x), "</p>\n")
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
	h.put("</div>\n")
}
