// Package report is the comparison report: what the office keeps, shows an observer
// and signs.
//
// A Report is plain data, made of a case as it stands (Make) or read back from the
// JSON that was signed (Parse). It has three forms with the same content in the same
// order: canonical JSON (RFC 8785), which is what signatures are over, one
// self-contained HTML file, and a PDF. The second and third are made of nothing but
// the first and the signatures on it, so that a signed report can be shown again at
// any time. The same report gives the same bytes.
package report

import (
	"bytes"
	"encoding/json"
	"fmt"

	"counterproof/model/casefile"
)

// Format is the value of a report's member "format".
const Format = "counterproof-report/1"

// Rendering counts the ways in which this program has made reports: it goes up with
// any change in what a report says of a case, or in how it is laid out. A report says
// which one it was made with; Verify makes reports of its own rendering again. Rendering 2
// says who countersigned the seals, and what was keyed with an export in the file;
// rendering 3 says what changed between exports value by value; rendering 4 says of each
// contest whether it was keyed in the program or brought in as a sheet.
const Rendering = 4

// rulesSince is the first rendering whose reports are made again: those of before name what
// changed between exports by another rule.
const rulesSince = 4

// Report is one comparison report. The JSON keys are part of the product's contract.
// Times are RFC 3339 in UTC, digests 64 hexadecimal digits, and every list is present,
// if empty.
type Report struct {
	Format    string `json:"format"`
	Rendering int    `json:"rendering"`
	// Case is the case's number. Entries and Head are the journal's last entry when
	// the report was made, Made its time.
	Case    string `json:"case"`
	Entries int64  `json:"entries"`
	Head    string `json:"head"`
	Made    string `json:"made"`

	Election Election `json:"election"`
	// Result is the outcome in one sentence. Finished says that nothing was left to do.
	Result string `json:"result"`
	// Limit says what the result does not cover, in sentences: what was keyed from which kind
	// of document, which languages were not compared, and what of the export no check compares.
	Limit    string `json:"limit,omitzero"`
	Finished bool   `json:"finished"`
	Counts   Counts `json:"counts"`

	Primary Primary  `json:"primary"`
	Second  Second   `json:"second"`
	People  []Person `json:"people"`
	// Signers are the people who are to sign, by their number in the case.
	Signers []string  `json:"signers"`
	Missing []Missing `json:"missing"`
	// Earlier are the reports of this case that were signed before.
	Earlier   []Earlier `json:"earlier"`
	Cautions  []string  `json:"cautions"`
	CannotSee []string  `json:"cannot_see"`

	Coverage Coverage `json:"coverage"`
	Overview Overview `json:"overview"`

	Findings    []Finding    `json:"findings"`
	Causes      []Cause      `json:"causes"`
	Corrections []Correction `json:"corrections"`
	Amendments  []Amendment  `json:"amendments"`
	Mappings    []Mapping    `json:"mappings"`
	Compared    []Compared   `json:"compared_as"`
	Exports     []Export     `json:"exports"`
	// Withdrawn are exports that came in and that the pair withdrew: they are compared with
	// nothing.
	Withdrawn []Withdrawn `json:"withdrawn,omitzero"`

	Contests []Contest `json:"contests"`
	Styles   []Style   `json:"styles"`
	Units    []Unit    `json:"units"`

	// Signatures are those on this report's JSON, where there are any. They are no
	// part of it.
	Signatures []Signature `json:"-"`
	// Superseded says by what a signed report was superseded; empty while it stands.
	Superseded string `json:"-"`

	raw []byte // as it was parsed
}

// Election names the election, as the office calls it.
type Election struct {
	Name         string `json:"name"`
	Date         string `json:"date"`
	Jurisdiction string `json:"jurisdiction"`
}

// Counts are the numbers of the front page.
type Counts struct {
	Precincts int `json:"precincts"`
	Contests  int `json:"contests"`
	Styles    int `json:"styles"`
	Units     int `json:"units"`
	// MustFix, Confirm and Note count what the comparison finds now.
	MustFix int `json:"must_fix"`
	Confirm int `json:"confirm"`
	Note    int `json:"note"`
	// The rest counts all findings, those of earlier exports included.
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

// File is a file as it was received.
type File struct {
	Name      string `json:"name"`
	SHA256    string `json:"sha256"`
	Size      int64  `json:"size"`
	Received  string `json:"received"`
	By        string `json:"by"`
	Announced string `json:"announced"` // when its digest was made known, empty if it was not
}

// Primary is the export that was compared.
type Primary struct {
	Files    []File `json:"files"`
	Cards    []File `json:"cards"` // the EMS's card list, if there was one
	Language string `json:"language"`
	// UnitLimit is the number of precincts above which a unit is reported.
	UnitLimit int `json:"unit_limit"`
	// Held is what the export holds and no check compares, Made what it says of who made it.
	Held []HeldMember `json:"held,omitzero"`
	Made []HeldMember `json:"made,omitzero"`
	// Other says that it is of another election or date than the case; empty where nothing
	// says so.
	Other string `json:"other_election,omitzero"`
}

// HeldMember is what an export holds under one name of a member.
type HeldMember struct {
	Member string `json:"member"`
	// Count is how often, Example what it says there first.
	Count   int    `json:"count"`
	Example string `json:"example"`
}

// Second is the second entry that was compared.
type Second struct {
	Keyers    []Who    `json:"keyers"`
	Seals     []Seal   `json:"seals"`
	Documents []string `json:"documents"`
	// Late is what was keyed while an export was in the file already.
	Late []Late `json:"late,omitzero"`
	// Entered says how the second entry came in, by the case that it was entered in: this
	// one first, then those that were joined.
	Entered []Entered `json:"entered,omitzero"`
}

// Entered is how what one case holds of the second entry came in.
type Entered struct {
	// Joined is the entry by which the case was joined, 0 for this one. By are the people
	// who entered it.
	Joined int64 `json:"joined"`
	By     []Who `json:"by"`
	// InProgram are the contests that were keyed in the program, AsSheets those that were
	// brought in as a sheet, SheetsChanged those of a sheet that were changed in the program
	// before the seal, AfterSeal those keyed after the seal for an amendment.
	InProgram     []string `json:"in_program"`
	AsSheets      []string `json:"as_sheets"`
	SheetsChanged []string `json:"sheets_changed"`
	AfterSeal     []string `json:"after_seal"`
	// Sheets are the sheets of which rows stand, those of units once these are sealed.
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
	// Signed is the entry of the seal that signs for the sheet, SignedBy who sealed; 0 and
	// nobody where no seal does.
	Signed   int64 `json:"signed"`
	SignedBy []Who `json:"signed_by"`
}

// Late says that something was keyed while an export was in the file.
type Late struct {
	// What was keyed, in words. Entry and Last are the first and the last entry that
	// keyed it, of this case or the one that was joined; At and Until their times.
	What  string `json:"what"`
	Entry int64  `json:"entry"`
	Last  int64  `json:"last"`
	At    string `json:"at"`
	Until string `json:"until"`
	By    []Who  `json:"by"`
}

// Who is a person as they stand beside an act.
type Who struct {
	ID    string `json:"id"`
	Name  string `json:"name"`
	Party string `json:"party"`
	Seat  string `json:"seat"`
}

// Seal closed a scope ("ballots", "units") of the second entry.
type Seal struct {
	Entry   int64    `json:"entry"`
	At      string   `json:"at"`
	Scope   string   `json:"scope"`
	Without []string `json:"without"`
	By      []Who    `json:"by"`
	// Head is the hash of the seal's entry, Countersigned the programmer's signature on
	// it or on a later seal's; there is one at most.
	Head          string          `json:"head,omitzero"`
	Countersigned []Countersigned `json:"countersigned,omitzero"`
}

// Countersigned is the programmer's signature on the head of a seal.
type Countersigned struct {
	Entry int64  `json:"entry"`
	At    string `json:"at"`
	By    []Who  `json:"by"`
	// InTime says that no export came in between the seal and the signature.
	InTime bool `json:"in_time"`
}

// Person is someone on the roster with the public half of their key.
type Person struct {
	Who
	// PublicKey are the 32 bytes of an Ed25519 key (RFC 8032), Fingerprint the SHA-256
	// of them.
	PublicKey   []byte `json:"public_key"`
	Fingerprint string `json:"fingerprint"`
	// Since and Until are entries of the journal; Until is 0 while the key is good.
	Since int64 `json:"since"`
	Until int64 `json:"until"`
}

// Missing is one thing that was left to do, and, where a supervisor signs in spite of
// it, the written reason.
type Missing struct {
	ID        string `json:"id"`
	Words     string `json:"words"`
	Exception string `json:"exception"`
}

// Earlier is a report that was signed before.
type Earlier struct {
	Entry  int64  `json:"entry"`
	At     string `json:"at"`
	SHA256 string `json:"sha256"`
	By     []Who  `json:"by"`
	// Superseded says by what it was superseded; empty while it stands beside this one.
	Superseded string `json:"superseded"`
}

// Coverage says what was independently keyed.
type Coverage struct {
	KeyedFields    int       `json:"keyed_fields"`
	NotKeyedFields int       `json:"not_keyed_fields"`
	NotKeyed       []string  `json:"not_keyed"`
	Contests       []Covered `json:"contests"`
	// Precincts and units are put together where the same was keyed of them.
	Precincts []CoveredAlike `json:"precincts"`
	Units     []CoveredAlike `json:"units"`
}

// Covered is what was keyed of one thing.
type Covered struct {
	Name     string   `json:"name"`
	Source   string   `json:"source"`
	Keyed    int      `json:"keyed"`
	NotKeyed []string `json:"not_keyed"`
}

// CoveredAlike is what was keyed of several things.
type CoveredAlike struct {
	Names    []string `json:"names"`
	Keyed    []string `json:"keyed"`
	NotKeyed []string `json:"not_keyed"`
}

// Overview is the county at a glance: a row for each ballot style, a column for each
// contest of Report.Contests.
type Overview struct {
	Rows []OverviewRow `json:"rows"`
}

// OverviewRow is one ballot style. Ballot is the cell of the ballot as a whole, Cells
// has one letter for each contest.
type OverviewRow struct {
	Style     string `json:"style"`
	Precincts int    `json:"precincts"`
	Ballot    string `json:"ballot"`
	Cells     string `json:"cells"`
}

// The letters of an overview.
const (
	CellNone    = '.' // the contest is not on this ballot
	CellAgreed  = 'a' // both entries say the same
	CellSettled = 's' // they differed, and that is settled or was cleared
	CellOpen    = 'o' // they differ
	CellPart    = 'p' // something of it was not keyed; the rest agrees
	CellUnkeyed = 'n' // nothing of it was keyed
)

// Finding is one finding with what was made of it. Its first keys are those of the
// comparison's result. They are written down here once more, because a signed report
// is read as it was written, whatever a comparison says in later years.
type Finding struct {
	Number    int      `json:"number"`
	ID        string   `json:"id"`
	Check     string   `json:"check"`
	Grade     string   `json:"grade"`
	Contest   string   `json:"contest"`
	Party     string   `json:"party"`
	Choice    string   `json:"choice"`
	Precincts []string `json:"precincts"`
	Unit      string   `json:"unit"`
	Site      string   `json:"site"`
	Style     string   `json:"style"`
	Primary   string   `json:"primary"`
	Second    string   `json:"second"`
	Message   string   `json:"message"`
	Cause     string   `json:"cause"`
	// Status is one of review's; Decisions come first to last.
	Status    string     `json:"status"`
	Decisions []Decision `json:"decisions"`
}

// Decision is what the pair decided.
type Decision struct {
	Entry    int64  `json:"entry"`
	At       string `json:"at"`
	Outcome  string `json:"outcome"`
	Reason   string `json:"reason"`
	Document string `json:"document"`
	// Correction is the entry of the correction that mends it, 0 for none.
	Correction int64 `json:"correction"`
	By         []Who `json:"by"`
}

// Cause is a pattern that findings share, by their identities.
type Cause struct {
	ID       string   `json:"id"`
	Message  string   `json:"message"`
	Findings []string `json:"findings"`
}

// Correction changed sealed values of the second entry.
type Correction struct {
	Entry    int64    `json:"entry"`
	At       string   `json:"at"`
	Reason   string   `json:"reason"`
	Document string   `json:"document"`
	By       []Who    `json:"by"`
	Changes  []Change `json:"changes"`
}

// Change is one field of a correction: what stood there and what stands there after.
// Empty means not keyed.
type Change struct {
	Field string `json:"field"`
	What  string `json:"what"` // the field, in words
	Was   string `json:"was"`
	Now   string `json:"now"`
}

// Amendment reopened sealed contests.
type Amendment struct {
	Entry       int64    `json:"entry"`
	At          string   `json:"at"`
	Date        string   `json:"date"`
	Document    string   `json:"document"`
	Reason      string   `json:"reason"`
	Contests    []string `json:"contests"`
	MailedStand bool     `json:"mailed_stand"`
	By          []Who    `json:"by"`
}

// Mapping says that two things are one.
type Mapping struct {
	Entry   int64  `json:"entry"`
	At      string `json:"at"`
	Kind    string `json:"kind"`
	Primary string `json:"primary"`
	Second  string `json:"second"`
	Reason  string `json:"reason"`
	By      []Who  `json:"by"`
}

// Compared says how exports were compared from an entry on.
type Compared struct {
	Entry     int64    `json:"entry"`
	At        string   `json:"at"`
	Elections []string `json:"elections"`
	Language  string   `json:"language"`
	UnitLimit int      `json:"unit_limit"`
	Reason    string   `json:"reason"`
	By        []Who    `json:"by"`
}

// Export is one export of the case, in sequence.
type Export struct {
	Entry int64  `json:"entry"`
	Name  string `json:"name"`
	At    string `json:"at"`
	Files []File `json:"files"`
	Cards []File `json:"cards"`
	// Asked and Unasked are what it changed from the one before, in words.
	Asked   []string `json:"asked"`
	Unasked []string `json:"unasked"`
}

// Contest is a contest as the last export has it.
type Contest struct {
	Title    string   `json:"title"`
	Subtitle string   `json:"subtitle"`
	Kind     string   `json:"kind"`
	VoteFor  string   `json:"vote_for"` // empty where the export states none
	Parties  []string `json:"primary_parties"`
	Text     string   `json:"text"`
	Choices  []Choice `json:"choices"`
}

// Choice is one voting position.
type Choice struct {
	Name    string   `json:"name"`
	Lines   []string `json:"party_lines"`
	WriteIn bool     `json:"write_in"`
}

// Style is a ballot style as the last export has it, with its precincts.
type Style struct {
	Label     string   `json:"label"`
	Parties   []string `json:"parties"`
	Precincts []string `json:"precincts"`
	Places    []Place  `json:"contests"`
	Closing   []string `json:"closing"`
	// Findings are the numbers of those that are still there on this ballot.
	Findings []int `json:"findings"`
}

// Place is a contest on a ballot: its index in Report.Contests, the headings above it
// and the order of its choices, empty where it is the contest's own.
type Place struct {
	Contest  int      `json:"contest"`
	Headings []string `json:"headings"`
	Order    []int    `json:"order"`
}

// Unit is a voting unit with its card header.
type Unit struct {
	Name      string   `json:"name"`
	Site      string   `json:"site"`
	Use       string   `json:"use"`
	Precincts []string `json:"precincts"`
}

// JSON returns the report as canonical JSON (RFC 8785). Of a report that was read it
// returns the bytes that were read.
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

// person returns the person with the number, or nil.
func (r *Report) person(id string) *Person {
	for i := range r.People {
		if r.People[i].ID == id {
			return &r.People[i]
		}
	}
	return nil
}
