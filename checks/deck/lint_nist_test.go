package deck_test

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/checks/deck"
	"counterproof/checks/finding"
)

// What NIST's decks cannot see, read from the "Test Results" of each README: which positions of a
// contest have the same total, and which have none. All precincts of a contest print the same ties.
var nistTies = map[string]map[string][]string{
	"gen-01": {
		"straight":       {"[1 2 3]"},              // Libertarian 4, Republican 4, Democrat 4
		"president":      {"[1 2]", "[3 4]"},       // Brown 12, Bush 12; Gore 8, Write-In 8
		"senator":        {"[1 2]", "[3 4]"},       // Johnson 12, Rusco 12; Bernstein 8, Write-In 8
		"congress-1":     {"[1 2]", "[3 4]"},       // Gibbons 6, Laws 6; Cahill 4, Write-In 4
		"congress-2":     {"[1 2]", "[3 4]"},       // Smith 6, Wyatt 6; Hinkle 4, Write-In 4
		"proposal-1":     {"[1 2]"},                // Yes 5, No 5, as the two below
		"proposal-2a":    {"[1 2]"},                //
		"proposal-2b":    {"[1 2]"},                //
		"commissioner-1": {"[1 2]"},                // Beal 4, Write-In 4
		"commissioner-2": {"[1 2]"},                // Howard 8, Write-In 8
		"commissioner-3": {"[1 2]"},                // Scott 4, Write-In 4
		"assessor":       {"[1 2]", "[3 4 5 6 8]"}, // Backus 12, Ensign 12; four at 8 and one Write-In
		"justice-a":      {"[1 2 3]"},              // Rose 3, Becker 3, Write-In 3
		"justice-b":      {"[1 2 3]"},              // Denise 6, Young 6, Write-In 6
		"justice-c":      {"[1 2 3]"},              // Farmer 3, Jones 3, Write-In 3
		"dog-catcher":    {"[1 2]", "[3 4]"},       // Bates 12, Ingram 12; Gustiv 8, Write-In 8
	},
	"gen-03": {
		"president":  {"[1 2]"}, // at AldersGate Church: Kumar 5, Getz 5
		"assembly-1": {"[1 2]"}, // Castle 3, Sosses 3
		"assembly-2": {"[1 2]"}, // Cook-Lincoln 3, Hatzinger 3
		"measure-22": {"[1 2]"}, // Yes 5, No 5 in each precinct, as the other
		"measure-25": {"[1 2]"},
	},
	"prim-01": {
		"dem-senator":        {"[2 3]"},     // Lawton 2, Write-In 2
		"dem-representative": {"[2 3]"},     // RingHand 2, Write-In 2
		"lib-president":      {"[1 2 3 4]"}, // Barr, Boot, Calero, Kennedy 2 each
		"rep-president":      {"[2 4]"},     // Thompson 2, Paul 2
		"rep-senator":        {"[2 3]"},     // Van Hollen 2, Write-In 2
		"rep-representative": {"[2 3]"},     // Vought 2, Write-In 2
	},
}

// nistUnvoted are the positions that the READMEs give no vote.
var nistUnvoted = map[string]map[string]string{
	"gen-01": {},
	"gen-03": {"president": "[3]"}, // at AldersGate Church
	"prim-01": {
		"com-president": "[3]", "com-senator": "[2]", "com-representative": "[2]",
		"dem-president": "[2 3 5 6 7]", "dem-state-senator": "[3]",
		"grn-president": "[3]", "grn-senator": "[2]", "grn-assembly": "[2]",
		"lib-president": "[5]", "lib-state-senator": "[2]", "lib-assembly": "[2]",
		"rep-president": "[3 5 6 7]", "rep-state-senator": "[3]", "rep-assembly": "[2]",
	},
}

func TestLintNamesTheTiesOfNISTDecks(t *testing.T) {
	for _, name := range nistElections {
		t.Run(name, func(t *testing.T) {
			n := nistDeck(t, name)
			found, err := deck.Lint(n.e, n.d, deck.Options{Rules: deck.Rules{StraightParty: deck.FillUnmarked}})
			require.NoError(t, err)
			ties, unvoted := map[string][]string{}, map[string]string{}
			for _, b := range found {
				switch {
				case b.Kind == deck.BlindPositions && !b.Marks:
					require.Equal(t, finding.MustFix, b.Grade, b.Words(n.e))
					code := deck.ContestCode(n.e, b.Contests[0])
					ties[code] = append(ties[code], fmt.Sprint(b.Positions(n.e)))
					slices.Sort(ties[code])
				case b.Kind == deck.BlindNoVote:
					unvoted[deck.ContestCode(n.e, b.Contests[0])] = fmt.Sprint(b.Positions(n.e))
				case b.Kind == deck.BlindHigher:
					assert.Len(t, b.Contests, len(n.e.Contests), "no ballot of NIST's decks has a mark too many")
				}
			}
			assert.Equal(t, nistTies[name], ties)
			assert.Equal(t, nistUnvoted[name], unvoted)
		})
	}
}

// In PRIM-01 both precincts are fed the same ballots: the README's results of both are the same.
func TestLintSaysThatNISTsTwoPrecinctsCountTheSame(t *testing.T) {
	n := nistDeck(t, "prim-01")
	found, err := deck.Lint(n.e, n.d, deck.Options{})
	require.NoError(t, err)
	at := slices.IndexFunc(found, func(b deck.Blind) bool { return b.Kind == deck.BlindPrecincts })
	require.GreaterOrEqual(t, at, 0)
	assert.Equal(t, finding.MustFix, found[at].Grade)
	assert.Len(t, found[at].Precincts, 2)
}
