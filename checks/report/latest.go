package report

import (
	"fmt"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// Latest returns the current report of the case: the last signed report, with its signatures, or a
// new unsigned one if no report was signed, or if anything was signed or came in since.
func Latest(r *review.Review) (*Report, error) {
	if !SignedIsCurrent(r.Case().State()) {
		return Make(r)
	}
	signed, err := Signed(r.Case())
	if err != nil {
		return nil, err
	}
	return signed[len(signed)-1], nil
}

// SignedAsItStands reports whether the last signed report describes the current case: nothing
// superseded it, and nobody signed anything since.
func SignedIsCurrent(state *casefile.State) bool {
	n := len(state.SignOffs)
	return n > 0 && Current(state) && state.SignedSeq == state.SignOffs[n-1].Seq
}

// SignedNumber returns the n-th signed report of a case, counting from 1.
func SignedNumber(c *casefile.Case, n int) (*Report, error) {
	signed, err := Signed(c)
	if err != nil {
		return nil, err
	}
	switch {
	case len(signed) == 0:
		return nil, fmt.Errorf("no report of this case was signed yet")
	case n < 1 || n > len(signed):
		return nil, fmt.Errorf("there is no signed report number %d; %s signed, and 1 is the first", n,
			english.Plural(len(signed), "report was", "reports were"))
	}
	return signed[n-1], nil
}
