package report

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"

	canonical "github.com/go-json-experiment/json/jsontext"
)

// ErrNotReport says that bytes are no report that this program can read.
var ErrNotReport = errors.New("not a comparison report")

// Canonical returns JSON in the one spelling of RFC 8785.
func Canonical(b []byte) ([]byte, error) {
	value := canonical.Value(bytes.Clone(b))
	if err := value.Canonicalize(); err != nil {
		return nil, fmt.Errorf("the JSON has no canonical form: %w", err)
	}
	return value, nil
}

// Parse reads what JSON wrote. Bytes that are not canonical, or say something that
// this program would not show, are refused: the error wraps ErrNotReport.
func Parse(b []byte) (*Report, error) {
	var head struct {
		Format string `json:"format"`
	}
	if err := json.Unmarshal(b, &head); err != nil {
		return nil, fmt.Errorf("%w: it is not JSON (%w); choose the report.json that was signed", ErrNotReport, err)
	}
	if head.Format != Format {
		return nil, fmt.Errorf("%w: its format is %q and this program reads %q; use the version that made it", ErrNotReport, head.Format, Format)
	}
	same, err := Canonical(b)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrNotReport, err)
	}
	if !bytes.Equal(same, b) {
		return nil, fmt.Errorf("%w: the JSON is not in its canonical form (RFC 8785), so it was changed after it was written; choose the report.json that was signed", ErrNotReport)
	}
	r := &Report{}
	d := json.NewDecoder(bytes.NewReader(b))
	d.DisallowUnknownFields()
	if err := d.Decode(r); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrNotReport, err)
	}
	if err := r.fits(); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrNotReport, err)
	}
	r.raw = bytes.Clone(b)
	return r, nil
}

// fits checks that what points at something finds it.
func (r *Report) fits() error {
	for i, row := range r.Overview.Rows {
		if len(row.Cells) != len(r.Contests) || len(row.Ballot) != 1 {
			return fmt.Errorf("row %d of the overview does not have one cell for each contest", i+1)
		}
	}
	for _, s := range r.Styles {
		for _, p := range s.Places {
			if p.Contest < 0 || p.Contest >= len(r.Contests) {
				return fmt.Errorf("style %q names a contest that the report does not hold", s.Label)
			}
			for _, o := range p.Order {
				if o < 0 || o >= len(r.Contests[p.Contest].Choices) {
					return fmt.Errorf("style %q orders a choice that the report does not hold", s.Label)
				}
			}
		}
	}
	for _, p := range r.People {
		if len(p.PublicKey) != 32 {
			return fmt.Errorf("the key of %q does not have 32 bytes", p.Name)
		}
	}
	return nil
}
