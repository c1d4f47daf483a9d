package report

import (
	"fmt"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// Latest returns the report that stands: the one that was signed last, with its
// signatures, or, where none was or something was recorded since, that of the case as
// it stands, which nobody signed yet.
func Latest(r *review.Review) (*Report, error) {
	signed, err := Signed(r.Case())
	if err != nil {
		return nil, err
	}
	if n := len(signed); n > 0 && signed[n-1].Superseded == "" {
		return signed[n-1], nil
	}
	return Make(r)
}

// SignedNumber returns the report of a case that was signed as the n-th; 1 is the first.
func SignedNumber(c *casefile.Case, n int) (*Report, error) {
	signed, err := Signed(c)
	if err != nil {
		return nil, err
	}
	switch {
	case len(signed) == 0:
		return nil, fmt.Errorf("no report of this case was signed yet")
	case n < 1 || n > len(signed):
		return nil, fmt.Errorf("there is no signed report number %d; %s signed, and 1 is the first", n, english.Plural(len(signed), "report was", "reports were"))
	}
	return signed[n-1], nil
}
