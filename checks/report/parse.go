package report

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"regexp"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"counterproof/model/casefile"
)

// ErrNotReport means that the bytes are not a report that this program can read.
var ErrNotReport = errors.New("not a comparison report")

const (
	// maxReport limits the size of a report, or of an annex, to read, in bytes. An annex on 5,000
	// precincts has less than a tenth of it.
	maxReport = 256 << 20
	// leastObject is shorter than any object of a report, because all members are always present.
	// It limits how many objects a hostile file can create from few bytes.
	leastObject = 30
)

// Canonical returns JSON in the one spelling of RFC 8785.
func Canonical(b []byte) ([]byte, error) {
	value := jsontext.Value(bytes.Clone(b))
	if err := value.Canonicalize(); err != nil {
		return nil, fmt.Errorf("the JSON has no canonical form: %w", err)
	}
	return value, nil
}

// Parse reads what JSON wrote. It refuses bytes that are not canonical, or that this program would
// not show: the error wraps ErrNotReport. Memory is limited to a multiple of the number of bytes.
func Parse(b []byte) (*Report, error) {
	if len(b) > maxReport {
		return nil, fmt.Errorf("%w: it has more than %d MB; choose the report.json that was signed", ErrNotReport,
			maxReport>>20)
	}
	r := &Report{}
	same, err := parse(b, Format, jsonFile, r)
	if err != nil {
		return nil, err
	}
	if err := r.fits(); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrNotReport, err)
	}
	r.raw = same
	return r, nil
}

// parseAnnex reads an annex as strictly as Parse reads a report.
func parseAnnex(b []byte) (*Annex, error) {
	a := &Annex{}
	same, err := parse(b, AnnexFormat, annexJSONFile, a)
	if err != nil {
		return nil, err
	}
	if err := a.fits(); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrNotReport, err)
	}
	a.raw = same
	return a, nil
}

// parse reads canonical JSON of a format into a value, and returns a copy of the bytes.
func parse(b []byte, format, name string, into any) ([]byte, error) {
	var head struct {
		Format string `json:"format"`
	}
	if err := json.Unmarshal(b, &head); err != nil {
		return nil, fmt.Errorf("%w: it is not JSON (%w); choose the %s that was signed", ErrNotReport, err, name)
	}
	if head.Format != format {
		return nil, fmt.Errorf("%w: its format is %q and this program reads %q; use the version that made it", ErrNotReport,
			head.Format, format)
	}
	same, err := Canonical(b)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrNotReport, err)
	}
	if !bytes.Equal(same, b) {
		return nil, fmt.Errorf("%w: the JSON is not in its canonical form (RFC 8785), so it was changed after it was "+
			"written; choose the %s that was signed", ErrNotReport, name)
	}
	if err := shaped(same); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrNotReport, err)
	}
	// Names must match exactly, including capitals, and occur once.
	if err := json.Unmarshal(same, into, json.RejectUnknownMembers(true)); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrNotReport, err)
	}
	return same, nil
}

// shaped refuses input that would take more memory than its bytes suggest: objects with missing
// members.
func shaped(b []byte) error {
	d := jsontext.NewDecoder(bytes.NewBuffer(b))
	var begun []int64
	for {
		token, err := d.ReadToken()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
		switch token.Kind() {
		case 'n':
			return fmt.Errorf("at %s it says null, which no report does", d.StackPointer())
		case '{':
			begun = append(begun, d.InputOffset())
		case '}':
			if d.InputOffset()-begun[len(begun)-1] < leastObject {
				return fmt.Errorf("an object before byte %d does not have its members", d.InputOffset())
			}
			begun = begun[:len(begun)-1]
		}
	}
}

// personID is the form of a person's number in a case. Files are named after it.
var personID = regexp.MustCompile(`^p[1-9][0-9]{0,8}$`)

// fits checks that every reference in the annex has a target.
func (a *Annex) fits() error {
	for _, s := range a.Styles {
		for _, p := range s.Places {
			if p.Contest < 0 || p.Contest >= len(a.Contests) {
				return fmt.Errorf("style %q names a contest that is not there", s.Label)
			}
			for _, o := range p.Order {
				if o < 0 || o >= len(a.Contests[p.Contest].Choices) {
					return fmt.Errorf("style %q orders a choice that is not there", s.Label)
				}
			}
		}
	}
	return nil
}

// fits checks that every reference in the report has a target.
func (r *Report) fits() error {
	columns := len(r.Overview.Contests)
	if r.Annex == "" {
		columns = len(r.Contests)
	}
	for i, row := range r.Overview.Rows {
		if len(row.Cells) != columns || len(row.Ballot) != 1 {
			return fmt.Errorf("row %d of the overview does not have one cell for each contest", i+1)
		}
	}
	if own := len(r.Contests) + len(r.Styles) + len(r.Units); own > 0 && r.Annex != "" {
		return errors.New("it has ballots both in itself and in an annex")
	}
	if r.Annex == "" {
		if err := r.Ballots().fits(); err != nil {
			return err
		}
	}
	if err := r.Clock.fits(); err != nil {
		return err
	}
	known := map[string]bool{}
	for _, p := range r.People {
		switch {
		case !personID.MatchString(p.ID) || known[p.ID]:
			return fmt.Errorf("%q is no number of a person, or that of two", p.ID)
		case len(p.PublicKey) != 32:
			return fmt.Errorf("the key of %q does not have 32 bytes", p.Name)
		case casefile.DigestOf(p.PublicKey).String() != p.Fingerprint:
			return fmt.Errorf("the fingerprint of %q is not that of their key", p.Name)
		}
		known[p.ID] = true
	}
	return nil
}
