package tables

import (
	"maps"
	"slices"
	"strings"
)

// wholeArea is what the district column says of contests that all voters have, such as "Countywide": the
// one value of all titles that stand with one district, and of no other. Empty if there is none.
func (s *sample) wholeArea() string {
	if !s.tells("district") {
		return ""
	}
	districts := map[string][]string{}
	for _, row := range s.rows {
		c := current{cells: row}
		t, d := c.cell(s.at["title"]), c.cell(s.at["district"])
		if t != "" && !slices.Contains(districts[t], d) {
			districts[t] = append(districts[t], d)
		}
	}
	whole, several := "", map[string]bool{}
	for _, t := range slices.Sorted(maps.Keys(districts)) {
		list := districts[t]
		for _, d := range list {
			several[d] = several[d] || len(list) > 1
		}
		if len(list) > 1 || list[0] == "" {
			continue
		}
		if whole != "" && whole != list[0] {
			return ""
		}
		whole = list[0]
	}
	if several[whole] || strings.ContainsAny(whole, "*!") {
		return ""
	}
	return whole
}

// apart gives contests of the whole area sources of their own, in which the district neither tells them
// apart nor is printed.
func (s *sample) apart(t *Table, whole string) {
	district := s.of("district")
	for _, sheet := range []string{"contests", "choices"} {
		var out []Source
		for _, source := range t.Rows[sheet] {
			if !strings.Contains(source.Columns["contest"]+source.Columns["subtitle"], district) {
				out = append(out, source)
				continue
			}
			all := source
			all.Columns, all.Where = maps.Clone(source.Columns), maps.Clone(source.Where)
			if all.Where == nil {
				all.Where = map[string][]string{}
			}
			source.Where = maps.Clone(all.Where)
			source.Where[district] = append(source.Where[district], "!"+whole)
			all.Where[district] = []string{whole}
			for _, column := range []string{"contest", "subtitle"} {
				if text := s.withoutDistrict(all.Columns[column]); text == "" {
					delete(all.Columns, column)
				} else {
					all.Columns[column] = text
				}
			}
			out = append(out, source, all)
		}
		if len(out) > 0 {
			t.Rows[sheet] = out
		}
	}
}

// withoutDistrict takes the district out of a template that is a key or a subtitle.
func (s *sample) withoutDistrict(text string) string {
	district := s.of("district")
	if at := strings.Index(text, district); at >= 0 {
		open, shut := strings.LastIndex(text[:at], "["), strings.Index(text[at:], "]")
		if open >= 0 && shut >= 0 && !strings.Contains(text[open:at], "]") {
			return text[:open] + text[at+shut+1:]
		}
		text = strings.ReplaceAll(text, district, "")
	}
	return strings.TrimSpace(text)
}
