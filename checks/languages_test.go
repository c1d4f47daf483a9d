package checks

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/checks/finding"
	"counterproof/model"
)

// bilingual is an invented election in English and Spanish, as an export and as a second entry.
func bilingual() (export, second *model.Election) {
	make := func(first string) *model.Election {
		text := func(english, spanish string) model.Text {
			t := model.Text{{Language: first, Words: english}}
			if spanish != "" {
				t = append(t, model.Phrase{Language: "es", Words: spanish})
			}
			return t
		}
		say := func(english, spanish string) model.Stated[model.Text] { return model.Say(text(english, spanish)) }
		choice := func(name model.Stated[model.Text]) model.Choice {
			return model.Choice{Name: name, Person: name.Value.In(""), Lines: model.Say[[]int](nil)}
		}
		e := &model.Election{
			Facts:     model.Facts{Name: say("Spring Election", "Elección de Primavera")},
			Precincts: []model.Precinct{{Name: model.Plain("1-01")}, {Name: model.Plain("1-02")}},
			Contests: []model.Contest{
				{Title: say("Town Clerk", "Secretario del Pueblo"), Kind: model.Say(model.KindCandidate), VoteFor: model.Say(1),
					Choices: []model.Choice{choice(say("Ada Moor", "")), choice(say("Ben Tarn", ""))}},
				{Title: say("Proposition Two", "Propuesta Dos"), Kind: model.Say(model.KindMeasure),
					Text:    say("A tax of 2.5 percent for 10 years?", "¿Un impuesto de 2,5 por ciento durante 10 años?"),
					Choices: []model.Choice{choice(say("Yes", "Sí")), choice(say("No", "No"))}},
			},
		}
		e.Styles = []model.Style{{Precincts: []int{0, 1}, Content: []model.Placement{
			{Contest: 0, Headings: model.Say([]model.Text{text("TOWN OFFICES", "OFICINAS DEL PUEBLO")})},
			{Contest: 1, Headings: model.Say([]model.Text{text("QUESTIONS", "PREGUNTAS")})},
		}}}
		e.Origins.Languages = []string{first, "es"}
		return e
	}
	return make("en"), make("")
}

// spanish puts other words in the Spanish of a text.
func spanish(t *model.Text, words string) { (*t)[1].Words = words }

func TestALanguageThatBothSidesHoldIsComparedLikeTheFirst(t *testing.T) {
	export, second := bilingual()
	require.Empty(t, Compare(export, second, Options{}).Findings)
	for name, c := range map[string]struct {
		code  string
		alter func(e *model.Election)
	}{
		"a title": {"contest-title", func(e *model.Election) {
			spanish(&e.Contests[0].Title.Value, "Secretaria del Pueblo")
		}},
		"a text": {"measure-text", func(e *model.Election) {
			spanish(&e.Contests[1].Text.Value, "¿Un impuesto?")
		}},
		"a choice": {"choice-name", func(e *model.Election) {
			spanish(&e.Contests[1].Choices[0].Name.Value, "Si")
		}},
		"a heading": {"heading", func(e *model.Election) {
			spanish(&e.Styles[0].Content[0].Headings.Value[0], "OFICIOS")
		}},
		"the election's name": {"election", func(e *model.Election) { spanish(&e.Facts.Name.Value, "Elección General") }},
	} {
		for side := range 2 {
			export, second := bilingual()
			c.alter([]*model.Election{export, second}[side])
			findings := Compare(export, second, Options{}).Findings
			require.Len(t, findings, 1, "%s: %s", name, listed(findings))
			assert.Equal(t, finding.Code(c.code), findings[0].Check, name)
			assert.Equal(t, "es", findings[0].Language)
			assert.Contains(t, findings[0].Message, "In Spanish: ")
		}
	}
}

func TestAChangeInOneLanguageIsAnotherFindingThanInTheOther(t *testing.T) {
	export, second := bilingual()
	export.Contests[0].Title.Value[0].Words = "Town Clark"
	spanish(&export.Contests[0].Title.Value, "Secretario")
	findings := Compare(export, second, Options{}).Findings
	require.Len(t, findings, 2)
	assert.NotEqual(t, findings[0].ID, findings[1].ID)
	assert.NotEqual(t, findings[0].Message, findings[1].Message)
}

func TestWordingThatOneSideLacksInALanguage(t *testing.T) {
	t.Run("a keyed title that the export has lost", func(t *testing.T) {
		export, second := bilingual()
		export.Contests[0].Title.Value = export.Contests[0].Title.Value[:1]
		findings := Compare(export, second, Options{}).Findings
		require.Len(t, findings, 1, listed(findings))
		assert.Equal(t, codeContestTitle, findings[0].Check)
		assert.Equal(t, finding.MustFix, findings[0].Grade)
	})
	t.Run("a keyed heading that the export has lost", func(t *testing.T) {
		export, second := bilingual()
		h := &export.Styles[0].Content[1].Headings.Value[0]
		*h = (*h)[:1]
		findings := Compare(export, second, Options{}).Findings
		require.Len(t, findings, 1, listed(findings))
		assert.Equal(t, codeHeading, findings[0].Check)
	})
	t.Run("what nobody keyed is listed and not compared", func(t *testing.T) {
		export, _ := bilingual()
		second, _ := bilingual()
		second.Origins.Languages = []string{""}
		for _, tags := range []*model.Text{&second.Contests[0].Title.Value, &second.Contests[1].Title.Value} {
			*tags = model.Text{{Words: (*tags)[0].Words}}
		}
		second.Contests[1].Text = model.Stated[model.Text]{}
		second.Contests[0].Choices, second.Contests[1].Choices = plainNames(second.Contests[0].Choices),
			plainNames(second.Contests[1].Choices)
		second.Facts.Name = model.Stated[model.Text]{}
		for k := range second.Styles[0].Content {
			second.Styles[0].Content[k].Headings = model.Stated[[]model.Text]{}
		}
		result := Compare(export, second, Options{})
		assert.Empty(t, result.Findings, listed(result.Findings))
		assert.Contains(t, result.Coverage.NotKeyed, "language Spanish (es): nobody keyed it")
		assert.Contains(t, result.Coverage.NotKeyed, "title in Spanish: of no contest (2 in the export)")
		assert.Contains(t, result.Coverage.NotKeyed, "contest Proposition Two: choices in Spanish")
	})
	t.Run("a language that the export does not hold", func(t *testing.T) {
		export, second := bilingual()
		second.Origins.Languages = append(second.Origins.Languages, "ko")
		second.Contests[0].Title.Value = append(second.Contests[0].Title.Value, model.Phrase{Language: "ko", Words: "서기"})
		result := Compare(export, second, Options{})
		assert.Empty(t, result.Findings)
		assert.Contains(t, result.Coverage.NotKeyed, "language Korean (ko): keyed, and the export holds none")
	})
	t.Run("es is es-US where nothing else is", func(t *testing.T) {
		export, second := bilingual()
		export.Origins.Languages[1] = "es-US"
		for i := range export.Contests {
			export.Contests[i].Title.Value[1].Language = "es-US"
		}
		spanish(&export.Contests[0].Title.Value, "Otro")
		assert.Equal(t, codeContestTitle, Compare(export, second, Options{}).Findings[0].Check)
	})
}

func plainNames(list []model.Choice) []model.Choice {
	for i := range list {
		list[i].Name = model.Say(model.Plain(list[i].Name.Value.In("")))
	}
	return list
}

func TestAContestThatNobodyTranslatedIsNoFinding(t *testing.T) {
	export, _ := bilingual()
	export.Contests[0].Title.Value = export.Contests[0].Title.Value[:1]
	require.Empty(t, Inspect(export, Options{}))
}

func TestTheExportsOwnLanguagesAreHeldAgainstEachOther(t *testing.T) {
	for name, c := range map[string]struct {
		alter func(e *model.Election)
		says  string
	}{
		"another number": {func(e *model.Election) {
			spanish(&e.Contests[1].Text.Value, "¿Un impuesto de 25 por ciento durante 10 años?")
		}, "the text says 2.5 in English and 25 in Spanish."},
		"a number in words": {func(e *model.Election) { spanish(&e.Contests[1].Title.Value, "Propuesta Tres") },
			"the title says two in English and tres in Spanish."},
		"another name of a candidate": {func(e *model.Election) {
			e.Contests[0].Choices[0].Name.Value = append(e.Contests[0].Choices[0].Name.Value,
				model.Phrase{Language: "es", Words: "Ada Moore"})
		}, "Ada Moore"},
		"a text that is missing": {func(e *model.Election) {
			e.Contests[1].Title.Value = e.Contests[1].Title.Value[:1]
		}, "1 title in English and not in Spanish: Proposition Two"},
		"a choice that is missing": {func(e *model.Election) {
			e.Contests[1].Choices[1].Name.Value = e.Contests[1].Choices[1].Name.Value[:1]
		}, "Proposition Two: No"},
	} {
		t.Run(name, func(t *testing.T) {
			export, _ := bilingual()
			require.Empty(t, Inspect(export, Options{}))
			c.alter(export)
			for _, findings := range [][]finding.Finding{Inspect(export, Options{}), inFirstAlone(export)} {
				require.Len(t, findings, 1, listed(findings))
				assert.Equal(t, codeLanguageTwin, findings[0].Check)
				assert.Contains(t, findings[0].Message, c.says)
			}
		})
	}
}

// inFirstAlone compares an export with a second entry that was keyed in the first language.
func inFirstAlone(export *model.Election) []finding.Finding {
	_, second := bilingual()
	second.Origins.Languages = []string{""}
	return Compare(export, second, Options{}).Findings
}

// An export that names no language for its first wordings, as one that was written from sheets.
func TestAnExportWhoseFirstLanguageHasNoName(t *testing.T) {
	unnamed := func() (export, second *model.Election) {
		_, export = bilingual()
		export.Origins.Languages, export.Origins.FirstUnnamed = []string{"es"}, true
		_, second = bilingual()
		return export, second
	}
	export, second := unnamed()
	result := Compare(export, second, Options{})
	assert.Empty(t, result.Findings, listed(result.Findings))
	assert.NotContains(t, strings.Join(result.Coverage.NotKeyed, "\n"), "language")

	spanish(&export.Contests[1].Text.Value, "¿Un impuesto de 2,5 por ciento durante 12 años?")
	findings := Compare(export, second, Options{}).Findings
	require.Len(t, findings, 1, listed(findings))
	assert.Equal(t, codeMeasureText, findings[0].Check)
	assert.Equal(t, "es", findings[0].Language)

	findings = Inspect(export, Options{})
	require.Len(t, findings, 1, listed(findings))
	assert.Equal(t, codeLanguageTwin, findings[0].Check)
	assert.Contains(t, findings[0].Message, "the text says 10 in the first language and 12 in Spanish")

	export, second = unnamed()
	export.Contests[0].Title.Value[0].Words = "Town Clark"
	findings = Compare(export, second, Options{}).Findings
	require.Len(t, findings, 1, listed(findings))
	assert.Equal(t, codeContestTitle, findings[0].Check)
	assert.Empty(t, findings[0].Language)
}
