package report

import (
	"bytes"
	"encoding/json"
	"fmt"

	"counterproof/model/casefile"
)

// AnnexFormat is the value of the member "format" of an annex.
const AnnexFormat = "counterproof-annex/1"

// Annex holds the ballots and the voting units of the export that a report is about. The report
// states the digest of its canonical JSON, so that the signatures on the report cover it too.
type Annex struct {
	Format string `json:"format"`
	// Case, Entries and Head are those of the report.
	Case    string `json:"case"`
	Entries int64  `json:"entries"`
	Head    string `json:"head"`

	// Contests are in ballot order, as far as all ballots agree on one.
	Contests []Contest `json:"contests"`
	Styles   []Style   `json:"styles"`
	Sites    []Site    `json:"sites"`
	Units    []Unit    `json:"units"`

	raw []byte // the bytes that ParseAnnex read
}

// Contest is a contest in the last export.
type Contest struct {
	Title    string   `json:"title"`
	Subtitle string   `json:"subtitle"`
	Kind     string   `json:"kind"`
	VoteFor  string   `json:"vote_for"` // empty if the export does not state it
	Parties  []string `json:"primary_parties"`
	Text     string   `json:"text"`
	Choices  []Choice `json:"choices"`
	// Source is the document that it was keyed from, empty if none is named or it was not keyed.
	// NotKeyed are the fields that were not keyed.
	Source   string   `json:"source,omitzero"`
	NotKeyed []string `json:"not_keyed,omitzero"`
}

// Choice is one voting position.
type Choice struct {
	Name    string   `json:"name"`
	Lines   []string `json:"party_lines"`
	WriteIn bool     `json:"write_in"`
}

// Style is a ballot style in the last export, with its precincts.
type Style struct {
	Label     string   `json:"label"`
	Parties   []string `json:"parties"`
	Precincts []string `json:"precincts"`
	Places    []Place  `json:"contests"`
	Closing   []string `json:"closing"`
	// Findings are the numbers of the current findings on this ballot.
	Findings []int `json:"findings"`
}

// Place is a contest on a ballot: its index in Annex.Contests, the headings above it and the order
// of its choices, which is empty if it is the contest's own order.
type Place struct {
	Contest  int      `json:"contest"`
	Headings []string `json:"headings"`
	Order    []int    `json:"order"`
}

// Site is a polling site with the precincts that vote there.
type Site struct {
	Name      string   `json:"name"`
	Precincts []string `json:"precincts"`
}

// Unit is a voting unit with its card header.
type Unit struct {
	Name      string   `json:"name"`
	Site      string   `json:"site"`
	Use       string   `json:"use"`
	Precincts []string `json:"precincts"`
}

// JSON returns the annex as canonical JSON (RFC 8785). For a parsed annex it returns the bytes that
// were read.
func (a *Annex) JSON() ([]byte, error) {
	if a.raw != nil {
		return bytes.Clone(a.raw), nil
	}
	b, err := json.Marshal(a)
	if err != nil {
		return nil, fmt.Errorf("the annex cannot be written: %w", err)
	}
	return Canonical(b)
}

// setAnnex makes an annex that of the report.
func (r *Report) setAnnex(a *Annex) error {
	b, err := a.JSON()
	if err != nil {
		return err
	}
	a.raw, r.annex, r.Annex = b, a, casefile.DigestOf(b).String()
	return nil
}

// TakeAnnex reads a report's annex. The error wraps ErrNotReport if the bytes are not those whose
// digest the report states, or cannot be read.
func (r *Report) TakeAnnex(b []byte) error {
	if r.Annex == "" || casefile.DigestOf(b).String() != r.Annex {
		return fmt.Errorf("%w: it is not the annex whose digest the report states", ErrNotReport)
	}
	a, err := parseAnnex(b)
	if err == nil {
		r.annex = a
	}
	return err
}

// Ballots returns the annex, or for a report of before rendering 5 what the report itself holds of
// it. It is nil for a report that was read without its annex.
func (r *Report) Ballots() *Annex {
	if r.Annex == "" {
		return &Annex{Contests: r.Contests, Styles: r.Styles, Units: r.Units}
	}
	return r.annex
}
