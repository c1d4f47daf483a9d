package report

// WithAnnex returns a copy of the report with another annex, which is read first.
func WithAnnex(r Report, b []byte) (*Report, error) {
	a, err := parseAnnex(b)
	r.annex = a
	return &r, err
}

// Fresh returns a report that was put together by a test, without the bytes of the one
// that it was copied from.
func Fresh(r Report) *Report {
	r.raw = nil
	return &r
}
