package findings

import (
	"math/rand"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/checks/finding"
	"counterproof/checks/review"
)

// of is the text of an excerpt's element.
func of(x Excerpt) (text string) {
	for _, l := range x.Lines {
		if l.Of {
			text += strings.TrimSpace(l.Text) + "\n"
		}
	}
	return text
}

func TestEachFindingLeadsToItsElementInTheExport(t *testing.T) {
	r := demoReview(t)
	s, err := r.Now()
	require.NoError(t, err)
	places := func(check finding.Code, contest string) []Excerpt {
		list, err := ExportPlaces(r.Case(), s, itemOf(t, r, check, contest))
		require.NoError(t, err)
		require.NotEmpty(t, list)
		return list
	}
	judge := places("vote-for", "County Judge")[0]
	assert.Equal(t, "export.xml", judge.File)
	assert.Contains(t, of(judge), `ObjectId="con-judge"`)
	assert.Contains(t, of(judge), "<VotesAllowed>1</VotesAllowed>")
	assert.True(t, strings.HasSuffix(of(judge), "</Contest>\n"), "to its end: %s", of(judge))
	assert.False(t, judge.Lines[0].Of, "with lines before")
	assert.False(t, judge.Lines[len(judge.Lines)-1].Of, "and after")
	for n, l := range judge.Lines {
		assert.Equal(t, strings.Contains(l.Text, "<VotesAllowed>1<") && l.Of, l.Value, l.Text)
		assert.Equal(t, judge.Lines[0].Number+n, l.Number)
	}
	name := places("choice-name", "Member of Town Council Town of Alder Falls")
	require.Len(t, name, 2, "the choice, and the name that it refers to")
	assert.Contains(t, of(name[1]), "Ruth-Anne Skarsgard<")
	assert.Contains(t, of(places("unit-header", "")[0]), "ed-3-03 ed-3-04 ed-3-05")
	assert.Contains(t, of(places("wrong-style", "")[0]), "Election District 1-06")
	nothing := item("x", "choice-missing", "Nobody Has This", "", finding.MustFix, review.StatusOpen)
	list, err := ExportPlaces(r.Case(), s, &nothing)
	require.NoError(t, err)
	assert.Empty(t, list)
}

func TestAnExcerptOfEachFormat(t *testing.T) {
	json := "{\n \"a\": [\n  {\n   \"@id\": \"c1\",\n   \"t\": \"}\"\n  },\n  {\n   \"@id\": \"c2\"\n  }\n ]\n}"
	x := excerptAt("e.json", []byte(json), 4, "c1")
	assert.Equal(t, "{\n\"@id\": \"c1\",\n\"t\": \"}\"\n},\n", of(x))
	x = excerptAt("e.csv", []byte("unit,site\nTW-1,Here\nTW-2,There\n"), 2, "")
	assert.Equal(t, "TW-1,Here\n", of(x))
	assert.Len(t, x.Lines, 3)
	long := "<R><C ObjectId=\"c1\"><V>1</V></C>" + strings.Repeat("<X/>", 2000) + "<C ObjectId=\"c2\"><V>2</V></C></R>"
	x = excerptAt("e.xml", []byte(long), 1, "c2")
	assert.True(t, x.Broken)
	assert.Equal(t, "<C ObjectId=\"c2\">\n<V>2</V>\n</C>\n", of(x))
	assert.Equal(t, []byte("<R/>"), inUTF8([]byte{0xff, 0xfe, '<', 0, 'R', 0, '/', 0, '>', 0}))
}

func TestAnyBytesGiveAnExcerptOfBoundedSize(t *testing.T) {
	r := rand.New(rand.NewSource(1))
	letters := []byte("<>/{}\"\\\n\n ,=abc\xff\xfe\x00")
	for range 3000 {
		b := make([]byte, r.Intn(60))
		for n := range b {
			b[n] = letters[r.Intn(len(letters))]
		}
		for line := range 5 {
			x := excerptAt("f", b, line+1, "a")
			assert.LessOrEqual(t, len(x.Lines), linesOf+2*linesAround)
		}
	}
	deep := strings.Repeat("<a>", 200_000) + "\n" + strings.Repeat("{", 200_000)
	assert.LessOrEqual(t, len(excerptAt("f", []byte(deep), 1, "a").Lines), linesOf+2*linesAround)
}
