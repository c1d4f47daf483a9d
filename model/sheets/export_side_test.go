package sheets

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// An export names its first language; a second entry does not, and is told by that.
func TestRowsAsAnExportNameTheirFirstLanguage(t *testing.T) {
	rows := func() *Sheets {
		return &Sheets{
			Precincts: []PrecinctRow{{Precinct: "1", Site: "Mill Hall"}},
			Contests:  []ContestRow{{Contest: "c", Title: "Mayor", FurtherTitle: "[es] Alcalde"}},
			Choices:   []ChoiceRow{{Contest: "c", Position: "1", Name: "Ilse Brandywine"}},
			Ballots:   []BallotRow{{Precinct: "1", Position: "1", Contest: "c", Heading: "City"}},
		}
	}
	e, err := rows().Export("en")
	require.NoError(t, err)
	assert.Equal(t, []string{"en", "es"}, e.Origins.Languages)
	title := e.Contests[0].Title.Value
	assert.Equal(t, "Mayor", title.In("en"))
	assert.Equal(t, "Alcalde", title.In("es"))
	for _, text := range firstTexts(e) {
		for _, p := range text {
			assert.NotEmpty(t, p.Language)
		}
	}
	e, err = rows().Export("es")
	require.NoError(t, err)
	assert.Equal(t, []string{"und", "es"}, e.Origins.Languages, "two texts cannot both be in es")
}
