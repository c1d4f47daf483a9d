package main

import (
	"bytes"
	_ "embed"
	"html"
	"strings"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/extension"

	"counterproof/model/program"
)

//go:embed PROCEDURE.md
var procedureText string

// style makes a page that can be printed.
const style = `body{font:11pt/1.4 Georgia,serif;max-width:46em;margin:2em auto;padding:0 1em;color:#111;background:#fff}
h1,h2{line-height:1.2}h2{margin-top:1.6em;break-after:avoid}
pre{font:10pt/1.4 Consolas,monospace;background:#f3f3f0;padding:.6em;white-space:pre-wrap;overflow-wrap:anywhere;break-inside:avoid}
code{font-family:Consolas,monospace;font-size:.92em;overflow-wrap:anywhere}
table{border-collapse:collapse;width:100%}td,th{border:1px solid #777;padding:.3em .5em;text-align:left;vertical-align:top}
tr{break-inside:avoid}@media print{body{margin:0;max-width:none;font-size:10pt}}`

// procedure is PROCEDURE.md as a page to print, with the names of this release.
func (r *release) procedure() ([]byte, error) {
	text := strings.ReplaceAll(procedureText, "VERSION", program.Version)
	var body bytes.Buffer
	if err := goldmark.New(goldmark.WithExtensions(extension.Table)).Convert([]byte(text), &body); err != nil {
		return nil, err
	}
	var b bytes.Buffer
	title := "Counterproof " + program.Version + ": receive, verify, install, prove, freeze"
	b.WriteString("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<title>" +
		html.EscapeString(title) +
		"</title>\n<style>\n" + style + "\n</style>\n</head>\n<body>\n")
	b.Write(body.Bytes())
	b.WriteString("</body>\n</html>\n")
	return b.Bytes(), nil
}

// The first page of the archives.
const (
	startWindows = `Counterproof for Windows 10 and later, 64 bit

It needs no installation and no administrator.

1. Before anything else, verify what you received: PROCEDURE.html, part 2.
2. Copy this folder to the local disk of the computer.
3. Open counterproof.exe. Windows may say that it does not know the publisher:
   PROCEDURE.html, part 3, says what to do.
4. Choose "Open the demo (invented)" to try it on an invented election.

cproof.exe is the terminal program. In this folder, a command prompt or
PowerShell starts it by .\cproof --help.

If no window opens, a dialog says why. Without OpenGL 2.1, which the graphics
driver has to offer, cproof.exe does the same work.

PROCEDURE.html   receive, verify, install, prove, freeze, back up, remove
LICENCES.txt     the licences of what the programs contain
counterproof.cdx.json   the list of all parts (CycloneDX)

` + noLicence + `
`
	startLinux = `Counterproof for Linux, 64 bit

1. Before anything else, verify what you received: PROCEDURE.html, part 2.
2. Start ./counterproof (the desktop) or ./cproof --help (the terminal program).
   The desktop needs OpenGL 2.1 and X11 or XWayland.
3. To have both for every account, with the menu entry and the type of a case:

     sudo cp counterproof cproof /usr/local/bin/
     sudo cp -r share/* /usr/local/share/
     sudo update-mime-database /usr/local/share/mime
     sudo update-desktop-database /usr/local/share/applications

PROCEDURE.html   receive, verify, install, prove, freeze, back up, remove
LICENCES.txt     the licences of what the programs contain
counterproof.cdx.json   the list of all parts (CycloneDX)

` + noLicence + `
`
)

// crlf gives a text the line ends of Windows.
func crlf(text string) string { return strings.ReplaceAll(text, "\n", "\r\n") }
