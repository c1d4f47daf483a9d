package report

import "counterproof/model/program"

// Reports that are kept as text are made by one program.
func init() {
	running = func() program.Build {
		return program.Build{Name: "cproof", Version: "1.0.0", Commit: "0123456789abcdef0123456789abcdef01234567",
			Go: "go1.26.8", System: "linux/amd64",
			SHA256: "00112233445566778899aabbccddeeff00112233445566778899aabbccddeeff"}
	}
}

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
