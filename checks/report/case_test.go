package report_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/checks/internal/casetest"
	"counterproof/checks/report"
	"counterproof/checks/review"
)

const (
	programmer = casetest.Programmer
	second     = casetest.Second
	supervisor = casetest.Supervisor
)

// signed is the demo at its end, with its report signed by all.
func signed(t testing.TB) (*review.Review, *report.Report) {
	t.Helper()
	r := casetest.Finished(t)
	out, err := report.SignOff(r, nil, programmer, second, supervisor)
	require.NoError(t, err)
	return r, out
}
