package review

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"counterproof/checks/finding"
	"counterproof/model/casefile"
)

func decided(s decidedValues) casefile.Decided {
	words := wordsOf(s)
	return casefile.Decided{Words: words, Said: casefile.DigestOf([]byte(words))}
}

func TestADecisionReopensWhenASideSaysSomethingElse(t *testing.T) {
	contest := finding.RefTo(finding.Contest, 3, 4)
	line := finding.Finding{
		Check: "party-line", Grade: finding.MustFix, Contest: "County Judge", Choice: "Ida Marsh",
		Precincts: []string{"1-01", "1-02"},
		Primary:   "LAN", Second: "LAN | MEA", Values: [2]finding.Value{{List: []string{"LAN"}},
			{List: []string{"LAN", "MEA"}}},
		Claims: contest.Claims(finding.Lines),
	}
	missing := finding.Finding{
		Check: "contest-missing", Grade: finding.MustFix, Contest: "Town Justice", Precincts: []string{"3-01"},
		Primary: "not on the ballot", Second: "on the ballot",
		Values: [2]finding.Value{{Words: "not on the ballot"}, {Words: "on the ballot"}},
		Claims: finding.RefTo(finding.Ballot, 0, 0).Part(1, 1).Claims(finding.Content),
	}
	for _, c := range []struct {
		name   string
		of     finding.Finding
		change func(f *finding.Finding)
		now    bool // a decision made now still applies
		before bool // one of layout 1 does
	}{
		{"nothing changed", line, func(*finding.Finding) {}, true, true},
		{"a precinct joined the contest", line, func(f *finding.Finding) { f.Precincts = append(f.Precincts, "1-03") }, true,
			false},
		{"the export calls the party otherwise", line, func(f *finding.Finding) { f.Primary = "LNT" }, true, false},
		{"the contest is elsewhere in the lists", line,
			func(f *finding.Finding) { f.Claims = finding.RefTo(finding.Contest, 9, 9).Claims(finding.Lines) }, true, true},
		{"the export gives another line", line, func(f *finding.Finding) {
			f.Primary, f.Values[0].List = "MEA",
				[]string{"MEA"}
		}, false, false},
		{"another line is keyed", line, func(f *finding.Finding) { f.Second, f.Values[1].List = "LAN", []string{"LAN"} },
			false, false},
		{"the contest is missing from one more ballot", missing,
			func(f *finding.Finding) { f.Precincts = append(f.Precincts, "3-02") }, false, false},
	} {
		f := c.of
		f.Precincts = append([]string{}, c.of.Precincts...)
		c.change(&f)
		assert.Equal(t, c.now, bindsTo(decided(decidedValuesOf(&c.of, nil)), decidedValuesOf(&f, nil)),
			"%s: a decision made now", c.name)
		assert.Equal(t, c.before, bindsTo(decided(decidedAlone(&c.of)), decidedValuesOf(&f, nil)),
			"%s: a decision of layout 1", c.name)
	}
}

// The digest that a decision of layout 1 binds to was made by the program that recorded it.
func TestTheWordsOfLayout1AreAsTheyWere(t *testing.T) {
	f := finding.Finding{Check: "vote-for", Grade: finding.MustFix, Contest: "County Judge", Precincts: []string{"1-01"},
		Primary: "1", Second: "2"}
	assert.Equal(t, `{"check":"vote-for","choice":"","contest":"County `+
		`Judge","grade":"must-fix","party":"","precincts":["1-01"],"primary":"1","second":"2","site":"","style":"","unit":""}`,
		wordsOf(decidedAlone(&f)))
}
