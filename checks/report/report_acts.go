package report

// Finding is one finding with its decisions. Its first keys are those of a comparison's JSON. They
// are declared here again because a signed report must be read as it was written, even if
// comparisons change in later years.
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
	// Status is a status of package review; Decisions are first to last.
	Status    string     `json:"status"`
	Decisions []Decision `json:"decisions"`
	// Sites are the polling sites of the precincts, if they are few.
	Sites []Site `json:"sites,omitzero"`
	// ClearedBy is the number of the export, in sequence and after these those in other formats, that
	// cleared it; 0 for a correction, and
	// for a finding that is not cleared or of which it is not known.
	ClearedBy int `json:"cleared_by_export,omitzero"`
}

// Decision is a decision of the pair.
type Decision struct {
	Entry    int64  `json:"entry"`
	At       string `json:"at"`
	Outcome  string `json:"outcome"`
	Reason   string `json:"reason"`
	Document string `json:"document"`
	// Correction is the entry of the correction that fixes a keying slip, 0 for none.
	Correction int64 `json:"correction"`
	By         []Who `json:"by"`
}

// Cause is a pattern that several findings share, with their identities.
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

// Change is one field of a correction, with its values before and after. Empty means not keyed.
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

// Mapping states that two things are the same.
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

// TablesMapping is a mapping that the pair signed: from its entry on, tables come in through it.
type TablesMapping struct {
	Entry    int64         `json:"entry"`
	At       string        `json:"at"`
	Name     string        `json:"name"`
	SHA256   string        `json:"sha256"`
	Language string        `json:"language"`
	Tables   []MappedTable `json:"tables"`
	Reason   string        `json:"reason"`
	By       []Who         `json:"by"`
}

// MappedTable is what a mapping says of one table: its file and sheet, where each column comes from,
// and which values are replaced. Its keys are long enough for leastObject.
type MappedTable struct {
	Table   string   `json:"table"`
	Meaning []string `json:"what_it_means"`
}

// Export is one export of the case, in sequence.
type Export struct {
	Entry int64  `json:"entry"`
	Name  string `json:"name"`
	At    string `json:"at"`
	Files []File `json:"files"`
	Cards []File `json:"cards"`
	// Format and With are of an export in another format: which it is, and the name of the export with
	// which it was compared, once.
	Format string `json:"format,omitempty"`
	With   string `json:"with,omitempty"`
	// Asked and Unasked are the changes from the previous export, in words.
	Asked   []string `json:"asked"`
	Unasked []string `json:"unasked"`
}
