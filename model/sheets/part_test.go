package sheets

import (
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"
)

func TestAPartOfASecondEntryIsRead(t *testing.T) {
	folder := func(files ...string) fstest.MapFS {
		content := map[string]string{
			"precincts.csv": "precinct,site\n1-01,Mill Hall\n", "units.csv": "unit,site,precinct\nS-1,Mill Hall,1-01\n",
			"parties.csv":  "party,name\nHAR,Harbor\n",
			"contests.csv": "contest,title,kind,vote_for\nc,Clerk,candidate,1\n",
			"choices.csv":  "contest,position,name,party_lines,write_in\nc,1,A,HAR,\n",
			"ballots.csv":  "precinct,style,party,position,contest\n1-01,S,,1,c\n", "styles.csv": "style,precinct\nS,1-01\n",
			"unit.csv": "unit,site,precinct\n",
		}
		out := fstest.MapFS{}
		for _, f := range files {
			out[f] = &fstest.MapFile{Data: []byte(content[f])}
		}
		return out
	}
	for _, alone := range []string{"precincts.csv", "units.csv", "parties.csv"} {
		s, err := ReadPart(folder(alone))
		require.NoError(t, err, alone)
		require.Equal(t, 1, len(s.Precincts)+len(s.Units)+len(s.Parties))
		_, err = ReadFS(folder(alone))
		require.Error(t, err, "a whole second entry holds more than %s", alone)
	}
	whole := []string{"precincts.csv", "contests.csv", "choices.csv", "ballots.csv"}
	_, err := ReadPart(folder(whole...))
	require.NoError(t, err)
	for i := 1; i < len(whole); i++ {
		_, err := ReadPart(folder(append(append([]string{}, whole[:i]...), whole[i+1:]...)...))
		require.ErrorContains(t, err, whole[i], "ballots come together or not at all")
	}
	_, err = ReadPart(folder("styles.csv", "precincts.csv"))
	require.Error(t, err, "styles give ballots")
	_, err = ReadPart(folder())
	require.ErrorContains(t, err, "no sheets")
	_, err = ReadPart(folder("precincts.csv", "unit.csv"))
	require.ErrorContains(t, err, "units.csv", "a misnamed sheet is not passed over")
}
