// Package report makes the comparison report, which the office keeps, shows to observers and signs.
//
// A Report is plain data, made from the current case (Make) or read back from the signed JSON
// (Parse). It has three forms with the same content in the same order: canonical JSON (RFC 8785),
// which the signatures cover, a self-contained HTML file, and a PDF. HTML and PDF are made only
// from the JSON and its signatures, so a signed report can be shown again at any time. Equal
// reports give equal bytes.
package report

import (
	"bytes"
	"encoding/json"
	"fmt"

	"counterproof/model/casefile"
	"counterproof/model/program"
)

// Format is the value of the member "format" of a report.
const Format = "counterproof-report/1"

// Rendering is the version of the program's way of making reports: it increases with any change to
// the contents of a report, or to its layout. A report states its rendering; Verify remakes reports
// of its own rendering. Rendering 2 adds who countersigned the seals, and what was keyed with an
// export in the file. Rendering 3 reports changes between exports value by value. Rendering 4 says
// for each contest whether it was keyed in the program or brought in as a sheet. Rendering 5 moves
// the ballots to an annex, and states local times. Rendering 6 names what a correction added after an
// export had come in, and counts none of it as independent; it states the program that made the
// report, and its evidence folder says how to check it on Windows; and it knows exports that are
// tables, and certified documents. Rendering 7 has the test decks and the cards at the machines.
// Rendering 8 tells a reading of an earlier visit, and a correction that came after the signatures,
// from what was signed; a unit has one status; a difference of a test deck stays until its counts are
// held again.
//
// Only reports of this rendering are remade, because earlier ones compare by other rules. They are
// still shown: the fields that they lack are left out of their pages.
const Rendering = 8

// Report is one comparison report. Its JSON keys are part of the product's contract. Times are RFC
// 3339 in UTC, digests are 64 hexadecimal digits, and every list is present, even if empty.
type Report struct {
	Format    string `json:"format"`
	Rendering int    `json:"rendering"`
	// Case is the case number. Entries and Head describe the journal's last entry when the report
	// was made, Made its time.
	Case    string `json:"case"`
	Entries int64  `json:"entries"`
	Head    string `json:"head"`
	Made    string `json:"made"`
	// Clock is the local time in which the pages show all times beside UTC.
	Clock clock `json:"clock,omitzero"`
	// Program is the program that made the report. Whoever makes it again states the same.
	Program program.Build `json:"program,omitzero"`

	Election Election `json:"election"`
	// Result states the outcome in one sentence. Finished means that nothing was left to do.
	Result string `json:"result"`
	// Limit says, in sentences, what the result does not cover: what was keyed from which kind of
	// document, which languages were not compared, and what no check compares in the export.
	Limit    string `json:"limit,omitzero"`
	Finished bool   `json:"finished"`
	Counts   Counts `json:"counts"`
	// Parties are the export's parties that have a code beside their name.
	Parties []Party `json:"parties,omitzero"`

	Primary Primary  `json:"primary"`
	Second  Second   `json:"second"`
	People  []Person `json:"people"`
	// Signers are the people who must sign, by their number in the case.
	Signers []string  `json:"signers"`
	Missing []Missing `json:"missing"`
	// Earlier are the earlier signed reports of this case.
	Earlier   []Earlier `json:"earlier"`
	Cautions  []string  `json:"cautions"`
	CannotSee []string  `json:"cannot_see"`

	Coverage Coverage `json:"coverage"`
	// Certified are the certified documents that the entries were held against; nil if there are none.
	Certified *Certified `json:"certified,omitzero"`
	// TestDecks are the test decks, with what was held against their keys; nil if there are none.
	TestDecks *TestDecks `json:"test_decks,omitzero"`
	// Loading is what was done with the cards at the machines; nil where nothing was.
	Loading  *Loading `json:"loading,omitzero"`
	Overview Overview `json:"overview"`

	Findings    []Finding    `json:"findings"`
	Causes      []Cause      `json:"causes"`
	Corrections []Correction `json:"corrections"`
	Amendments  []Amendment  `json:"amendments"`
	Mappings    []Mapping    `json:"mappings"`
	Compared    []Compared   `json:"compared_as"`
	Exports     []Export     `json:"exports"`
	// Others are exports in other formats than those in sequence; none if there are no such.
	Others []Export `json:"other_formats,omitempty"`
	// TablesMappings are the mappings through which tables came in.
	TablesMappings []TablesMapping `json:"tables_mappings,omitzero"`
	// Withdrawn are exports that the pair withdrew. They are not compared with anything.
	Withdrawn []Withdrawn `json:"withdrawn,omitzero"`

	// Annex is the digest of the annex, which holds the ballots and voting units. Reports before
	// rendering 5 hold them themselves, in the three lists that follow it.
	Annex    string    `json:"annex,omitzero"`
	Contests []Contest `json:"contests,omitzero"`
	Styles   []Style   `json:"styles,omitzero"`
	Units    []Unit    `json:"units,omitzero"`

	// Signatures are the signatures on this report's JSON, if there are any. They are not part of
	// the JSON.
	Signatures []Signature `json:"-"`
	// Superseded says what superseded a signed report; empty while it is current.
	Superseded string `json:"-"`

	raw   []byte // the bytes that Parse read
	annex *Annex // nil if it was not read
}

// Election names the election in the office's words.
type Election struct {
	Name         string `json:"name"`
	Date         string `json:"date"`
	Jurisdiction string `json:"jurisdiction"`
}

// Party is a party of the export: its code on ballots and in findings, and its name.
type Party struct {
	Code string `json:"code"`
	Name string `json:"name"`
}

// Counts are the numbers of the front page.
type Counts struct {
	Precincts int `json:"precincts"`
	Contests  int `json:"contests"`
	Styles    int `json:"styles"`
	Units     int `json:"units"`
	// MustFix, Confirm and Note count the findings of the current comparison.
	MustFix int `json:"must_fix"`
	Confirm int `json:"confirm"`
	Note    int `json:"note"`
	// The other members count all findings, including those of earlier exports.
	Findings int `json:"findings"`
	Open     int `json:"open"`
	Waiting  int `json:"waiting"`
	Settled  int `json:"settled"`
	Noted    int `json:"noted"`
	Cleared  int `json:"cleared"`
}

// Withdrawn is an export that the pair withdrew.
type Withdrawn struct {
	Entry  int64  `json:"entry"`
	At     string `json:"at"`
	Files  []File `json:"files"`
	Reason string `json:"reason"`
	By     []Who  `json:"by"`
}

// File is a file as received.
type File struct {
	Name      string `json:"name"`
	SHA256    string `json:"sha256"`
	Size      int64  `json:"size"`
	Received  string `json:"received"`
	By        string `json:"by"`
	Announced string `json:"announced"` // when its digest was announced, empty if it was not
	// Tables are the files of an export that is tables, and their mapping. SHA256 is then the digest
	// of the list of them.
	Tables []TableFile `json:"tables,omitzero"`
}

// TableFile is a file of an export that is tables. Its role is "primary" for a table or sheet, and
// "mapping" for what reads the tables.
type TableFile struct {
	Role   string `json:"role"`
	Name   string `json:"name"`
	SHA256 string `json:"sha256"`
}

// Primary is the export that was compared.
type Primary struct {
	Files    []File `json:"files"`
	Cards    []File `json:"cards"` // the EMS's card list, if there was one
	Language string `json:"language"`
	// UnitLimit is the number of precincts above which a unit is reported.
	UnitLimit int `json:"unit_limit"`
	// Held lists what the export contains and no check compares; Made is what the export says about
	// its origin.
	Held []HeldMember `json:"held,omitzero"`
	Made []HeldMember `json:"made,omitzero"`
	// Read says, in sentences, how tables were read: hidden rows, formulas, sheets left out.
	Read []string `json:"how_read,omitzero"`
	// Other says that the export is of another election or date than the case; empty if there is no
	// sign of that.
	Other string `json:"other_election,omitzero"`
}

// HeldMember is what an export contains under one member name.
type HeldMember struct {
	Member string `json:"member"`
	// Count is the number of occurrences, Example the first value.
	Count   int    `json:"count"`
	Example string `json:"example"`
}

// Second is the second entry that was compared.
type Second struct {
	Keyers    []Who    `json:"keyers"`
	Seals     []Seal   `json:"seals"`
	Documents []string `json:"documents"`
	// Late is what was keyed while an export was already in the file.
	Late []Late `json:"late,omitzero"`
	// Entered says how the second entry came in, for each case that it was entered in: this case
	// first, then the joined ones.
	Entered []Entered `json:"entered,omitzero"`
}

// Entered says how one case's part of the second entry came in.
type Entered struct {
	// Joined is the entry by which the case was joined, 0 for this case. By are the people who
	// entered it.
	Joined int64 `json:"joined"`
	By     []Who `json:"by"`
	// InProgram are the contests keyed in the program, AsSheets those brought in as a sheet,
	// SheetsChanged those of a sheet that were changed in the program before the seal, AfterSeal
	// those keyed after the seal for an amendment, or added by a correction.
	InProgram     []string `json:"in_program"`
	AsSheets      []string `json:"as_sheets"`
	SheetsChanged []string `json:"sheets_changed"`
	AfterSeal     []string `json:"after_seal"`
	// Sheets are the sheets with rows in the second entry; sheets of units only after the units are
	// sealed.
	Sheets []EnteredSheet `json:"sheets"`
}

// EnteredSheet is a sheet that was brought in.
type EnteredSheet struct {
	File   string `json:"file"`
	Folder string `json:"folder"`
	SHA256 string `json:"sha256"`
	Entry  int64  `json:"entry"`
	At     string `json:"at"`
	By     Who    `json:"by"`
	// Signed is the entry of the seal that signs for the sheet, SignedBy the person who sealed; 0
	// and empty if no seal does.
	Signed   int64 `json:"signed"`
	SignedBy []Who `json:"signed_by"`
}

// Late says that something was keyed while an export was in the file.
type Late struct {
	// What was keyed, in words. Entry and Last are the first and the last entry that keyed it, in
	// this case or the joined one; At and Until are their times.
	What  string `json:"what"`
	Entry int64  `json:"entry"`
	Last  int64  `json:"last"`
	At    string `json:"at"`
	Until string `json:"until"`
	By    []Who  `json:"by"`
}

// Who is a person as named beside an act.
type Who struct {
	ID    string `json:"id"`
	Name  string `json:"name"`
	Party string `json:"party"`
	Seat  string `json:"seat"`
}

// Seal is the sealing of a scope ("ballots", "units") of the second entry.
type Seal struct {
	Entry   int64    `json:"entry"`
	At      string   `json:"at"`
	Scope   string   `json:"scope"`
	Without []string `json:"without"`
	By      []Who    `json:"by"`
	// Head is the hash of the seal's entry. Countersigned is the programmer's signature on it or on
	// a later seal's; it has at most one element.
	Head          string          `json:"head,omitzero"`
	Countersigned []Countersigned `json:"countersigned,omitzero"`
}

// Countersigned is the programmer's signature on the head of a seal.
type Countersigned struct {
	Entry int64  `json:"entry"`
	At    string `json:"at"`
	By    []Who  `json:"by"`
	// InTime means that no export came in between the seal and the signature.
	InTime bool `json:"in_time"`
}

// Person is a member of the roster with the public half of their key.
type Person struct {
	Who
	// PublicKey is the 32 bytes of an Ed25519 key (RFC 8032), Fingerprint their SHA-256.
	PublicKey   []byte `json:"public_key"`
	Fingerprint string `json:"fingerprint"`
	// Since and Until are entries of the journal; Until is 0 while the key is valid.
	Since int64 `json:"since"`
	Until int64 `json:"until"`
}

// Missing is one thing that was left to do. If a supervisor signs without it, it has the written
// reason.
type Missing struct {
	ID        string `json:"id"`
	Words     string `json:"words"`
	Exception string `json:"exception"`
}

// Earlier is an earlier signed report.
type Earlier struct {
	Entry  int64  `json:"entry"`
	At     string `json:"at"`
	SHA256 string `json:"sha256"`
	By     []Who  `json:"by"`
	// Superseded says what superseded it; empty if it is still current beside this report.
	Superseded string `json:"superseded"`
}

// Coverage says what was independently keyed.
type Coverage struct {
	// Late is the number of values that corrections put in or changed after an export had come in:
	// among the fields that were keyed, they are not independent.
	Late           int       `json:"keyed_late"`
	KeyedFields    int       `json:"keyed_fields"`
	NotKeyedFields int       `json:"not_keyed_fields"`
	NotKeyed       []string  `json:"not_keyed"`
	Contests       []Covered `json:"contests"`
	// Precincts and units are grouped if the same was keyed for them.
	Precincts []CoveredAlike `json:"precincts"`
	Units     []CoveredAlike `json:"units"`
}

// Covered says what was keyed for one thing.
type Covered struct {
	Name     string   `json:"name"`
	Source   string   `json:"source"`
	Keyed    int      `json:"keyed"`
	NotKeyed []string `json:"not_keyed"`
}

// CoveredAlike says what was keyed for several things.
type CoveredAlike struct {
	Names    []string `json:"names"`
	Keyed    []string `json:"keyed"`
	NotKeyed []string `json:"not_keyed"`
}

// Overview is the county at a glance: a row for the ballot styles that differ in the same contests,
// and a column for each contest that differs, both in ballot order. The rest is counted.
type Overview struct {
	// Contests name the columns. Reports before rendering 5 have a column for each contest of
	// Report.Contests and a row for each style, and leave Contests and the counts out.
	Contests []string      `json:"contests,omitzero"`
	Rows     []OverviewRow `json:"rows"`
	// SameContests and SameStyles count those that were keyed and agree, PartContests and PartStyles
	// those on which nothing differs and something was not keyed, MoreContests and MoreStyles those
	// that differ and are not shown, because they are too many.
	SameContests int `json:"same_contests,omitzero"`
	SameStyles   int `json:"same_styles,omitzero"`
	PartContests int `json:"part_contests,omitzero"`
	PartStyles   int `json:"part_styles,omitzero"`
	MoreContests int `json:"more_contests,omitzero"`
	MoreStyles   int `json:"more_styles,omitzero"`
}

// OverviewRow is one or more ballot styles. Ballot is the cell of the ballot as a whole; Cells has
// one letter for each column.
type OverviewRow struct {
	Style     string `json:"style"`
	Precincts int    `json:"precincts"`
	Ballot    string `json:"ballot"`
	Cells     string `json:"cells"`
}

// The cell letters of an overview.
const (
	CellNone    = '.' // the contest is not on this ballot
	CellAgreed  = 'a' // both entries say the same
	CellSettled = 's' // they differed, but that is settled or cleared
	CellOpen    = 'o' // they differ
	CellPart    = 'p' // part of it was not keyed; the rest agrees
	CellUnkeyed = 'n' // nothing of it was keyed
)

// JSON returns the report as canonical JSON (RFC 8785). For a parsed report it returns the bytes
// that were read.
func (r *Report) JSON() ([]byte, error) {
	if r.raw != nil {
		return bytes.Clone(r.raw), nil
	}
	b, err := json.Marshal(r)
	if err != nil {
		return nil, fmt.Errorf("the report cannot be written: %w", err)
	}
	return Canonical(b)
}

// Digest returns the SHA-256 of the report's JSON.
func (r *Report) Digest() (casefile.Digest, error) {
	b, err := r.JSON()
	if err != nil {
		return casefile.Digest{}, err
	}
	return casefile.DigestOf(b), nil
}

// person returns the person with a number, or nil.
func (r *Report) person(id string) *Person {
	for i := range r.People {
		if r.People[i].ID == id {
			return &r.People[i]
		}
	}
	return nil
}
