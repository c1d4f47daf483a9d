package main

import (
	"bufio"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"github.com/dustin/go-humanize/english"
	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"counterproof/checks/report"
	"counterproof/checks/review"
	"counterproof/checks/wording"
	"counterproof/model/casefile"
	"counterproof/model/files"
	"counterproof/model/program"
)

// logCommand is "cproof log".
type logCommand struct {
	onCase
	After int64 `default:"0" placeholder:"ENTRY" help:"Only what came after this entry."`
}

// Help is shown by "cproof log --help".
func (logCommand) Help() string {
	return `Says in words what happened in a case, entry by entry: when, who, what. Of keyed values it says how
many there are, not what they hold. A journal that does not hold together is told as far as it does; "cproof
verify" says where it breaks.

    cproof log tarnwick.counterproof`
}

// Run prints the journal.
func (c *logCommand) Run(s *session) error {
	of, err := casefile.Open(c.Case, casefile.Options{ReadOnly: true, ReadBroken: true})
	if err != nil {
		return err
	}
	defer of.Close() // nothing was written
	teller := newJournalTeller(of)
	buffer := bufio.NewWriterSize(s.out, 1<<16)
	p := pageFor(s.out, s.getenv)
	broken := of.Broken()
	for entry, err := range of.Entries(c.After) {
		if err != nil {
			return err
		}
		if broken != nil && entry.Seq > teller.state.Seq {
			break
		}
		line := &sheet{page: p}
		line.hanging(fmt.Sprintf("%5d  %s  ", entry.Seq, strings.Replace(strings.Replace(entry.At, "T", " ", 1), "Z", " UTC",
			1)), "", teller.words(&entry))
		if _, err := io.WriteString(buffer, line.text.String()); err != nil {
			return files.Unwritten("standard output", err)
		}
	}
	if broken != nil {
		line := &sheet{page: p}
		line.paragraph(fmt.Sprintf("Here the journal breaks: %v", broken))
		if _, err := io.WriteString(buffer, line.text.String()); err != nil {
			return files.Unwritten("standard output", err)
		}
		s.found = true
	}
	if err := buffer.Flush(); err != nil {
		return files.Unwritten("standard output", err)
	}
	return nil
}

// journalTeller describes entries in words.
type journalTeller struct {
	state *casefile.State
	// names are the names, for people, of the fields and rows that entries are about, by path. They
	// are read beforehand, because nothing else can be read while the entries are.
	names map[string]string
	// programs say which program made a signed report, by its digest.
	programs map[casefile.Digest]string
}

func newJournalTeller(of *casefile.Case) journalTeller {
	j := journalTeller{of.State(), map[string]string{}, programsOf(of)}
	names := review.NamesIn(of)
	note := func(path, words string, err error) {
		if err == nil {
			j.names[path] = words
		}
	}
	for _, a := range j.state.Corrections {
		for _, field := range a.Terms.Fields() {
			words, err := names.Field(field)
			note(field.String(), words, err)
		}
	}
	for _, a := range j.state.Amendments {
		for _, row := range a.Terms.Contests {
			words, err := names.Row(row)
			note(row.String(), words, err)
		}
	}
	return j
}

// programsOf says which programs made the signed reports. A report that cannot be read has none:
// "cproof verify" says what is wrong with it.
func programsOf(of *casefile.Case) map[casefile.Digest]string {
	signed, err := report.Signed(of)
	if err != nil {
		return nil
	}
	programs := map[casefile.Digest]string{}
	for _, r := range signed {
		if digest, err := r.Digest(); err == nil && r.Program != (program.Build{}) {
			programs[digest] = wording.Visible(r.Program.Line()) + ", sha256 " + wording.Visible(r.Program.SHA256)
		}
	}
	return programs
}

// called returns the name of a field or row for people; its path if there is no name.
func (j journalTeller) called(path string) string {
	if words, ok := j.names[path]; ok {
		return words
	}
	return path
}

func (j journalTeller) name(id casefile.PersonID) string { return nameIn(j.state, id) }

// act reads the terms of a signed entry and returns who signed it.
func (j journalTeller) act(e *casefile.Entry, terms any) (signers string, ok bool) {
	var body struct {
		Act        jsontext.Value       `json:"act"`
		Signatures []casefile.Signature `json:"signatures"`
	}
	if json.Unmarshal([]byte(e.Body), &body) != nil || json.Unmarshal(body.Act, terms) != nil {
		return "", false
	}
	people := make([]casefile.PersonID, len(body.Signatures))
	for i, s := range body.Signatures {
		people[i] = s.Person
	}
	return namesIn(j.state, people), true
}

// signedAct describes a signed entry by its terms; empty where they cannot be read.
func signedAct[T any](j journalTeller, e *casefile.Entry, words func(T) string) string {
	var terms T
	signers, ok := j.act(e, &terms)
	if !ok {
		return ""
	}
	return words(terms) + "; signed by " + signers
}

// findingsIn names the findings that a decision is about.
func findingsIn(list []casefile.Decided) string {
	var names []string
	for _, d := range list {
		names = append(names, d.Finding)
	}
	return strings.Join(names, ", ")
}

// words describes an entry in one sentence without a full stop.
func (j journalTeller) words(e *casefile.Entry) string {
	unread := fmt.Sprintf("an entry %q that this program cannot put into words", e.Kind)
	switch e.Kind {
	case casefile.KindCase:
		s := j.state
		return fmt.Sprintf("the case begins: %s, %s, %s; the pair's parties are %s", s.Election.Name, s.Election.Date,
			s.Election.Jurisdiction, english.WordSeries(s.Parties, "and"))
	case casefile.KindEnrolled:
		var terms struct {
			Name     string            `json:"name"`
			Initials string            `json:"initials"`
			Party    string            `json:"party"`
			Seat     casefile.Seat     `json:"seat"`
			Replaces casefile.PersonID `json:"replaces"`
		}
		signers, ok := j.act(e, &terms)
		if !ok {
			return unread
		}
		words := fmt.Sprintf("%s (%s) of %s is enrolled as %s", terms.Name, terms.Initials, terms.Party, terms.Seat.Words())
		if terms.Replaces != "" {
			words += " in place of " + j.name(terms.Replaces)
		}
		return words + "; signed by " + signers
	case casefile.KindUnlockFailed:
		var body struct {
			Person casefile.PersonID `json:"person"`
		}
		if json.Unmarshal([]byte(e.Body), &body) != nil {
			return unread
		}
		return "a wrong passphrase was given for " + j.name(body.Person)
	case casefile.KindKeyed:
		var body map[string]map[string]string
		if json.Unmarshal([]byte(e.Body), &body) != nil {
			return unread
		}
		fields := 0
		for _, row := range body {
			fields += len(row)
		}
		return fmt.Sprintf("%s keyed %s", j.name(e.Who), english.Plural(fields, "field", ""))
	case casefile.KindSheetsKeyed:
		var body struct {
			From   string                     `json:"from"`
			Sheets map[string]casefile.Digest `json:"sheets"`
		}
		if json.Unmarshal([]byte(e.Body), &body) != nil {
			return unread
		}
		var files []string
		for file := range body.Sheets {
			files = append(files, file)
		}
		slices.Sort(files)
		return fmt.Sprintf("%s brought in keyed sheets from %q: %s", j.name(e.Who), body.From, strings.Join(files, ", "))
	case casefile.KindUndone, casefile.KindRedone:
		var body struct {
			Of int64 `json:"of"`
		}
		if json.Unmarshal([]byte(e.Body), &body) != nil {
			return unread
		}
		if e.Kind == casefile.KindUndone {
			return fmt.Sprintf("%s took entry %d back", j.name(e.Who), body.Of)
		}
		return fmt.Sprintf("%s did entry %d again", j.name(e.Who), body.Of)
	case casefile.KindAnnounced, casefile.KindReceived:
		var body struct {
			Name   string          `json:"name"`
			SHA256 casefile.Digest `json:"sha256"`
			Size   int64           `json:"size"`
		}
		if json.Unmarshal([]byte(e.Body), &body) != nil {
			return unread
		}
		if e.Kind == casefile.KindAnnounced {
			return fmt.Sprintf("%s made the export %q known by its digest, sha256 %s", j.name(e.Who), body.Name, body.SHA256)
		}
		return fmt.Sprintf("%s brought in %q, %d bytes, sha256 %s", j.name(e.Who), body.Name, body.Size, body.SHA256)
	case casefile.KindTablesReceived:
		var body struct {
			Files   map[string]casefile.Digest `json:"files"`
			Mapping *casefile.NamedDigest      `json:"mapping"`
			SHA256  casefile.Digest            `json:"sha256"`
			Size    int64                      `json:"size"`
		}
		if json.Unmarshal([]byte(e.Body), &body) != nil {
			return unread
		}
		through := ""
		if body.Mapping != nil {
			through = fmt.Sprintf(" through the mapping %q", body.Mapping.Name)
		}
		return fmt.Sprintf("%s brought in the tables %s%s, %d bytes, sha256 of their list %s", j.name(e.Who),
			strings.Join(slices.Sorted(maps.Keys(body.Files)), ", "), through, body.Size, body.SHA256)
	case casefile.KindProof:
		var body struct {
			Proofs []casefile.Proof `json:"proofs"`
		}
		if json.Unmarshal([]byte(e.Body), &body) != nil {
			return unread
		}
		var list []string
		for _, p := range body.Proofs {
			of := p.Style
			if of == "" {
				of = "all " + string(p.Scope)
			}
			list = append(list, fmt.Sprintf("%q (%s), %d bytes, sha256 %s", p.Name, of, p.Size, p.SHA256))
		}
		words := english.Plural(len(list), "printed proof was", "printed proofs were") + " attached"
		if e.Who != "" {
			words += " by " + j.name(e.Who)
		}
		return words + ": " + strings.Join(list, "; ")
	case casefile.KindCollected:
		if words := j.collectedWords(e); words != "" {
			return words
		}
	case casefile.KindJoined:
		var body struct {
			Name    string          `json:"name"`
			Entries int64           `json:"entries"`
			Head    casefile.Digest `json:"head"`
		}
		if json.Unmarshal([]byte(e.Body), &body) != nil {
			return unread
		}
		return fmt.Sprintf("%s joined the case %q with its %s, head %s", j.name(e.Who), body.Name,
			english.Plural(int(body.Entries), "entry", "entries"), body.Head)
	}
	for _, words := range []string{j.signedWords(e), j.deckWords(e), j.cardsWords(e)} {
		if words != "" {
			return words
		}
	}
	return unread
}

// collectedWords describes a change of the list of decisions that are to be signed.
func (j journalTeller) collectedWords(e *casefile.Entry) string {
	var body struct {
		Add  *casefile.Proposal `json:"add"`
		Drop []int64            `json:"drop"`
	}
	if json.Unmarshal([]byte(e.Body), &body) != nil {
		return ""
	}
	var parts []string
	if body.Add != nil {
		parts = append(parts, fmt.Sprintf("put on the list to be signed, by nobody yet: %s: %s; %s",
			body.Add.Decision.Outcome, findingsIn(body.Add.Decision.Findings), body.Add.Decision.Reason))
	}
	if len(body.Drop) > 0 {
		var entries []string
		for _, seq := range body.Drop {
			entries = append(entries, fmt.Sprint(seq))
		}
		parts = append(parts, "taken off the list to be signed: "+
			english.PluralWord(len(entries), "entry", "entries")+" "+english.WordSeries(entries, "and"))
	}
	return strings.Join(parts, "; ")
}

// signedWords describes a signed entry.
func (j journalTeller) signedWords(e *casefile.Entry) string {
	signed := func(words, signers string) string { return words + "; signed by " + signers }
	looked := func(document string) string {
		if document == "" {
			return ""
		}
		return "; looked at: " + document
	}
	switch e.Kind {
	case casefile.KindSealed:
		var terms casefile.Seal
		if signers, ok := j.act(e, &terms); ok {
			words := fmt.Sprintf("the %s were sealed", terms.Scope)
			if len(terms.Without) > 0 {
				words += ", without " + strings.Join(terms.Without, ", ")
			}
			if len(terms.Sheets) > 0 {
				words += ", and " + english.Plural(len(terms.Sheets), "sheet was", "sheets were") + " signed for"
			}
			return signed(words, signers)
		}
	case casefile.KindCountersigned:
		var terms casefile.Countersignature
		if signers, ok := j.act(e, &terms); ok {
			return signed(fmt.Sprintf("the seal of entry %d was countersigned, head %s", terms.Seal, terms.Head), signers)
		}
	case casefile.KindWithdrawn:
		var terms casefile.Withdrawal
		if signers, ok := j.act(e, &terms); ok {
			var names []string
			for _, x := range j.state.Exports {
				if slices.Contains(terms.Exports, x.Seq) {
					names = append(names, fmt.Sprintf("%q (entry %d)", x.Name, x.Seq))
				}
			}
			return signed(fmt.Sprintf("withdrawn: %s; %s", orNone(english.WordSeries(names, "and")), terms.Reason), signers)
		}
	case casefile.KindCorrected:
		var terms casefile.Correction
		if signers, ok := j.act(e, &terms); ok {
			var changes []string
			for _, field := range terms.Fields() {
				changes = append(changes, fmt.Sprintf("%s from %q to %q", j.called(field.String()), terms.Was[field.String()],
					terms.Set[field.String()]))
			}
			return signed(fmt.Sprintf("the second entry was corrected: %s; %s%s", strings.Join(changes, "; "), terms.Reason,
				looked(terms.Document)), signers)
		}
	case casefile.KindDecided:
		var terms casefile.Decision
		if signers, ok := j.act(e, &terms); ok {
			words := fmt.Sprintf("decided %s: %s; %s%s", terms.Outcome, findingsIn(terms.Findings), terms.Reason,
				looked(terms.Document))
			if terms.Correction > 0 {
				words += fmt.Sprintf("; corrected in entry %d", terms.Correction)
			}
			return signed(words, signers)
		}
	case casefile.KindMapped:
		var terms casefile.Mapping
		if signers, ok := j.act(e, &terms); ok {
			return signed(fmt.Sprintf("mapped: the %s %q of the export is %q of the second entry; %s", terms.Kind,
				terms.Primary, terms.Second, terms.Reason), signers)
		}
	case casefile.KindComparedAs:
		var terms casefile.ComparedAs
		if signers, ok := j.act(e, &terms); ok {
			var how []string
			if len(terms.Elections) > 0 {
				how = append(how, "the election "+english.WordSeries(terms.Elections, "and"))
			}
			if terms.Language != "" {
				how = append(how, "the language "+terms.Language)
			}
			if terms.UnitLimit > 0 {
				how = append(how, fmt.Sprintf("at most %d precincts on a unit", terms.UnitLimit))
			}
			if len(how) == 0 {
				how = []string{"the export's only election, its first language, the usual limit"}
			}
			return signed(fmt.Sprintf("from here on exports are compared as: %s; %s", strings.Join(how, ", "), terms.Reason),
				signers)
		}
	case casefile.KindTablesMapped:
		var terms casefile.TablesMapping
		if signers, ok := j.act(e, &terms); ok {
			return signed(fmt.Sprintf("from here on tables come in through the mapping %q, sha256 %s; %s", terms.Name,
				terms.SHA256, terms.Reason), signers)
		}
	case casefile.KindWitnessed:
		var terms casefile.Witness
		if signers, ok := j.act(e, &terms); ok {
			words := fmt.Sprintf("brought in the %s %q, %s: %q, %d bytes, sha256 %s", terms.Kind.Words(), terms.Document,
				terms.Version, terms.Name, terms.Size, terms.SHA256)
			if terms.Mapping != nil {
				words += fmt.Sprintf(", read through the mapping %q, sha256 %s", terms.Mapping.Name, terms.Mapping.SHA256)
			}
			return signed(words, signers)
		}
	case casefile.KindAmended:
		var terms casefile.Amendment
		if signers, ok := j.act(e, &terms); ok {
			var contests []string
			for _, row := range terms.Contests {
				contests = append(contests, j.called(row.String()))
			}
			words := fmt.Sprintf("amended by %s of %s: %s; reopened: %s", terms.Document, terms.Date, terms.Reason,
				orNone(strings.Join(contests, ", ")))
			if terms.MailedStand {
				words += "; ballots already mailed stay valid"
			}
			return signed(words, signers)
		}
	case casefile.KindSignedOff:
		var terms casefile.SignOff
		if signers, ok := j.act(e, &terms); ok {
			words := "a report was signed, sha256 " + terms.Report.String()
			if by := j.programs[terms.Report]; by != "" {
				words += ", made by " + by
			}
			if len(terms.Exceptions) > 0 {
				words += ", with exceptions: " + strings.Join(terms.Exceptions, " ")
			}
			return signed(words, signers)
		}
	}
	return ""
}

func orNone(words string) string {
	if words == "" {
		return "nothing"
	}
	return words
}
