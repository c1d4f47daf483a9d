package review

import (
	"bytes"
	"slices"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks"
	"counterproof/checks/pairing"
	"counterproof/checks/witness"
	"counterproof/model"
	"counterproof/model/casefile"
	"counterproof/model/tables"
)

// CertifiedFile is a certified document that may come in, with the mapping that reads it, nil for none.
type CertifiedFile struct {
	Kind    model.WitnessKind
	File    File
	Mapping *File
}

// ReadCertified reads a certified document as it would be held against the entries. Nothing of either
// entry is shown, so it may be read before the seal.
func ReadCertified(c CertifiedFile) (*model.Listed, tables.Contents, *tables.Mapping, error) {
	var mapping *tables.Mapping
	if c.Mapping != nil {
		var err error
		if mapping, err = tables.ParseMapping(c.Mapping.Name, c.Mapping.Data); err != nil {
			return nil, tables.Contents{}, nil, err
		}
	}
	l, contents, err := tables.ReadListed(tables.File{Name: c.File.Name, Data: bytes.Clone(c.File.Data)}, mapping, c.Kind,
		tables.Options{})
	return l, contents, mapping, err
}

// BringCertified reads a certified document and records it, signed by the second party. It says nothing
// of what it is held against: verdicts are shown with the comparison.
func (r *Review) BringCertified(c CertifiedFile, document, version string,
	signedBy ...casefile.PersonID) error {
	if _, _, _, err := ReadCertified(c); err != nil {
		return err
	}
	var mapping []byte
	if c.Mapping != nil {
		mapping = c.Mapping.Data
	}
	return r.of.BringWitness(c.terms(document, version), c.File.Data, mapping, signedBy...)
}

// MayBringCertified returns why a document cannot come in, nil if it can.
func (r *Review) MayBringCertified(c CertifiedFile, document, version string) error {
	return r.of.State().MayWitness(c.terms(document, version))
}

func (c *CertifiedFile) terms(document, version string) casefile.Witness {
	w := casefile.Witness{Document: document, Version: version, Kind: c.Kind, Name: c.File.Name,
		Size: int64(len(c.File.Data)), SHA256: casefile.DigestOf(c.File.Data)}
	if c.Mapping != nil {
		w.Mapping = &casefile.NamedDigest{Name: c.Mapping.Name, SHA256: casefile.DigestOf(c.Mapping.Data)}
	}
	return w
}

// documents reads the certified documents of the case that no later one took the place of. One that
// cannot be read, because another program put it in, is named as such and stops nothing.
func (r *Review) documents(state *casefile.State) (out []witness.Document) {
	for _, w := range state.CurrentWitnesses() {
		d, known := r.listed[w.Seq]
		if !known {
			d = witness.Document{Entry: w.Seq, Name: w.Terms.Document, Version: w.Terms.Version, Kind: w.Terms.Kind}
			var err error
			if d.Says, _, _, err = r.ReadDocument(w.Terms); err != nil {
				d.Says, d.Unread = &model.Listed{}, err.Error()
			}
			r.listed[w.Seq] = d
		}
		out = append(out, d)
	}
	return out
}

// ReadDocument reads a certified document of the case.
func (r *Review) ReadDocument(w casefile.Witness) (*model.Listed, tables.Contents, *tables.Mapping, error) {
	data, err := r.of.WitnessFile(w.SHA256)
	if err != nil {
		return nil, tables.Contents{}, nil, err
	}
	c := CertifiedFile{Kind: w.Kind, File: File{Name: w.Name, Data: data}}
	if w.Mapping != nil {
		by, err := r.of.WitnessFile(w.Mapping.SHA256)
		if err != nil {
			return nil, tables.Contents{}, nil, err
		}
		c.Mapping = &File{Name: w.Mapping.Name, Data: by}
	}
	return ReadCertified(c)
}

// withDocuments holds certified documents against a comparison.
func withDocuments(result checks.Result, pg *pairing.Pairing,
	documents []witness.Document) (checks.Result, witness.Coverage) {
	if len(documents) == 0 {
		return result, witness.Coverage{}
	}
	w := witness.Of(pg, result.Findings, documents)
	there := map[string]bool{}
	for i := range w.Findings {
		there[w.Findings[i].ID] = true
	}
	result = withFindings(result, w.Findings)
	// A finding that a district table says as well is gone from its cause.
	causes := result.Causes
	result.Causes = []checks.Cause{}
	for _, c := range causes {
		c.Findings = slices.DeleteFunc(slices.Clone(c.Findings), func(id string) bool { return !there[id] })
		if len(c.Findings) > 1 {
			result.Causes = append(result.Causes, c)
			continue
		}
		for i := range result.Findings {
			if slices.Contains(c.Findings, result.Findings[i].ID) {
				result.Findings[i].Cause = ""
			}
		}
	}
	return result, w.Coverage
}

// ListedWords says in a few words each what was read of a document.
func ListedWords(l *model.Listed) (out []string) {
	add := func(n int, what string) {
		if n > 0 {
			out = append(out, english.Plural(n, what, ""))
		}
	}
	choices, precincts, sites := 0, map[string]bool{}, map[string]bool{}
	for _, c := range l.Contests {
		choices += len(c.Choices)
	}
	for _, d := range l.Districts {
		for _, p := range d.Precincts {
			precincts[p] = true
		}
	}
	for _, s := range l.Sites {
		precincts[s.Precinct], sites[s.Site.Written] = true, true
	}
	add(len(l.Contests), "contest")
	add(choices, "candidate")
	add(len(l.Districts), "district")
	add(len(precincts), "precinct")
	add(len(sites), "polling site")
	return out
}

// ReadOtherwise returns the first names of a document that its reading rules read otherwise than they
// are written.
func ReadOtherwise(l *model.Listed, most int) (out []model.ListedName) {
	for _, c := range l.Contests {
		for _, choice := range c.Choices {
			n := choice.Name
			if n.Read != n.Written && len(out) < most && !slices.ContainsFunc(out, func(o model.ListedName) bool {
				return o.Written == n.Written
			}) {
				out = append(out, n)
			}
		}
	}
	return out
}
