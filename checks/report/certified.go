package report

import (
	"cmp"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/finding"
	"counterproof/checks/review"
	"counterproof/checks/wording"
	"counterproof/model"
	"counterproof/model/casefile"
)

// Certified says which certified documents the entries were held against, and what was not.
type Certified struct {
	Documents []CertifiedDocument `json:"documents"`
	// Said are sentences that count what was held against them, and what was not.
	Said []string `json:"said"`
	// Contests counts those of the export that a certified list names; KeyedOnly are the others.
	Contests  int      `json:"contests"`
	KeyedOnly []string `json:"keyed_only"`
	// Districts counts the contests whose ballots were held against a district table; NoDistrict are
	// the others, if there is a table, with the name of their district.
	Districts  int      `json:"districts"`
	NoDistrict []string `json:"no_district"`
	// Sites counts the precincts whose polling site was held against a site list, of Precincts.
	Sites     int `json:"sites"`
	Precincts int `json:"precincts"`
	// Notes say what documents state and could not be held against the entries.
	Notes []string `json:"notes"`
}

// CertifiedDocument is a certified document as it came in.
type CertifiedDocument struct {
	Entry    int64  `json:"entry"`
	At       string `json:"at"`
	Kind     string `json:"kind"`
	Document string `json:"document"`
	Version  string `json:"version"`
	Name     string `json:"name"`
	SHA256   string `json:"sha256"`
	Size     int64  `json:"size"`
	// Mapping is the mapping that reads it, Tables say what it means; both are empty without one.
	Mapping []TableFile   `json:"mapping"`
	Tables  []MappedTable `json:"tables"`
	// Read says what was read of it, in a few words each; Examples are names as they are written and
	// as they are read; NotRead are columns that nothing takes.
	Read     []string `json:"read"`
	Examples []string `json:"examples"`
	NotRead  []string `json:"not_read"`
	// ReplacedBy is the entry of the document that took its place, 0 if none did.
	ReplacedBy int64 `json:"replaced_by"`
	By         []Who `json:"by"`
}

// certified lists the certified documents of the case; nil if there are none.
func (m *maker) certified() *Certified {
	if len(m.state.Witnesses) == 0 {
		return nil
	}
	w := m.standing.Witnessed
	out := &Certified{Said: nonNil(w.Sentences()), Contests: len(w.Listed), KeyedOnly: nonNil(w.ProofOnly),
		Districts:  len(w.Districted),
		NoDistrict: []string{}, Sites: w.Sited, Precincts: w.Precincts, Notes: nonNil(w.Notes)}
	for _, c := range w.NoDistrict {
		out.NoDistrict = append(out.NoDistrict, c.Contest+": "+cmp.Or(c.District, "nobody names its district"))
	}
	for i, a := range m.state.Witnesses {
		t := a.Terms
		d := CertifiedDocument{Entry: a.Seq, At: a.At, Kind: string(t.Kind), Document: t.Document, Version: t.Version,
			Name: t.Name, SHA256: t.SHA256.String(), Size: t.Size, Mapping: []TableFile{}, Tables: []MappedTable{},
			Read: []string{}, Examples: []string{}, NotRead: []string{}, ReplacedBy: m.state.WitnessReplacedBy(i),
			By: m.all(a.Signers())}
		if t.Mapping != nil {
			d.Mapping = append(d.Mapping, TableFile{roleMapping, t.Mapping.Name, t.Mapping.SHA256.String()})
		}
		if listed, contents, mapping, err := m.review.ReadDocument(t); err == nil {
			d.Read = nonNil(review.ListedWords(listed))
			for _, n := range review.ReadOtherwise(listed, mostExamples) {
				d.Examples = append(d.Examples, fmt.Sprintf("“%s” is read as “%s”", n.Written, n.Read))
			}
			for _, column := range slices.Sorted(maps.Keys(contents.Uncompared)) {
				d.NotRead = append(d.NotRead, fmt.Sprintf("%s: %s", column, count(contents.Uncompared[column])))
			}
			if mapping != nil {
				for _, table := range mapping.Words() {
					d.Tables = append(d.Tables, MappedTable{table.Table, nonNil(table.Lines)})
				}
			}
		}
		out.Documents = append(out.Documents, d)
	}
	return out
}

// mostExamples is how many names show what reading rules do.
const mostExamples = 5

// certifiedFront composes the front page's row of certified documents.
func (c *composer) certifiedFront() []fact {
	if c.Certified == nil {
		return nil
	}
	var lines []words
	for _, s := range c.Certified.Said {
		lines = append(lines, stress(s))
	}
	for _, d := range c.Certified.Documents {
		if d.ReplacedBy == 0 {
			lines = append(lines, say(fmt.Sprintf("%s “%s”, %s: %s, brought in %s by %s", finding.Capital(kindWords(d.Kind)),
				d.Document, d.Version, d.Name, c.Clock.moment(d.At), plainNames(d.By))), code(groups(d.SHA256)))
		}
	}
	return []fact{{label: "Held against", lines: lines}}
}

func kindWords(kind string) string { return model.WitnessKind(kind).Words() }

// certified composes what was held against certified documents, and each document.
func (c *composer) certified() {
	x := c.Certified
	if x == nil {
		return
	}
	c.add(heading{"Held against certified documents", true}, paragraph{say(strings.Join(x.Said, " ") +
		" What a document says otherwise than both entries is a finding; of a finding, the document that agrees with one " +
		"of them is named first."), body})
	for _, part := range []struct {
		title string
		list  []string
	}{{"In no certified list: held against what was keyed only", x.KeyedOnly},
		{"Contests whose district is in no table", x.NoDistrict}, {"Not held against anything", x.Notes}} {
		if len(part.list) > 0 {
			c.add(heading{part.title, false}, paragraph{say(strings.Join(part.list, "; ")), small})
		}
	}
	for _, d := range x.Documents {
		rows := []fact{{label: "Document", lines: []words{say(d.Document + ", " + d.Version)}},
			{label: "File", lines: []words{say(d.Name), code(groups(d.SHA256))}}}
		for _, m := range d.Mapping {
			rows = append(rows, fact{label: "Mapping", lines: []words{say(m.Name), code(groups(m.SHA256))}})
		}
		for _, t := range d.Tables {
			rows = append(rows, fact{label: "Table", lines: append([]words{stress(t.Table)}, each(t.Meaning)...), fine: true})
		}
		if len(d.Read) > 0 {
			rows = append(rows, fact{label: "Read", lines: []words{say(english.WordSeries(d.Read, "and"))}})
		}
		if len(d.Examples) > 0 {
			rows = append(rows, fact{label: "Names", lines: each(d.Examples)})
		}
		if len(d.NotRead) > 0 {
			rows = append(rows, fact{label: "Not compared", lines: each(d.NotRead)})
		}
		title := fmt.Sprintf("Entry %d: %s", d.Entry, kindWords(d.Kind))
		if d.ReplacedBy != 0 {
			title += fmt.Sprintf(", replaced in entry %d", d.ReplacedBy)
		}
		c.add(entry{title: title, rows: append(rows, c.act("", "", d.By, d.At)...)})
	}
}

// certifiedParts are the certified documents of a case, and their mappings, as they were received.
func certifiedParts(c *casefile.Case, state *casefile.State, local clock) (parts []part) {
	add := func(name, words string, digest casefile.Digest) {
		parts = append(parts, part{name: name, words: words, write: func(w io.Writer) error {
			data, err := c.WitnessFile(digest)
			if err != nil {
				return err
			}
			_, err = w.Write(data)
			return err
		}})
	}
	for i, w := range state.Witnesses {
		t := w.Terms
		words := fmt.Sprintf("the %s %q, %q, as it was received on %s, entry %d", t.Kind.Words(), wording.Visible(t.Document),
			wording.Visible(t.Name), local.moment(w.At), w.Seq)
		if by := state.WitnessReplacedBy(i); by != 0 {
			words += fmt.Sprintf("; replaced in entry %d", by)
		}
		add(fmt.Sprintf("certified/document-%d%s", i+1, tableEnd(t.Name)), words, t.SHA256)
		if t.Mapping != nil {
			add(fmt.Sprintf("certified/document-%d-mapping.json", i+1),
				fmt.Sprintf("the mapping %q of that document", wording.Visible(t.Mapping.Name)), t.Mapping.SHA256)
		}
	}
	return parts
}
