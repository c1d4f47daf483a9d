package report

// Fresh returns a report that was put together by a test, without the bytes of the one
// that it was copied from.
func Fresh(r Report) *Report {
	r.raw = nil
	return &r
}
