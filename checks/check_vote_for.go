package checks

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"strconv"
	"strings"

	"counterproof/checks/difference"
	"counterproof/checks/finding"
	"counterproof/checks/pairing"
	"counterproof/model"
)

const codeVoteFor finding.Code = "vote-for"

var voteFor = &Check{Check: finding.Check{
	Code:    codeVoteFor,
	Purpose: "the number of votes allowed differs",
	Doc: `The ballot prints how many votes a voter may cast in a contest; the primary would count
by another number. Where the export states none, nothing is compared. Graded must-fix.`,
	Example:  `"County Judge": vote for 1 in the primary, vote for 2 as keyed`,
	Headline: "other number",
	Mark:     finding.MarkNumber,
	Field:    "the vote-for",
	Keyed:    []finding.Thing{finding.Contest},
	Sentence: sayVoteFor,
},
	find: findVoteFor,

	exchange: func(f *finding.Finding) exchange {
		half := exchanged(f)
		half.single = true // two numbers are exchanged by chance where more contests have them
		return half
	},
}

func findVoteFor(ds *difference.Differences, r *reporter) {
	ds.EachContestPair(func(k int, m pairing.ContestPair, a, b *model.Contest) {
		if !a.VoteFor.Known || !b.VoteFor.Known || a.VoteFor == b.VoteFor {
			return
		}
		f := ds.About(finding.Finding{Grade: finding.MustFix, Primary: strconv.Itoa(a.VoteFor.Value),
			Second: strconv.Itoa(b.VoteFor.Value), Precincts: ds.PairNames(m)}, m.Primary, m.Second)
		r.reportPair(m, f, "vote for").claim(contestRef(m).Claims(finding.VoteFor)...)
	})
}

func sayVoteFor(f *finding.Finding) string {
	return fmt.Sprintf("%s: the primary lets a voter vote for %s; keyed is vote for %s.", finding.Quote(f.Contest),
		f.Primary, f.Second)
}

// VoteForStatedOnce finds the contests whose vote-for only one of two exports states. A
// vote-for that the primary does not state is compared with nothing, so that no
// comparison shows it.
func VoteForStatedOnce(before, after *model.Election, o Options) []finding.Finding {
	type name struct{ title, parties string }
	nameOf := func(e *model.Election, i int) name {
		c := &e.Contests[i]
		n := name{title: strings.TrimSpace(c.Title.Value.In(o.Language) + " " + c.Subtitle.Value.In(o.Language))}
		if n.title == "" {
			n.title = c.Name.Value.In(o.Language)
		}
		for _, p := range c.PrimaryParties.Value {
			n.parties += e.Parties[p].Abbreviation.Value.In(o.Language) + e.Parties[p].Name.Value.In(o.Language)
		}
		return n
	}
	index := map[name]int{}
	for i := range before.Contests {
		n := nameOf(before, i)
		if _, twice := index[n]; twice {
			index[n] = -1
			continue
		}
		index[n] = i
	}
	var out []finding.Finding
	for i := range after.Contests {
		n := nameOf(after, i)
		at, ok := index[n]
		if !ok || at < 0 || before.Contests[at].VoteFor.Known == after.Contests[i].VoteFor.Known {
			continue
		}
		say := func(v model.Stated[int]) string {
			if !v.Known {
				return ""
			}
			return strconv.Itoa(v.Value)
		}
		f := finding.Finding{
			Check: codeVoteFor, Contest: n.title, Precincts: []string{},
			Primary: say(after.Contests[i].VoteFor), Second: say(before.Contests[at].VoteFor),
		}
		sum := sha256.Sum256([]byte(n.title + "\x00" + n.parties))
		f.ID = string(codeVoteFor) + "-stated-" + hex.EncodeToString(sum[:6])
		out = append(out, f)
	}
	return out
}
