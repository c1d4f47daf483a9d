package report_test

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/checks/finding"
	"counterproof/checks/report"
)

// The pages show the first findings of a check and count the rest.
func TestPagesShowTheFirstFindingsOfACheck(t *testing.T) {
	_, r := signed(t)
	require.NotEmpty(t, r.Findings)
	f := r.Findings[0]
	f.Check = "choice-extra"
	r.Findings = nil
	cause := report.Cause{ID: "cause-1", Message: "One thing."}
	for i := range finding.MostShown + 7 {
		f.ID, f.Number, f.Message = fmt.Sprintf("choice-extra-%d", i), i+1, fmt.Sprintf("Message of number %d.", i+1)
		r.Findings = append(r.Findings, f)
		cause.Findings = append(cause.Findings, f.ID)
	}
	r.Causes = []report.Cause{cause}
	var html bytes.Buffer
	require.NoError(t, r.HTML(&html))
	page := strings.Join(strings.Fields(html.String()), " ")
	assert.Equal(t, finding.MostShown, strings.Count(page, "Message of number "))
	assert.Contains(t, page, "7 further findings of choice-extra, not shown here; the first 5000 are above.")
	assert.Contains(t, page, "and 4507 more")
}
