package mapping_test

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/app/desk/mapping"
	"counterproof/assets/demo"
	"counterproof/model/tables"
)

func draft(t *testing.T, files map[string]string) *mapping.Draft {
	t.Helper()
	dir := t.TempDir()
	var paths []string
	for name, data := range files {
		path := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(path, []byte(data), 0o600))
		paths = append(paths, path)
	}
	slices.Sort(paths)
	d, err := mapping.Read(t.Context(), paths)
	require.NoError(t, err)
	return d
}

// role is what a column is taken for.
func role(t *testing.T, d *mapping.Draft, table int, column string) tables.Role {
	t.Helper()
	for _, c := range d.Tables()[table].Columns {
		if c.Name == column {
			return c.Role
		}
	}
	t.Fatal("there is no column " + column)
	return ""
}

// The demo's workbook is mapped but for one column, which a person corrects: the measures' subtitle.
func TestTheDemosWorkbookIsMappedWithOneCorrection(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, demo.Write(dir))
	d, err := mapping.Read(t.Context(), []string{filepath.Join(dir, "lists", "lists.xlsx")})
	require.NoError(t, err)
	before := d.Outcome()(t.Context())
	require.True(t, before.Fault)
	assert.Contains(t, before.Words, `"Retention of Family Court Judge, Eleanor Vantongeren" is not the code of a contest`)
	assert.Empty(t, before.Ballots)
	assert.False(t, d.Changed())

	require.Equal(t, `lists.xlsx, sheet "Questions"`, d.Tables()[1].Name)
	d.SetRole(1, "About", "subtitle")
	assert.True(t, d.Changed())
	after := d.Outcome()(t.Context())
	assert.False(t, after.Fault)
	assert.Equal(t, "Through it, the tables make 24 precincts, 26 contests and 10 ballot styles.", after.Words)
	lines := mapping.Lines(after.Ballots)
	assert.Equal(t, mapping.Line{Text: "Ballot BS-01, in 1-01, 1-02, 1-03", Level: 0}, lines[0])
	assert.Equal(t, mapping.Line{Text: "[County Offices]", Level: 1}, lines[1])
	data, err := d.JSON()
	require.NoError(t, err)
	_, err = tables.ParseMapping("mapping.json", data)
	require.NoError(t, err)
	d.Saved()
	assert.False(t, d.Changed())
}

func TestAColumnThatTakesTheRoleOfAnotherFreesIt(t *testing.T) {
	d := draft(t, map[string]string{"races.csv": "Office,Name,Printed As,Seats,Candidate 1,Candidate 2\n" +
		"Judge,x,y,1,Ada Quill,Bram Okafor\n"})
	require.EqualValues(t, "title", role(t, d, 0, "Office"))
	d.SetRole(0, "Printed As", "title")
	assert.EqualValues(t, "title", role(t, d, 0, "Printed As"))
	assert.Empty(t, role(t, d, 0, "Office"))
	// Of columns that are alike but for a number, what is said of one holds for all.
	assert.EqualValues(t, "name", role(t, d, 0, "Candidate 2"))
	d.SetRole(0, "Candidate 1", "")
	assert.Empty(t, role(t, d, 0, "Candidate 2"))
	d.SetRole(0, "Candidate 2", "name")
	assert.EqualValues(t, "name", role(t, d, 0, "Candidate 1"))
}

func TestTheRowThatNamesTheColumnsAndTheMeaningOfValuesAreSaid(t *testing.T) {
	d := draft(t, map[string]string{"a.csv": "Judge,Off,2\nProp 1,Prop,\n", "b.csv": "x,y\nContest,Candidate\nJudge,Ada " +
		"Quill\n"})
	assert.Equal(t, "No row is known to name the columns, and the table is left out.", mapping.HeaderWords(d.Tables()[0]))
	d.SetHeader(0, tables.NoHeader)
	assert.Equal(t, "No row names the columns; they are called A, B, C.", mapping.HeaderWords(d.Tables()[0]))
	d.SetRole(0, "A", "title")
	d.SetRole(0, "B", "kind")
	require.Equal(t, []mapping.Value{{"kind", "Off"}, {"kind", "Prop"}}, d.Unknown(0))
	d.SetCode(0, "kind", "Off", mapping.Meanings("kind")[0])
	assert.Equal(t, []mapping.Value{{"kind", "Prop"}}, d.Unknown(0))
	d.SetCode(0, "kind", "Prop", "measure")
	data, err := d.JSON()
	require.NoError(t, err)
	assert.Contains(t, strings.Join(strings.Fields(string(data)), ""), `"kind":{"Off":"candidate","Prop":"measure"}`)

	assert.Equal(t, "Row 2 names the columns.", mapping.HeaderWords(d.Tables()[1]))
	d.SetHeader(1, 1)
	assert.Equal(t, "x", d.Tables()[1].Columns[0].Name)
}

func TestFilesWithoutATableAreRefused(t *testing.T) {
	path := filepath.Join(t.TempDir(), "x.xlsx")
	require.NoError(t, os.WriteFile(path, []byte("PK\x03\x04"), 0o600))
	_, err := mapping.Read(t.Context(), []string{path})
	require.ErrorContains(t, err, "damaged")
	_, err = mapping.Read(t.Context(), make([]string, 101))
	require.ErrorContains(t, err, "at most 100 files")
}

// Of many columns alike, such as one for each precinct, one can be left out, and taken in again.
func TestOneOfManyColumnsAlikeIsLeftOut(t *testing.T) {
	for name, d := range map[string]*mapping.Draft{
		"precincts": draft(t, map[string]string{"candidates.csv": "Contest,Candidate\nJudge,Ada Quill\nClerk,Pia Holm\n",
			"who.csv": "Contest,1-01,1-02,Seen\nJudge,X,X,x\nClerk,X,,x\n"}),
		"contests": draft(t, map[string]string{"candidates.csv": "Contest,Candidate\nJudge,Ada Quill\nClerk,Pia Holm\n",
			"who.csv": "Precinct,Judge,Clerk,Seen\n1-01,X,X,x\n1-02,X,,x\n"}),
	} {
		faults := func() bool { return d.Outcome()(t.Context()).Fault }
		before := faults()
		d.SetRole(1, "Seen", "")
		after := d.Outcome()(t.Context())
		assert.Equal(t, "Through it, the tables make 2 precincts, 2 contests and 2 ballot styles.", after.Words, name)
		d.Forget(1, "Seen")
		assert.Equal(t, before, faults(), name)
	}
}
