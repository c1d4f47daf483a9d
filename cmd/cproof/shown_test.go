package main

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/checks"
	"counterproof/checks/finding"
)

// The text shows the first findings of a check and counts the rest.
func TestTextShowsTheFirstFindingsOfACheck(t *testing.T) {
	var result checks.Result
	add := func(check finding.Code, n int) {
		for i := range n {
			result.Findings = append(result.Findings, finding.Finding{ID: fmt.Sprintf("%s-%d", check, i), Check: check,
				Grade: finding.MustFix, Message: fmt.Sprintf("Sentence %d.", i)})
		}
	}
	add("choice-extra", finding.MostShown+1)
	add("vote-for", 2)
	var out strings.Builder
	require.NoError(t, writeText(&out, page{}, entries{}, result))
	text := out.String()
	assert.Equal(t, finding.MostShown, strings.Count(text, "[choice-extra]"))
	assert.Equal(t, 2, strings.Count(text, "[vote-for]"))
	assert.Contains(t, strings.Join(strings.Fields(text), " "),
		"1 further finding of choice-extra, not shown here; the first 5000 are above. --format json and --format csv "+
			"write all.")
	assert.Contains(t, text, "5003 ", "numbers are those of the whole list")

	var table strings.Builder
	require.NoError(t, writeCSV(&table, result.Findings))
	assert.Equal(t, len(result.Findings)+1, strings.Count(table.String(), "\n"))
}

// A text of megabytes is shown shortened, with the digest of all of it.
func TestTextShortensMegabytes(t *testing.T) {
	if testing.Short() {
		t.Skip("megabytes of text: long; run without -short")
	}
	long := strings.Repeat("Shall the town spend it? ", 80_000)
	other := strings.Repeat("0123456789 ", 180_000)
	for _, pair := range [][2]string{{long, other}, {long, ""}, {long + "x", "y" + long}} {
		var result checks.Result
		result.Findings = []finding.Finding{{Check: "measure-text", Grade: finding.MustFix, Primary: pair[0],
			Second: pair[1]}}
		var out strings.Builder
		require.NoError(t, writeText(&out, page{}, entries{}, result))
		assert.Less(t, out.Len(), 100_000, "with the margins; the texts are 2 MB each")
		if pair[0] == long {
			sum := sha256.Sum256([]byte(long))
			assert.Contains(t, strings.Join(strings.Fields(out.String()), ""), hex.EncodeToString(sum[:]))
		}
	}
}
