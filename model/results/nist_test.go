package results

import (
	"fmt"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// standards are NIST's, read in place and never copied; ../shared/standards/SOURCES.md says what they are.
const standards = "../../../shared/standards/test-elections"

func nist(t *testing.T, name string) *Results {
	t.Helper()
	path := filepath.Join(standards, name)
	r, err := Read(Path(path))
	require.NoError(t, err)
	return r
}

// The counts and the records of NIST's elections, in XML and in JSON, say the same.
func TestNISTResultsAreTheSameInXMLAndJSON(t *testing.T) {
	for _, e := range []string{"gen-01", "gen-03", "prim-01"} {
		for _, kind := range []string{"err", "cvr"} {
			name := fmt.Sprintf("%s/%s-%s", e, kind, e)
			a, b := nist(t, name+".xml"), nist(t, name+".json")
			for _, r := range []*Results{a, b} {
				for i := range r.Tallies {
					r.Tallies[i].Line = 0
				}
			}
			assert.Equal(t, a.Tallies, b.Tallies, name)
			assert.Equal(t, a.Records, b.Records)
			t.Log(name, len(a.Tallies), a.Records, a.Notes, len(a.Election.Precincts))
		}
	}
}
