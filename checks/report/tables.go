package report

import (
	"cmp"
	"fmt"
	"io"
	"maps"
	"path/filepath"
	"slices"
	"strings"

	"counterproof/checks/wording"
	"counterproof/model"
	"counterproof/model/casefile"
	"counterproof/model/tables"
)

// The roles of the files of an export that is tables.
const (
	roleTable   = "primary"
	roleMapping = "mapping"
)

func tableFiles(list *casefile.TablesList) (out []TableFile) {
	for _, f := range list.Named() {
		out = append(out, TableFile{roleTable, f.Name, f.SHA256.String()})
	}
	if m := list.Mapping; m != nil {
		out = append(out, TableFile{roleMapping, m.Name, m.SHA256.String()})
	}
	return out
}

// tablesMappings are the mappings that the pair signed, in words.
func (m *maker) tablesMappings() (list []TablesMapping) {
	for _, a := range m.state.TablesMappings {
		x := TablesMapping{Entry: a.Seq, At: a.At, Name: a.Terms.Name, SHA256: a.Terms.SHA256.String(),
			Tables: []MappedTable{}, Reason: a.Terms.Reason, By: m.all(a.Signers())}
		data, err := m.review.Case().TablesFile(a.Terms.SHA256)
		var mapping *tables.Mapping
		if err == nil {
			mapping, err = tables.ParseMapping(a.Terms.Name, data)
		}
		if err != nil {
			// Nothing came in through it, and the rest of the report can be made.
			x.Tables = append(x.Tables, MappedTable{a.Terms.Name, []string{"This is no mapping that this program reads."}})
		} else {
			x.Language = mapping.Language
			for _, t := range mapping.Words() {
				x.Tables = append(x.Tables, MappedTable{t.Table, nonNil(t.Lines)})
			}
		}
		list = append(list, x)
	}
	return list
}

// tablesMappings composes the mappings that the pair signed.
func (c *composer) tablesMappings() {
	for _, x := range c.TablesMappings {
		rows := []fact{{label: "Mapping", lines: []words{say(x.Name), code(groups(x.SHA256))}}}
		if x.Language != "" {
			rows = append(rows, fact{label: "First language", lines: []words{say(x.Language)}})
		}
		for _, t := range x.Tables {
			rows = append(rows, fact{label: "Table", lines: append([]words{stress(t.Table)}, each(t.Meaning)...), fine: true})
		}
		c.add(entry{title: fmt.Sprintf("Entry %d: what the rows of tables mean", x.Entry),
			rows: append(rows, c.act("", x.Reason, x.By, x.At)...)})
	}
}

// heldInTables lists, by column with counts, what tables hold and no mapping takes.
func heldInTables(e *model.Election) []HeldMember {
	o := &e.Origins
	first := map[string]string{}
	note := func(list []model.Held) {
		for _, h := range list {
			if _, known := first[h.Member]; !known {
				first[h.Member] = h.Words
			}
		}
	}
	for _, list := range [][]model.Origin{o.Parties, o.Precincts, o.Units} {
		for i := range list {
			note(list[i].Held)
		}
	}
	for i := range o.Contests {
		note(o.Contests[i].Held)
		for j := range o.Contests[i].Choices {
			note(o.Contests[i].Choices[j].Held)
		}
	}
	note(o.Held)
	out := []HeldMember{}
	for _, name := range slices.Sorted(maps.Keys(o.Uncompared)) {
		h := HeldMember{Member: name, Count: o.Uncompared[name]}
		for _, member := range slices.Sorted(maps.Keys(first)) {
			if strings.HasSuffix(name, ", "+member) {
				h.Example = cmp.Or(h.Example, strings.ReplaceAll(first[member], "\x1f", " | "))
			}
		}
		out = append(out, h)
	}
	return out
}

// exportWords names an export in an evidence folder.
func exportWords(x casefile.Export) string {
	name := fmt.Sprintf("%q", wording.Visible(x.Name))
	if x.Tables == nil {
		return name
	}
	return fmt.Sprintf("the list of the tables %s, whose digest is that of the export,", name)
}

// tableParts are the tables of an export, and their mapping, as they were received.
func tableParts(c *casefile.Case, export int, list *casefile.TablesList) (parts []part) {
	add := func(name, what string, f casefile.NamedDigest) {
		parts = append(parts, part{name: name, words: fmt.Sprintf("%s %q of that list", what, wording.Visible(f.Name)),
			write: func(w io.Writer) error {
				data, err := c.TablesFile(f.SHA256)
				if err != nil {
					return err
				}
				_, err = w.Write(data)
				return err
			}})
	}
	for i, f := range list.Named() {
		add(fmt.Sprintf("exports/export-%d-table-%d%s", export, i+1, tableEnd(f.Name)), "the table", f)
	}
	if list.Mapping != nil {
		add(fmt.Sprintf("exports/export-%d-mapping.json", export), "the mapping", *list.Mapping)
	}
	return parts
}

// tableEnd is the ending of a table's name, if it is one that tables have.
func tableEnd(name string) string {
	end := strings.ToLower(filepath.Ext(name))
	if slices.Contains([]string{".csv", ".tsv", ".xlsx", ".xlsm"}, end) {
		return end
	}
	return ".table"
}
