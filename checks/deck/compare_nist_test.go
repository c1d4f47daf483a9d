package deck_test

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/checks/deck"
	"counterproof/model"
	"counterproof/model/cdf"
	"counterproof/model/results"
)

// readNIST reads results of NIST's, in place.
func readNIST(t *testing.T, election, report string) *results.Results {
	t.Helper()
	path := filepath.Join(standard, election, report)
	if _, err := os.Stat(path); errors.Is(err, os.ErrNotExist) && os.Getenv("CI") != "true" {
		t.Skipf("the NIST test elections are not beside the repository: %v", err)
	}
	r, err := results.Read(results.Path(path))
	require.NoError(t, err)
	return r
}

func exportNIST(t *testing.T, election string) *model.Election {
	t.Helper()
	e, _, err := cdf.ReadFiles([]string{filepath.Join(standard, election, "pe-err-"+election+".xml")}, cdf.Options{})
	require.NoError(t, err)
	return e
}

func TestNISTResultsAgainstTheirKeys(t *testing.T) {
	for _, name := range nistElections {
		for _, report := range []string{"err-", "cvr-"} {
			t.Run(report+name, func(t *testing.T) {
				n := nistDeck(t, name)
				r := readNIST(t, name, report+name+".xml")
				got, err := deck.Compare(n.e, "key.csv", n.key.Rows(n.e), []*results.Results{r}, deck.CompareOptions{Deck: n.d, Rules: n.key.Rules,
					Export: exportNIST(t, name)})
				require.NoError(t, err)
				t.Logf("held %d totals %d not stated %d silent %v stray %v", got.Held, got.InTotals, got.NotStated, got.Silent, got.Stray)
				t.Logf("%+v", got.Files)
				t.Logf("%+v", got.Ballots)
				for _, d := range got.Differences {
					t.Logf("%+v", d)
				}
			})
		}
	}
}
