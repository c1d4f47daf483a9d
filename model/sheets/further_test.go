package sheets

import (
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"counterproof/model"
)

func TestWordingsOfSeveralLanguagesStandInOneCell(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		words := rapid.MapOfN(rapid.SampledFrom([]string{"es", "zh-Hant", "ko", "es-US", "fil"}),
			rapid.StringMatching(`[a-z\[\] \n\t]{1,12}`), 0, 5).Draw(t, "words")
		cell := ""
		for language, w := range words {
			cell = FurtherWith(cell, language, w)
		}
		require.Len(t, Further(cell), len(words))
		for language, w := range words {
			assert.Equal(t, w, FurtherIn(cell, language), "in %s", language)
		}
		for language := range words {
			cell = FurtherWith(cell, language, "")
		}
		assert.Empty(t, cell)
	})
}

func FuzzFurther(f *testing.F) {
	f.Add("[es] uno\n\tdos\n[zh-Hant] 三", "es", "x\n[ko] y")
	f.Fuzz(func(t *testing.T, cell, language, words string) {
		again := ""
		for _, w := range Further(cell) {
			again = FurtherWith(again, w.Language, w.Words)
		}
		if language, ok := model.LanguageTag(language); ok {
			assert.Equal(t, lineFeeds.Replace(words), FurtherIn(FurtherWith(again, language, words), language))
		}
	})
}

// entry is a small second entry with a contest in three languages.
func entryInLanguages() fstest.MapFS {
	file := func(text string) *fstest.MapFile { return &fstest.MapFile{Data: []byte(text)} }
	return fstest.MapFS{
		"parties.csv": file("party,name,order,name[es]\nALD,Alder Party,1,Partido Aliso\n"),
		"contests.csv": file("contest,title,title[es],kind,vote_for,text,Text[ZH-hant],text[es]\n" +
			"m,Measure A,Medida A,measure,1,Shall it?,應該嗎,-\nc,Clerk,,candidate,1,,,\n"),
		"choices.csv": file("contest,position,name,name[es],party_lines,write_in\n" +
			"m,1,Yes,Sí,,\nm,2,No,,,\nc,1,A/ B,A/ B,ALD,\n"),
		"ballots.csv": file("precinct,style,party,position,contest,heading,heading[es]\n" +
			"1,,,1,c,COUNTY | CLERK,CONDADO|SECRETARIO\n1,,,2,m,,\n"),
		"precincts.csv": file("precinct,site\n1,\n"),
		"election.csv":  file("name,name[es],date,jurisdiction\nGeneral Election,Elección General,,\n"),
	}
}

func TestFurtherLanguagesAreReadByColumn(t *testing.T) {
	s, err := ReadFS(entryInLanguages())
	require.NoError(t, err)
	e, err := s.Election()
	require.NoError(t, err)
	assert.Equal(t, []string{"", "es", "zh-Hant"}, e.Origins.Languages)
	m, c := e.Contests[0], e.Contests[1]
	assert.Equal(t, model.Text{{Words: "Measure A"}, {Language: "es", Words: "Medida A"}}, m.Title.Value)
	assert.Equal(t, model.Text{{Words: "Shall it?"}, {Language: "es"}, {Language: "zh-Hant", Words: "應該嗎"}}, m.Text.Value,
		"a dash says that nothing is printed in that language")
	assert.Equal(t, model.Text{{Words: "Clerk"}}, c.Title.Value)
	assert.Equal(t, model.Text{{Words: "A / B"}, {Language: "es", Words: "A / B"}}, c.Choices[0].Name.Value)
	assert.Equal(t, []model.Text{
		{{Words: "COUNTY"}, {Language: "es", Words: "CONDADO"}}, {{Words: "CLERK"}, {Language: "es", Words: "SECRETARIO"}},
	}, e.Styles[0].Content[0].Headings.Value)
	assert.Equal(t, "Elección General", e.Facts.Name.Value.In("es"))
	assert.Equal(t, model.Say(1), e.Parties[0].Order)

	dir := t.TempDir() + "/out"
	require.NoError(t, s.WriteDir(dir))
	again, err := ReadDir(dir)
	require.NoError(t, err)
	same, err := again.Election()
	require.NoError(t, err)
	assert.Equal(t, e.Contests, same.Contests, "written and read again")
	assert.Equal(t, e.Styles, same.Styles)

	stored, err := s.Stored()
	require.NoError(t, err)
	var kept Sheets
	for _, f := range stored {
		require.NoError(t, ReadStored(&kept, f.Name, f.Data))
	}
	assert.Equal(t, s.Contests[0].FurtherText, kept.Contests[0].FurtherText)
	assert.Equal(t, s.Ballots, kept.Ballots)
}

func TestColumnsInNoLanguageAreRefused(t *testing.T) {
	for name, c := range map[string]struct{ file, header, fault string }{
		"a column that is no wording":   {"contests.csv", "kind[es]", "title, subtitle and text"},
		"a tag that names no language":  {"contests.csv", "title[Spanish language]", "title[es]"},
		"the same language twice":       {"contests.csv", "title[es],TITLE[ES]", "there twice"},
		"a sheet without wordings":      {"precincts.csv", "precinct[es]", "nothing of this sheet"},
		"headings that are not as many": {"ballots.csv", "", "as many headings"},
	} {
		t.Run(name, func(t *testing.T) {
			fsys := entryInLanguages()
			data := fsys[c.file].Data
			if c.header == "" {
				data = []byte("precinct,style,party,position,contest,heading,heading[es]\n1,,,1,c,COUNTY|CLERK,CONDADO\n")
			} else {
				data = append([]byte(c.header+","), data...)
			}
			fsys[c.file] = &fstest.MapFile{Data: data}
			s, err := ReadFS(fsys)
			if err == nil {
				_, err = s.Election()
			}
			require.ErrorContains(t, err, c.fault)
		})
	}
}
