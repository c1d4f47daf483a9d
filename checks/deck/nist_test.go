package deck_test

import (
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/checks/deck"
	"counterproof/model"
	"counterproof/model/results"
	"counterproof/model/sheets"
)

// Source of every expectation here: NIST Voting Common Data Format Test Method, test data sets GEN-01,
// GEN-03 and PRIM-01, in ../shared/standards/test-elections. The marks of deck.csv are the tables of X
// under "Test Deck Pattern" of each README, deck-results.csv is its "Test Results": both typed from the
// README and read against it. The counts (err-*) and cast vote records (cvr-*) are NIST's files as they are.
// What differs is listed in testdata/nist/decks.md, found by reading.
const (
	keyed    = "../../testdata/nist"
	standard = "../../../shared/standards/test-elections"
)

var nistElections = []string{"gen-01", "gen-03", "prim-01"}

// nist is one of NIST's elections: the second entry, its deck, and the key.
type nist struct {
	name string
	e    *model.Election
	d    *deck.Deck
	key  *deck.Key
}

func nistDeck(t *testing.T, name string) nist {
	t.Helper()
	rows, err := sheets.ReadDir(filepath.Join(keyed, name))
	require.NoError(t, err)
	n := nist{name: name}
	n.e, err = rows.Election()
	require.NoError(t, err)
	data, err := os.ReadFile(filepath.Join(keyed, name, "deck.csv"))
	require.NoError(t, err)
	marks, err := results.ReadDeck("deck.csv", data)
	require.NoError(t, err)
	n.d, err = deck.Of(n.e, marks)
	require.NoError(t, err)
	n.key, err = deck.Count(n.e, n.d, deck.Rules{StraightParty: deck.FillUnmarked})
	require.NoError(t, err)
	require.Empty(t, n.key.Left)
	return n
}

// counted is what a count is of. Precinct "" is the whole election.
type counted struct{ precinct, contest, position string }

// counts are those of the key by precinct, and of the whole election.
func (n nist) counts() map[counted]int {
	out := map[counted]int{}
	for _, r := range n.key.Rows(n.e) {
		out[counted{r.Precinct, r.Contest, r.Position}] += r.Count
		out[counted{"", r.Contest, r.Position}] += r.Count
	}
	return out
}

// differ is a place where the README or a file of NIST says something else than the deck counts.
type differ struct{ deck, nist int }

// The README's own totals of GEN-03 double what both precincts and err-gen-03 say: the contest is on one
// precinct's ballot (10 ballots), and 20 votes are printed.
var readmeDiffers = map[string]map[counted]differ{
	"gen-03": {
		{"", "congress-1", "1"}: {4, 8},
		{"", "congress-1", "2"}: {5, 10},
		{"", "congress-1", "3"}: {1, 2},
	},
}

func TestNISTDecksCountAsTheirREADMEsExpect(t *testing.T) {
	for _, name := range nistElections {
		t.Run(name, func(t *testing.T) {
			n := nistDeck(t, name)
			file, err := os.Open(filepath.Join(keyed, name, "deck-results.csv"))
			require.NoError(t, err)
			defer file.Close()
			rows, err := csv.NewReader(file).ReadAll()
			require.NoError(t, err)
			want := map[counted]int{}
			for _, row := range rows[1:] {
				count, err := strconv.Atoi(row[4])
				require.NoError(t, err)
				want[counted{row[0], row[1], row[2]}] += count
			}
			got := n.counts()
			differences := map[counted]differ{}
			for of, count := range want {
				if got[of] != count {
					differences[of] = differ{got[of], count}
				}
			}
			expected := readmeDiffers[name]
			if expected == nil {
				expected = map[counted]differ{}
			}
			assert.Equal(t, expected, differences)
			for of := range got {
				if _, votes := results.ReadPosition(of.position); votes && of.position[0] >= '0' && of.position[0] <= '9' {
					_, in := want[of]
					assert.True(t, in, "the README says nothing of %v", of)
				}
			}
		})
	}
}

// published reads a file of NIST's.
func published(t *testing.T, name, report string, into any) {
	t.Helper()
	path := filepath.Join(standard, name, report+name+".json")
	data, err := os.ReadFile(path)
	if errors.Is(err, os.ErrNotExist) && os.Getenv("CI") != "true" {
		t.Skipf("the NIST test elections are not beside the repository: %v", err)
	}
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(data, into))
}

// What NIST's files call the precincts and the contests of the sheets.
var precinctsOf = map[string]string{
	"ru-county-1": "", "cp-1-4-5-6": "Precinct 1", "ps-2a": "Precinct 2a", "ps-2b": "Precinct 2b",
	"cp-3-7-8-9":  "Precinct 3",
	"ru-county-3": "", "prec-fs-23": "Fire Station 23", "prec-ac": "Aldersgate Church",
	"ru-county": "", "prec-bcch": "Bibb County Court", "prec-src": "Shelton Road Church",
}

var contestsOf = map[string]string{
	"spc-1": "straight", "cc-president": "president", "cc-senate": "senator", "cc-congress-1": "congress-1",
	"cc-congress-2": "congress-2", "cc-assembly-1": "assembly-1", "cc-assembly-2": "assembly-2",
	"cc-assembly-3": "assembly-3", "bm-proposal-1": "proposal-1", "bm-proposal-2": "proposal-2a",
	"bm-proposal-3": "proposal-2b", "cc-county-comissioner-1": "commissioner-1",
	"cc-county-comissioner-2": "commissioner-2", "cc-county-comissioner-3": "commissioner-3",
	"cc-county-assessor": "assessor", "cc-sc-justice-a": "justice-a", "cc-sc-justice-b": "justice-b",
	"cc-sc-justice-c": "justice-c", "cc-dog-catcher": "dog-catcher", "bm-22.6": "measure-22", "bm-25.3": "measure-25",
}

var primaryContest = regexp.MustCompile(`^cc-(com|dem|gre|lib|rep)-(.*)$`)

func contestOf(t *testing.T, id string) string {
	t.Helper()
	if m := primaryContest.FindStringSubmatch(id); m != nil {
		office := map[string]string{"president": "president", "senate": "senator", "congress-6": "representative",
			"sc-justice": "justices", "state-senator": "state-senator", "assembly": "assembly"}[m[2]]
		require.NotEmpty(t, office, id)
		return strings.Replace(m[1], "gre", "grn", 1) + "-" + office
	}
	require.Contains(t, contestsOf, id)
	return contestsOf[id]
}

// report is what this test reads of err-*: counts as in SP 1500-100.
type report struct {
	Election []struct {
		Contest []struct {
			ID               string `json:"@id"`
			ContestSelection []struct {
				ID         string `json:"@id"`
				VoteCounts []struct {
					GpUnitId string
					Count    int
				}
			}
			OtherCounts []struct {
				GpUnitId              string
				Overvotes, Undervotes int
			}
		}
	}
}

// The count of a choice that err-prim-01 leaves out where a precinct has no vote for it is 0: it is there
// for the county, as 0.
func TestNISTDecksCountAsTheReportsSay(t *testing.T) {
	for _, name := range nistElections {
		t.Run(name, func(t *testing.T) {
			var r report
			published(t, name, "err-", &r)
			n := nistDeck(t, name)
			got := n.counts()
			said := map[counted]int{}
			for _, c := range r.Election[0].Contest {
				contest := contestOf(t, c.ID)
				for j, s := range c.ContestSelection {
					for _, v := range s.VoteCounts {
						require.Contains(t, precinctsOf, v.GpUnitId)
						said[counted{precinctsOf[v.GpUnitId], contest, strconv.Itoa(j + 1)}] = v.Count
					}
				}
				for _, o := range c.OtherCounts {
					said[counted{precinctsOf[o.GpUnitId], contest, results.Overvotes}] = o.Overvotes
					said[counted{precinctsOf[o.GpUnitId], contest, results.Undervotes}] = o.Undervotes
				}
			}
			for of, count := range got {
				switch of.position {
				case results.Ballots, results.OvervotedBallots, results.UndervotedBallots:
					continue // SP 1500-100 as NIST writes it counts none of them
				}
				nists, in := said[of]
				assert.True(t, in || count == 0, "%v is not in the file", of)
				assert.Equal(t, nists, count, "%v", of)
				delete(said, of)
			}
			assert.Empty(t, said, "counted by nobody here")
		})
	}
}

// records is what this test reads of cvr-*: cast vote records as in SP 1500-103.
type records struct {
	CVR []struct {
		BallotPrePrintedId, BallotStyleUnitId string
		CVRSnapshot                           []struct {
			CVRContest []struct {
				ContestId             string
				Overvotes, Undervotes int
				CVRContestSelection   []struct {
					ContestSelectionId string
					OptionPosition     int
					TotalNumberVotes   int
					SelectionPosition  []struct{ Status []string }
				}
			}
		}
	}
}

var ballotOf = regexp.MustCompile(`^bs?-(\d+)-prec-(.*)$`)

// Ballot by ballot: the marks that were read, and what each ballot counts by itself.
func TestNISTDecksAreTheirCastVoteRecords(t *testing.T) {
	for _, name := range nistElections {
		t.Run(name, func(t *testing.T) {
			var r report
			published(t, name, "err-", &r)
			position := map[string]int{} // of a choice, by its identifier
			for _, c := range r.Election[0].Contest {
				for j, s := range c.ContestSelection {
					position[s.ID] = j + 1
				}
			}
			var records records
			published(t, name, "cvr-", &records)
			n := nistDeck(t, name)
			require.Len(t, n.d.Ballots, len(records.CVR))
			marks := n.d.Rows(n.e)
			for _, cvr := range records.CVR {
				m := ballotOf.FindStringSubmatch(cvr.BallotPrePrintedId)
				require.NotNil(t, m, cvr.BallotPrePrintedId)
				ballot := n.numbered(t, m[1], precinctsOf[cvr.BallotStyleUnitId])
				label := fmt.Sprintf("%s, ballot %d of the deck", cvr.BallotPrePrintedId, ballot.Number)
				var marked []string
				votes := map[counted]int{}
				for _, c := range cvr.CVRSnapshot[0].CVRContest {
					contest := contestOf(t, c.ContestId)
					votes[counted{"", contest, results.Overvotes}] = c.Overvotes
					votes[counted{"", contest, results.Undervotes}] = c.Undervotes
					for _, s := range c.CVRContestSelection {
						at := strconv.Itoa(position[s.ContestSelectionId])
						votes[counted{"", contest, at}] = s.TotalNumberVotes
						if len(s.SelectionPosition[0].Status) == 0 { // else it is "generated-rules": nobody marked it
							marked = append(marked, contest+" "+at)
							assert.Equal(t, position[s.ContestSelectionId], s.OptionPosition, "%s: %s", label, s.ContestSelectionId)
						}
					}
				}
				var deckMarks []string
				for _, row := range marks {
					if row.Ballot == ballot.Number {
						deckMarks = append(deckMarks, row.Contest+" "+strconv.Itoa(row.Position))
					}
				}
				assert.ElementsMatch(t, marked, deckMarks, label)
				alone, err := deck.Count(n.e, &deck.Deck{Ballots: []deck.Ballot{ballot}},
					deck.Rules{StraightParty: deck.FillUnmarked})
				require.NoError(t, err)
				for _, row := range alone.Rows(n.e) {
					if row.Position != results.Ballots && !strings.HasSuffix(row.Position, "-ballots") {
						of := counted{"", row.Contest, row.Position}
						assert.Equal(t, votes[of], row.Count, "%s: %v", label, of)
						delete(votes, of)
					}
				}
				assert.Empty(t, votes, label)
			}
		})
	}
}

// numbered is the ballot that the README numbers so in a precinct: the deck numbers them on.
func (n nist) numbered(t *testing.T, number, precinct string) deck.Ballot {
	t.Helper()
	at, err := strconv.Atoi(number)
	require.NoError(t, err)
	for _, b := range n.d.Ballots {
		if n.e.Precincts[b.Precinct].Name.In("") != precinct {
			continue
		}
		if at--; at == 0 {
			return b
		}
	}
	t.Fatalf("precinct %s has no ballot %s", precinct, number)
	return deck.Ballot{}
}
