package sheets

import (
	"maps"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"
	"github.com/stretchr/testify/require"

	"counterproof/model"
)

// thornbury are the sheets of a small invented county.
var thornbury = map[string]string{
	"parties.csv": `party,name
ALD,Alder Party
BRK,Brook Party
`,
	"precincts.csv": `precinct,site
1-01,Quay School
1-02,Quay School
2-01,Mill Hall
`,
	"contests.csv": `contest,title,kind,vote_for
judge,County Judge,candidate,2
prop1,Proposition One,measure,
`,
	"choices.csv": `contest,position,name,party_lines,write_in
judge,1,Ada Quill,ALD|BRK,
judge,2,Ben Örn,BRK,
judge,3,,,yes
prop1,1,Yes,,
prop1,2,No,,
`,
	"ballots.csv": `precinct,style,party,position,contest
,North,,1,judge
,North,,2,prop1
,South,,1,judge
`,
	"styles.csv": `style,precinct
North,1-01
North,1-02
South,2-01
`,
	"units.csv": `unit,site,precinct
S-1,Quay School,1-01
S-1,Quay School,1-02
S-2,Mill Hall,2-01
`,
	"election.csv": `name,date,jurisdiction
General Election,2027-11-02,Thornbury County
`,
}

// thornburyWith is Thornbury's sheets with some of them replaced; an empty one is left
// out.
func thornburyWith(replaced map[string]string) fstest.MapFS {
	all := maps.Clone(thornbury)
	maps.Copy(all, replaced)
	fsys := fstest.MapFS{}
	for name, text := range all {
		if text != "" {
			fsys[name] = &fstest.MapFile{Data: []byte(text)}
		}
	}
	return fsys
}

// read reads sheets that must be in order.
func read(t testing.TB, replaced map[string]string) *model.Election {
	t.Helper()
	s, err := ReadFS(thornburyWith(replaced))
	require.NoError(t, err)
	e, err := s.Election()
	require.NoError(t, err)
	return e
}

// requireSame requires that two elections say the same, wherever it came from.
func requireSame(t require.TestingT, want, got *model.Election, context string) {
	a, b := *want, *got
	a.Origins, b.Origins = model.Origins{}, model.Origins{}
	if d := cmp.Diff(a, b); d != "" {
		require.Fail(t, context, d)
	}
}
