package report

import "counterproof/checks/review"

// Fresh returns a report that was put together by a test, without the bytes of the one
// that it was copied from.
func Fresh(r Report) *Report {
	r.raw = nil
	return &r
}

// MakeAs makes a report as the program made them that had this rendering.
func MakeAs(rendering int, r *review.Review) (*Report, error) { return makeAs(rendering, r, nil) }
