package cdf

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestALayoutIsHeldWholeAndShort: which option stands where is part of it; identifiers and the order of
// the list are not.
func TestALayoutIsHeldWholeAndShort(t *testing.T) {
	option := func(id, x string) string {
		return `<PhysicalContestOption><ContestOptionId>` + id + `</ContestOptionId><OptionPosition><H>0.1</H><Side>front` +
			`</Side><W>0.1</W><X>` + x + `</X><Y>2</Y><NumberVotes>1</NumberVotes></OptionPosition></PhysicalContestOption>`
	}
	held := func(data string) string {
		e, _ := readDefinition(t, data)
		words := memberOf(e.Origins.Styles[0].Held, "OrderedContent.Physical")
		require.Len(t, words, 1)
		return words[0]
	}
	from, rest, _ := strings.Cut(everything, "<PhysicalContestOption>")
	_, to, _ := strings.Cut(rest, "</PhysicalContestOption>")
	with := func(options ...string) string { return from + strings.Join(options, "") + to }

	one := held(with(option("yes", "1"), option("no", "2")))
	assert.Equal(t, one, held(with(option("no", "2"), option("yes", "1"))), "another order of the list")
	assert.Equal(t, one, held(strings.NewReplacer(`"yes"`, `"o-7"`, ">yes<", ">o-7<").Replace(
		with(option("yes", "1"), option("no", "2")))), "another identifier")
	assert.NotEqual(t, one, held(with(option("no", "1"), option("yes", "2"))), "the options change places")
	assert.NotEqual(t, one, held(with(option("yes", "1"), option("no", "3"))), "an option moves")
	assert.NotEqual(t, one, held(with(option("yes", "1"))), "an option is left out")

	var many []string
	for i := range 2000 {
		many = append(many, option("yes", fmt.Sprint(i)))
	}
	long := held(with(many...))
	assert.Less(t, len(long), 400)
	many[1000] = option("yes", "0.5")
	assert.NotEqual(t, long, held(with(many...)))
}

// TestALargeLayoutDisplacesNothing: what is held beside the layout of a large county is not digested
// together, as what is beyond the bound is.
func TestALargeLayoutDisplacesNothing(t *testing.T) {
	if testing.Short() {
		t.Skip("reads 90 MB: long; run without -short")
	}
	from, rest, _ := strings.Cut(everything, "<OrderedContent xsi:type=\"OrderedContest\"><ContestId>mayor</ContestId>")
	contest, to, _ := strings.Cut(rest, "</OrderedContent>")
	_, physical, _ := strings.Cut(contest, "<PhysicalContestOption>")
	physical, _, _ = strings.Cut(physical, "</PhysicalContestOption>")
	var data strings.Builder
	data.WriteString(from)
	for range 40_000 {
		data.WriteString(`<OrderedContent xsi:type="OrderedContest"><ContestId>mayor</ContestId><Physical><BallotFormatId>` +
			`bf</BallotFormatId>` + strings.Repeat("<PhysicalContestOption>"+physical+"</PhysicalContestOption>", 8) +
			`</Physical></OrderedContent>`)
	}
	data.WriteString(to)
	e, contents, err := Read([]Part{{"bd.xml", []byte(data.String())}}, Options{Hold: true})
	require.NoError(t, err)
	assert.Equal(t, 40_000, contents.Uncompared["OrderedContent.Physical"])
	assert.Equal(t, []string{"federal only"}, memberOf(e.Origins.Styles[0].Held, "Purpose"))
	assert.Empty(t, memberOf(e.Origins.Held, "What is beyond 64 MB"))
}
