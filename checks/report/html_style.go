package report

// style is the style sheet of the HTML, for the screen and for print.
const style = `:root { color-scheme: light; font-size: 16px; }
body { margin: 0; background: #fff; color: #26211c; font: 1rem/1.45 "Source Sans 3", "Segoe UI", "Helvetica Neue", Arial, sans-serif; }
main { max-width: 52rem; margin: 0 auto; padding: 2rem 1.5rem; }
main > section { margin-bottom: 3rem; }
h1, .said, .columns li { font-family: "Source Serif 4", Georgia, "Times New Roman", serif; }
h1 { font-size: 2.3rem; line-height: 1.15; margin: 0.2rem 0; }
h2 { font-size: 1.5rem; border-bottom: 2px solid #26211c; padding-bottom: 0.2rem; }
h3, .front h2 { font-size: 1.12rem; margin: 1.8rem 0 0.5rem; border: 0; padding: 0; }
article h3, .contest h3, h4 { font-size: 1.02rem; margin: 0; }
p { margin: 0.3rem 0; }
.kind { color: #a1301a; font-weight: 600; margin: 0; }
.lead { font-size: 1.2rem; margin: 1rem 0; }
.small, caption, .status { font-size: 0.88rem; }
.warning { border: 2px solid #a1301a; padding: 0.5rem 0.75rem; }
.status, dt, caption, .lines { color: #5a5044; }
code, pre { font-family: ui-monospace, "DejaVu Sans Mono", Consolas, "Courier New", monospace; font-size: 0.78rem; overflow-wrap: anywhere; }
pre { background: #f5f1e8; padding: 0.5rem 0.75rem; margin: 0.3rem 0 0.8rem; white-space: pre-wrap; }
mark { background: #f6dccb; color: inherit; font-weight: 700; text-decoration: underline; text-decoration-thickness: 2px; }
dl { display: grid; grid-template-columns: 10.5rem 1fr; gap: 0.1rem 1rem; margin: 0.4rem 0; }
dt { grid-column: 1; } dd { grid-column: 2; margin: 0; overflow-wrap: anywhere; } dd ul { margin: 0; padding-left: 1.1rem; }
table { border-collapse: collapse; width: 100%; margin: 0.6rem 0 1.2rem; font-size: 0.9rem; }
caption { text-align: left; padding-bottom: 0.2rem; }
thead { border-bottom: 1px solid #26211c; }
th { text-align: left; vertical-align: bottom; font-weight: 600; }
th, td { padding: 0.2rem 0.6rem 0.2rem 0; }
td { vertical-align: top; border-bottom: 1px solid #ded5c3; overflow-wrap: anywhere; }
.glance td, .glance tbody th { padding: 0 0.1rem; border-bottom: 1px solid #ded5c3; }
.glance td { text-align: center; }
.glance { width: auto; font-size: 0.8rem; line-height: 1.35; }
.up { padding: 0.2rem 0.1rem; text-align: center; } .up span { writing-mode: vertical-rl; transform: rotate(180deg); white-space: nowrap; line-height: 1.1; font-weight: 400; display: inline-block; }
.wide { overflow-x: auto; }
.beside { display: grid; grid-template-columns: 1fr 1fr; gap: 0 2rem; } .beside ul { padding-left: 1.1rem; font-size: 0.9rem; }
.legend, .tally, .panel { list-style: none; padding: 0; display: flex; flex-wrap: wrap; gap: 0.3rem 1.4rem; }
.tally strong { display: block; font-size: 1.4rem; line-height: 1.1; }
.panel { display: block; }
.panel li { display: grid; grid-template-columns: 15rem 1fr 8rem; gap: 0 1rem; padding: 0.9rem 0 0.4rem; }
.ink { border-top: 1px solid #26211c; font-size: 0.8rem; align-self: end; color: #5a5044; }
.digital { grid-column: 1 / -1; font-size: 0.88rem; }
article { border-top: 1px solid #c9bb9f; padding: 0.6rem 0 0.8rem; break-inside: avoid; position: relative; }
article .status { float: right; margin: 0.1rem 0 0 1rem; }
.number { display: inline-block; min-width: 1.8rem; }
.columns { columns: 2; column-gap: 2rem; }
.contest { break-inside: avoid; margin-bottom: 1rem; }
.contest ol { margin: 0.2rem 0; padding-left: 0.4rem; list-style: none; }
.contest li { display: flex; justify-content: space-between; gap: 1rem; }
.over { font-weight: 600; border-bottom: 1px solid #c9bb9f; }
footer { max-width: 52rem; margin: 0 auto; padding: 0 1.5rem 2rem; font-size: 0.8rem; color: #5a5044; }
@media (max-width: 40rem) { .columns { columns: 1; } dl, .beside { display: block; } dt { margin-top: 0.4rem; } .panel li { display: block; } article .status { float: none; margin: 0; } }
@media print {
:root { font-size: 9.2pt; } body { line-height: 1.32; } .wide { break-inside: avoid; } .glance { font-size: 0.78rem; }
main { max-width: none; padding: 0; } footer { display: none; }
.columns { line-height: 1.24; } .columns p { margin: 0.1rem 0; } .contest { margin-bottom: 0.65rem; }
h2, h3, h4, caption, thead, tbody tr:first-child { break-after: avoid; } tr { break-inside: avoid; } thead { display: table-header-group; }
.front { break-after: page; }
}
@page { size: letter; margin: 18mm 18mm 20mm; @bottom-right { content: "Page " counter(page) " of " counter(pages); font: 7.5pt sans-serif; } @bottom-left { font: 6.5pt serif; white-space: nowrap; } }
`
