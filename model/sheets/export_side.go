package sheets

import (
	"slices"

	"counterproof/model"
)

// Export is Election for rows that are the export under proof. An export names the language of
// its texts, which tells it from a second entry: the first is called by the tag given, or "und"
// (BCP 47: undetermined) if a further language has that tag.
func (s *Sheets) Export(language string) (*model.Election, error) {
	e, err := s.Election()
	if err != nil {
		return nil, err
	}
	o := &e.Origins
	if slices.Contains(o.Languages, language) {
		language = "und"
	}
	o.Description, o.Format, o.Languages[0] = "export, CSV sheets", model.Tables, language
	for _, t := range firstTexts(e) {
		for i := range t {
			if t[i].Language == "" {
				t[i].Language = language
			}
		}
	}
	return e, nil
}

// firstTexts are all texts of an election that sheets can say.
func firstTexts(e *model.Election) (out []model.Text) {
	out = append(out, e.Facts.Name.Value, e.Facts.Jurisdiction.Value)
	for i := range e.Parties {
		out = append(out, e.Parties[i].Name.Value, e.Parties[i].Abbreviation.Value)
	}
	for i := range e.Precincts {
		out = append(out, e.Precincts[i].Name)
	}
	for i := range e.Sites {
		out = append(out, e.Sites[i].Name)
	}
	for i := range e.Contests {
		c := &e.Contests[i]
		out = append(out, c.Title.Value, c.Subtitle.Value, c.Text.Value)
		for j := range c.Choices {
			out = append(out, c.Choices[j].Name.Value)
		}
	}
	for i := range e.Styles {
		for _, placed := range e.Styles[i].Content {
			out = append(out, placed.Headings.Value...)
		}
	}
	return out
}
