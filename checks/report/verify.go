package report

import (
	"crypto/ed25519"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/dustin/go-humanize"
	"github.com/dustin/go-humanize/english"

	"counterproof/model/casefile"
	"counterproof/model/files"
)

// Fault is one thing that is wrong.
type Fault struct {
	// Where is the file in an evidence folder, or the report; empty for the path that was checked.
	Where string
	Text  string
}

// Words describes the fault in one sentence.
func (f Fault) Words() string {
	if f.Where == "" {
		return f.Text
	}
	return f.Where + ": " + f.Text
}

// CheckedReport is a signed report that was checked.
type CheckedReport struct {
	Report *Report
	// Entry is the entry of the case that records the report, 0 if there is no case.
	Entry int64
	// Holding are the numbers of the people whose signatures are valid.
	Holding []string
	// Remade means that the report made again from the case is the same, byte for byte.
	Remade bool
}

// Checked is the result of a check.
type Checked struct {
	// Path is the path that was checked: a case, a report or an evidence folder.
	Path string
	// Case is the result for the case, nil if there is none. Faults includes its faults.
	Case *casefile.Report
	// Files is the number of files in an evidence folder.
	Files int
	// Proofs is the number of printed proofs beside a case that are as they were attached.
	Proofs  int
	Reports []CheckedReport
	Faults  []Fault
	// Unchecked lists what this version of the program cannot check.
	Unchecked []Fault
	// Notes lists what was not checked without that being a fault: what an earlier version made and
	// this version does not remake (the signatures on it were checked all the same), and an annex
	// that is not beside its report.
	Notes []Fault
	// HeadAt is the entry with the printed head, 0 if none was given or no entry has it.
	HeadAt int64
}

// Good reports whether everything was checked and nothing is wrong.
func (c *Checked) Good() bool { return len(c.Faults)+len(c.Unchecked) == 0 }

func (c *Checked) fault(where, format string, values ...any) {
	c.Faults = append(c.Faults, Fault{where, fmt.Sprintf(format, values...)})
}

// Verify checks a case, a signed report or an evidence folder, and changes nothing.
//
// For a case, it checks what casefile.Verify checks, and that each signed report is the one that
// the case gave at the time, and the printed proofs beside it. For a report (report.json), it checks that it has not
// changed since it
// was written, and the annex and the signatures in the files beside it (annex.json, p1.sig and so
// on). For an evidence
// folder, it checks the case, and that every other file is, byte for byte, what the case gives.
// Faults are in Checked; the returned error means that nothing could be checked at all.
func Verify(path string, expect casefile.Expect) (*Checked, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, fmt.Errorf("%s: cannot be read (%w); give a case, a report.json or an evidence folder", path, cause(err))
	}
	c := &Checked{Path: path}
	if info.IsDir() {
		return c, c.folder(path, expect)
	}
	if target, err := filepath.EvalSymlinks(path); err == nil {
		path = target
	}
	file, err := files.OpenPlain(path)
	if err != nil {
		return nil, err
	}
	defer file.Close() // only read
	first := make([]byte, 16)
	n, err := io.ReadFull(file, first)
	if err != nil && !errors.Is(err, io.ErrUnexpectedEOF) && !errors.Is(err, io.EOF) {
		return nil, err
	}
	switch {
	case strings.HasPrefix(string(first[:n]), "SQLite format 3"):
		return c, c.wholeCase(path, expect)
	case n == 0 || first[0] != '{':
		return nil, fmt.Errorf("%s: this is not a case file, a report.json or an evidence folder; give one of them", c.Path)
	}
	return c, c.report(path, file.Size(), io.MultiReader(strings.NewReader(string(first[:n])), file), expect)
}

// cause strips the path from an error, because the caller prints it first.
func cause(err error) error {
	var path *os.PathError
	if errors.As(err, &path) {
		return path.Err
	}
	return err
}

// wholeCase checks a case and its signed reports.
func (c *Checked) wholeCase(path string, expect casefile.Expect) error {
	found, err := casefile.Verify(path, expect)
	if err != nil {
		return err
	}
	c.took("", found)
	if !c.Good() {
		return nil
	}
	of, err := casefile.Open(path, casefile.Options{ReadOnly: true})
	if err != nil {
		return err
	}
	defer of.Close() // only read
	c.proofs(of)
	signed, err := Signed(of)
	if err != nil {
		c.fault("", "%v", err)
		return nil
	}
	return c.reportsOf(of, signed)
}

// proofs compares the printed proofs beside a case with the digests by which they were attached.
// One that is not there is no fault of the case: it was never in it.
func (c *Checked) proofs(of *casefile.Case) {
	var missing []string
	for _, p := range of.State().CurrentProofs() {
		err := p.Check(of.Path())
		switch {
		case errors.Is(err, casefile.ErrProofMissing):
			missing = append(missing, p.Name)
		case err != nil:
			c.fault("", "%v", err)
		default:
			c.Proofs++
		}
	}
	if n := len(missing); n > 0 {
		const shown = 5
		words := strings.Join(missing[:min(n, shown)], ", ")
		if n > shown {
			words += fmt.Sprintf(" and %d more", n-shown)
		}
		c.Notes = append(c.Notes, Fault{"", fmt.Sprintf("%s not beside the case, so not checked: %s",
			english.Plural(n, "printed proof is", "printed proofs are"), words)})
	}
}

func (c *Checked) took(where string, found *casefile.Report) {
	c.Case, c.HeadAt = found, found.ExpectedAt
	for _, f := range found.Faults {
		c.fault(where, "%s", f.Words())
	}
}

// report checks a report that is separate from its case.
func (c *Checked) report(path string, size int64, from io.Reader, expect casefile.Expect) error {
	if size > maxReport {
		return fmt.Errorf("%s: has %s bytes, and no report has so many; choose the report.json that was signed", c.Path,
			humanize.Comma(size))
	}
	b, err := io.ReadAll(io.LimitReader(from, maxReport+1))
	if err != nil {
		return fmt.Errorf("%s: cannot be read: %w", c.Path, cause(err))
	}
	r, err := Parse(b)
	if err != nil {
		return fmt.Errorf("%s: %w", c.Path, err)
	}
	if err := c.beside(r, filepath.Dir(path)); err != nil {
		return err
	}
	if err := c.annexBeside(r, filepath.Dir(path)); err != nil {
		return err
	}
	c.signatures("", r)
	if !expect.Head.IsZero() {
		if r.Head == expect.Head.String() {
			c.HeadAt = r.Entries
		} else {
			c.fault("", "its head is not the printed one: it is another report, or was made anew. (A head that was printed "+
				"after the signing is in the case alone: check that, or the evidence folder.)")
		}
	}
	c.keys(r, expect.Keys)
	return nil
}

// annexBeside checks the annex in the file beside a report.
func (c *Checked) annexBeside(r *Report, dir string) error {
	if r.Annex == "" {
		return nil
	}
	file, err := files.OpenPlain(filepath.Join(dir, annexJSONFile))
	if errors.Is(err, os.ErrNotExist) {
		c.Notes = append(c.Notes, Fault{annexJSONFile, "it is not beside the report, so the ballots that were signed were " +
			"not checked"})
		return nil
	}
	if err != nil {
		return err
	}
	defer file.Close() // only read
	if file.Size() > maxReport {
		c.fault(annexJSONFile, "has %s bytes, and no annex has so many", humanize.Comma(file.Size()))
		return nil
	}
	b, err := io.ReadAll(io.LimitReader(file, maxReport+1))
	if err != nil {
		return err
	}
	if casefile.DigestOf(b).String() != r.Annex {
		c.fault(annexJSONFile, "is not the annex whose digest the report states: it was changed, or is another's")
	} else if err := r.TakeAnnex(b); err != nil {
		c.fault(annexJSONFile, "%v", err)
	}
	return nil
}

// beside reads the signatures in the files beside a report, and checks the keys there.
func (c *Checked) beside(r *Report, dir string) error {
	for _, p := range r.People {
		name := p.ID + signedEnd
		switch b, err := readSmall(filepath.Join(dir, name), 4*ed25519.SignatureSize); {
		case errors.Is(err, os.ErrNotExist):
		case err != nil:
			return err
		default:
			r.Signatures = append(r.Signatures, Signature{Person: p.ID, Signature: b})
		}
		name = p.ID + keyEnd
		b, err := readSmall(filepath.Join(dir, name), 4096)
		if errors.Is(err, os.ErrNotExist) {
			continue
		}
		if err != nil {
			return err
		}
		var want strings.Builder
		if err := keyPart(p.ID, p.Name, p.PublicKey).write(&want); err != nil {
			return err
		}
		if want.String() != string(b) {
			c.fault(name, "is not the key of %s that the report names", p.Name)
		}
	}
	return nil
}

// signatures checks the signatures on a report, and that everybody who must sign has signed.
func (c *Checked) signatures(where string, r *Report) *CheckedReport {
	checked := CheckedReport{Report: r}
	for _, s := range r.Signatures {
		if r.holds(s) {
			checked.Holding = append(checked.Holding, s.Person)
			continue
		}
		name := s.Person
		if p := r.person(s.Person); p != nil {
			name = p.Name
		}
		c.fault(where, "the signature of %s does not hold: the report or the signature was changed", name)
	}
	signed := func(fits func(*Person) bool) bool {
		return slices.ContainsFunc(checked.Holding, func(id string) bool { return fits(r.person(id)) })
	}
	switch {
	case len(r.Signatures) == 0:
		c.fault(where, "no signature is there (p1.sig and so on, beside it): nothing proves what it says")
	default:
		for _, seat := range casefile.Seats {
			if !signed(func(p *Person) bool { return p.Seat == string(seat) }) {
				c.fault(where, "no signature of %s holds", seat.Words())
			}
		}
		for _, id := range r.Signers {
			who := r.person(id)
			if who == nil {
				c.fault(where, "%q is to sign and is not on its roster", id)
			} else if !signed(func(p *Person) bool { return p.Seat == who.Seat && p.Party == who.Party }) &&
				signed(func(p *Person) bool { return p.Seat == who.Seat }) {
				c.fault(where, "no signature of %s for %s holds", casefile.Seat(who.Seat).Words(), who.Party)
			}
		}
	}
	c.Reports = append(c.Reports, checked)
	return &c.Reports[len(c.Reports)-1]
}

// keys compares a report's keys with printed fingerprints, as casefile.Verify does for a case.
func (c *Checked) keys(r *Report, printed []casefile.Digest) {
	if len(printed) == 0 {
		return
	}
	for _, k := range printed {
		if !slices.ContainsFunc(r.People, func(p Person) bool { return p.Fingerprint == k.String() }) {
			c.fault("", "nobody on its roster has the printed key %s: it was made anew with other keys, or is another report",
				k.Groups())
		}
	}
	for _, s := range r.Signatures {
		p := r.person(s.Person)
		if p != nil && !slices.ContainsFunc(printed, func(k casefile.Digest) bool { return k.String() == p.Fingerprint }) {
			c.fault("", "it is signed with the key of %s, which is not among the printed keys", p.Name)
		}
	}
}

// unsigned reports whether a report by itself is unsigned but has no other fault.
func (c *Checked) unsigned() bool {
	return c.Case == nil && c.Files == 0 && len(c.Faults) == 1 && len(c.Reports) == 1 &&
		len(c.Reports[0].Report.Signatures) == 0
}

// Words describes the result in a few sentences.
func (c *Checked) Words() string {
	var b strings.Builder
	line := func(format string, values ...any) { fmt.Fprintf(&b, format+"\n", values...) }
	if len(c.Faults) > 0 {
		if c.unsigned() {
			line("%s is NOT signed.", c.Path)
		} else {
			line("%s does NOT hold together.", c.Path)
		}
		for _, f := range c.Faults {
			line("  %s", f.Words())
		}
	}
	if len(c.Unchecked) > 0 {
		line("%s: this version of the program cannot check all of it.", c.Path)
		for _, f := range c.Unchecked {
			line("  %s", f.Words())
		}
	}
	for _, f := range c.Notes {
		line("%s.", f.Words())
	}
	switch {
	case !c.Good():
	case c.Files > 0:
		line("%s holds together: %s, each byte for byte what the case gives, and as %s has it.", c.Path,
			english.Plural(c.Files, "file", ""), sumsFile)
	case c.Case == nil:
		line("%s is a report as it was signed.", c.Path)
	}
	if found := c.Case; found != nil && found.Good() {
		name := c.Path
		if c.Files > 0 || !c.Good() {
			name = "The case"
		}
		line("%s holds together: %s, %s and %s.", name, english.Plural(int(found.Entries), "entry", "entries"),
			english.Plural(len(found.Signatures), "signature", ""), english.Plural(len(found.Blobs), "kept file", ""))
		if found.Beside > 0 {
			line("%s", found.BesideWords())
		}
		if c.Proofs > 0 {
			line("%s beside it as attached: the digests are the same.", english.Plural(c.Proofs, "printed proof is",
				"printed proofs are"))
		}
	}
	for _, r := range c.Reports {
		line("%s", r.words())
	}
	return b.String()
}

func (r *CheckedReport) words() string {
	var names []string
	for _, id := range r.Holding {
		names = append(names, r.Report.person(id).Name)
	}
	words := fmt.Sprintf("The report of entry %d", r.Report.Entries)
	if r.Entry > 0 {
		words += fmt.Sprintf(", signed in entry %d", r.Entry)
	}
	switch {
	case len(r.Report.Signatures) == 0:
		words += ": nobody signed it."
	case len(names) == 0:
		words += ": no signature holds."
	case len(names) == 1:
		words += ": the signature of " + names[0] + " holds."
	default:
		words += ": the signatures of " + english.WordSeries(names, "and") + " hold."
	}
	if r.Remade {
		words += " Made again from the case, it is the same byte for byte."
	}
	for _, m := range r.Report.Missing {
		if m.Exception != "" {
			words += " It was signed with exceptions."
			break
		}
	}
	if r.Report.Superseded != "" {
		words += " It is superseded. " + r.Report.Superseded
	}
	if r.Entry == 0 {
		words += " Whether the case still holds, only the case or the evidence folder shows."
	}
	return words
}
