package sheets

import (
	"slices"
	"strings"

	"counterproof/model"
)

// Wordings in further languages stand in one cell, the column `title[]` beside `title`:
// each on a line that begins with its tag in brackets, by tag, further lines of a wording
// indented by a tab. In a CSV file each language has a column of its own, `title[es]`.

// Wording is what a cell says in one language.
type Wording struct {
	// Language is a tag of BCP 47 as model.LanguageTag writes it.
	Language string
	Words    string
}

// Further reads a cell of wordings in further languages. What stands before the first tag,
// and the words of a second wording in one language, are left out: FurtherWith writes none.
func Further(cell string) (out []Wording) {
	if cell == "" {
		return nil
	}
	for _, line := range strings.Split(cell, "\n") {
		if rest, more := strings.CutPrefix(line, "\t"); more && len(out) > 0 {
			out[len(out)-1].Words += "\n" + rest
			continue
		}
		tag, words, is := strings.Cut(strings.TrimPrefix(line, "["), "] ")
		if tag, ok := model.LanguageTag(tag); is && ok && line[0] == '[' &&
			!slices.ContainsFunc(out, func(w Wording) bool { return w.Language == tag }) {
			out = append(out, Wording{tag, words})
		}
	}
	return out
}

// FurtherIn returns what a cell of further languages says in one, empty if nothing.
func FurtherIn(cell, language string) string {
	for _, w := range Further(cell) {
		if w.Language == language {
			return w.Words
		}
	}
	return ""
}

// FurtherWith returns a cell of further languages in which one says something else, or
// nothing where words is empty. language is a tag as model.LanguageTag writes it.
func FurtherWith(cell, language, words string) string {
	list := slices.DeleteFunc(Further(cell), func(w Wording) bool { return w.Language == language })
	if words != "" {
		list = append(list, Wording{language, lineFeeds.Replace(words)})
		slices.SortFunc(list, func(a, b Wording) int { return strings.Compare(a.Language, b.Language) })
	}
	lines := make([]string, len(list))
	for i, w := range list {
		lines[i] = "[" + w.Language + "] " + strings.ReplaceAll(w.Words, "\n", "\n\t")
	}
	return strings.Join(lines, "\n")
}

// furtherMark ends the name of a column of wordings in further languages.
const furtherMark = "[]"

// FurtherColumn takes the name of a column in a further language apart: "title[es]" is the
// column "title[]", in "es".
func FurtherColumn(name string) (column, language string, ok bool) {
	base, rest, is := strings.Cut(name, "[")
	if !is || !strings.HasSuffix(rest, "]") {
		return "", "", false
	}
	language, ok = model.LanguageTag(strings.TrimSpace(strings.TrimSuffix(rest, "]")))
	return base + furtherMark, language, ok
}

// further adds the wordings of a cell of further languages to a wording.
func further(said model.Stated[model.Text], cell string) model.Stated[model.Text] {
	for i, w := range Further(cell) {
		if i == 0 && said.Known && len(said.Value) == 0 {
			said.Value = model.Text{{}} // nothing is printed in the first language
		}
		if strings.TrimSpace(w.Words) == nothing {
			w.Words = ""
		}
		said.Value = append(slices.Clip(said.Value), model.Phrase{Language: w.Language, Words: w.Words})
		said.Known = true
	}
	return said
}

// languages are the languages of a second entry: the first, which has no name, and the
// further ones, sorted.
func (s *Sheets) languages() []string {
	further := slices.Concat(
		languagesOf(s.Parties, func(r *PartyRow) *string { return &r.FurtherName }),
		languagesOf(s.Contests, func(r *ContestRow) *string { return &r.FurtherTitle }),
		languagesOf(s.Contests, func(r *ContestRow) *string { return &r.FurtherSubtitle }),
		languagesOf(s.Contests, func(r *ContestRow) *string { return &r.FurtherText }),
		languagesOf(s.Choices, func(r *ChoiceRow) *string { return &r.FurtherName }),
		languagesOf(s.Ballots, func(r *BallotRow) *string { return &r.FurtherHeading }),
		languagesOf(s.Facts, func(r *FactsRow) *string { return &r.FurtherName }),
	)
	slices.Sort(further)
	return append([]string{""}, slices.Compact(further)...)
}
