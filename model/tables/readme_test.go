package tables_test

import (
	"os"
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model/tables"
)

// The example of the README reads as the README says.
func TestTheExampleOfTheReadmeIsRead(t *testing.T) {
	text, err := os.ReadFile("README.md")
	require.NoError(t, err)
	blocks := map[string][]byte{}
	for _, m := range regexp.MustCompile("(?s)\n`([a-z.]+)`:\n\n```[a-z]+\n(.*?)```").FindAllSubmatch(text, -1) {
		blocks[string(m[1])] = m[2]
	}
	require.Len(t, blocks, 3)
	mapping, err := tables.ParseMapping("mapping.json", blocks["mapping.json"])
	require.NoError(t, err)
	e, contents, err := tables.Read([]tables.File{{Name: "candidates.csv", Data: blocks["candidates.csv"]},
		{Name: "districts.csv", Data: blocks["districts.csv"]}}, mapping, tables.Options{})
	require.NoError(t, err)

	require.Len(t, e.Contests, 2)
	assert.Equal(t, "County Executive", e.Contests[0].Title.Value.In("en"))
	assert.Equal(t, "Trustee, Ward 2", e.Contests[1].Title.Value.In("en"))
	assert.Equal(t, 2, e.Contests[1].VoteFor.Value)
	executive := e.Contests[0].Choices
	require.Len(t, executive, 2)
	assert.Equal(t, "Ilse Brandywine / Tomas Reyl", executive[0].Name.Value.In("en"))
	var lines []string
	for _, p := range executive[1].Lines.Value {
		lines = append(lines, e.Parties[p].Abbreviation.Value.In("en"))
	}
	assert.Equal(t, []string{"MER", "GRO"}, lines)
	trustee := e.Contests[1].Choices[0]
	assert.True(t, trustee.Lines.Known && len(trustee.Lines.Value) == 0, "no party is printed")
	require.Len(t, e.Styles, 2)
	assert.Equal(t, []int{0, 1}, e.Styles[0].Precincts)
	assert.Len(t, e.Styles[0].Content, 2)
	assert.Len(t, e.Styles[1].Content, 1)
	assert.Equal(t, map[string]int{"candidates.csv, Filed": 3, "candidates.csv, rows above the header": 1},
		contents.Uncompared)
}
