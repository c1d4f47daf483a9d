package planted

import (
	"fmt"
	"slices"
	"strings"

	"counterproof/checks/finding"
	"counterproof/model"
)

// Expect is one finding that there has to be. Things are named by their keys;
// what a finding calls them is looked up when everything is planted: the second
// entry's wording where it has the thing, else the primary's. An empty field is
// not looked at.
type Expect struct {
	Check finding.Code
	// Also are further codes that say as much: only where nothing could tell them
	// apart.
	Also  []finding.Code
	Grade finding.Grade

	Contest, Choice, Unit, Site string
	// Precincts are exactly those that the finding lists.
	Precincts []string
	// Everywhere says that the finding lists the precincts with the contest.
	Everywhere bool
	Style      string // a label
	// Moved tells from which ballot to which precincts were moved: those of one move
	// are one finding.
	Moved string
	// Apart says that the finding is not joined with another of its code about the
	// same contest.
	Apart bool
}

// how says how well a finding answers an expectation.
type how int

const (
	not   how = iota
	near      // it leads to the place under another code, grade or with other precincts
	coded     // the right code, but not the exact place or grade
	exact
)

// meets compares a finding with what is expected of it.
func (c *County) meets(e Expect, f finding.Finding) how {
	here, precisely := true, true
	if e.Contest != "" {
		switch words := c.contestWords(e.Contest); {
		case f.Contest == "" && (len(e.Precincts) == 0 || len(f.Precincts) == 0):
			here = false
		case f.Contest == "":
			precisely = false
		case !slices.Contains(words, f.Contest):
			here = false
		}
	}
	if e.Choice != "" && !slices.Contains(c.choiceWords(e.Contest, e.Choice), trimLine(f.Choice)) {
		precisely = false
	}
	if e.Unit != "" && !slices.Contains(c.unitWords(e.Unit), f.Unit) {
		if f.Unit != "" || len(f.Precincts) == 0 {
			here = false
		}
		precisely = false
	}
	if e.Site != "" && !slices.Contains(c.siteWords(e.Site), f.Site) {
		precisely = false
	}
	if e.Style != "" && f.Style != e.Style {
		precisely = false
	}
	switch {
	case e.Precincts != nil:
		both, same := c.samePrecincts(e.Precincts, f.Precincts)
		if !both && (len(f.Precincts) > 0 || e.Contest == "" && e.Unit == "") {
			here = false
		}
		precisely = precisely && same
	case e.Everywhere:
		p, s := c.Primary.contest(e.Contest), c.Second.contest(e.Contest)
		var lists [][]string
		if s >= 0 {
			lists = append(lists, c.Second.precinctKeys(c.Second.on(s)))
		}
		if p >= 0 {
			lists = append(lists, c.Primary.precinctKeys(c.Primary.on(p)))
		}
		if len(lists) == 2 {
			lists = append(lists, intersect(lists[0], lists[1]))
		}
		some, all := false, false
		for _, l := range lists {
			both, same := c.samePrecincts(l, f.Precincts)
			some, all = some || both, all || same
		}
		if !some && len(f.Precincts) > 0 {
			here = false
		}
		precisely = precisely && all
	}
	code := f.Check == e.Check || slices.Contains(e.Also, f.Check)
	if e.Contest == "" && e.Unit == "" && e.Precincts == nil {
		here = code
	}
	switch {
	case !here:
		return not
	case !code:
		return near
	case !precisely || f.Grade != e.Grade:
		return coded
	}
	return exact
}

func trimLine(choice string) string {
	if i := strings.LastIndex(choice, " ("); i > 0 && strings.HasSuffix(choice, ")") {
		return choice[:i]
	}
	return choice
}

func intersect(a, b []string) []string {
	var out []string
	for _, k := range a {
		if slices.Contains(b, k) {
			out = append(out, k)
		}
	}
	return out
}

// samePrecincts compares keys with names: whether they share any, and whether
// they are the same.
func (c *County) samePrecincts(keys, names []string) (share, same bool) {
	met := 0
	for _, k := range keys {
		words := c.precinctWords(k)
		if slices.ContainsFunc(names, func(n string) bool { return slices.Contains(words, n) }) {
			met++
		}
	}
	return met > 0, met == len(keys) && len(keys) == len(names)
}

func (c *County) precinctWords(key string) []string {
	var words []string
	if i := c.Second.precinct(key); i >= 0 {
		words = append(words, c.Second.Precincts[i].Name.In(""))
	}
	if i := c.Primary.precinct(key); i >= 0 {
		p := c.Primary.Precincts[i]
		words = append(words, p.Number, p.Name.In(""), c.Primary.Origins.Precinct(i).ID)
		words = append(words, c.Primary.Origins.Precinct(i).Codes...)
	}
	return words
}

func (c *County) contestWords(key string) []string {
	side := c.Second
	i := side.contest(key)
	if i < 0 {
		side = c.Primary
		i = side.contest(key)
	}
	if i < 0 {
		return nil
	}
	return titles(side.Contests[i])
}

// titles are the ways of writing a contest's wording.
func titles(m model.Contest) []string {
	title, subtitle := m.Title.Value.In(""), m.Subtitle.Value.In("")
	if !m.Title.Known {
		title = m.Name.Value.In("")
	}
	whole := title
	if subtitle != "" {
		whole += " " + subtitle
	}
	return []string{whole, title, strings.TrimSpace(whole)}
}

func (c *County) choiceWords(contest, key string) []string {
	for _, side := range []*Side{c.Second, c.Primary} {
		i := side.contest(contest)
		if i < 0 {
			continue
		}
		if j := side.choice(i, key); j >= 0 {
			name := side.Contests[i].Choices[j].Name.Value.In("")
			return []string{name, strings.TrimSpace(name)}
		}
	}
	return nil
}

func (c *County) unitWords(key string) []string {
	for _, side := range []*Side{c.Second, c.Primary} {
		if i := side.unit(key); i >= 0 {
			return []string{side.Units[i].Name}
		}
	}
	return nil
}

func (c *County) siteWords(key string) []string {
	for _, side := range []*Side{c.Second, c.Primary} {
		if i := side.site(key); i >= 0 {
			return []string{side.Sites[i].Name.In("")}
		}
	}
	return nil
}

// Outcome is what the findings made of what was expected.
type Outcome struct {
	// Expected counts the findings that there have to be; Found those that lead to
	// the place under whatever code; Exact those with the first code; Placed those
	// with a right code, the exact place and the grade.
	Expected, Found, Exact, Placed int
	// Noise counts findings beyond those expected.
	Noise int
	// Report says, for people, what is not as it should be; empty if nothing.
	Report string
}

// Judge compares the findings with what is expected, one to one.
func (c *County) Judge(expected []Expect, findings []finding.Finding) Outcome {
	o := Outcome{Expected: len(expected)}
	free := slices.Clone(findings)
	met := make([]how, len(expected))
	var report []string
	for level := exact; level > not; level-- {
		for i, e := range expected {
			if met[i] != not {
				continue
			}
			for k, f := range free {
				if c.meets(e, f) != level {
					continue
				}
				free = slices.Delete(free, k, k+1)
				met[i] = level
				o.Found++
				if f.Check == e.Check {
					o.Exact++
				}
				if level == exact {
					o.Placed++
				} else {
					report = append(report, fmt.Sprintf("expected %s\n     got %s", c.describe(e), show(f)))
				}
				break
			}
		}
	}
	for i, e := range expected {
		if met[i] == not {
			report = append(report, "missed "+c.describe(e))
		}
	}
	for _, f := range free {
		report = append(report, "beyond "+show(f))
	}
	o.Noise = len(free)
	o.Report = strings.Join(report, "\n")
	return o
}

func (c *County) describe(e Expect) string {
	var precincts []string
	for _, k := range e.Precincts {
		if w := c.precinctWords(k); len(w) > 0 {
			precincts = append(precincts, w[0])
		}
	}
	s := fmt.Sprintf("%s %s", e.Check, e.Grade)
	for _, part := range []struct{ name, words string }{
		{"contest", first(c.contestWords(e.Contest))}, {"choice", first(c.choiceWords(e.Contest, e.Choice))},
		{"unit", first(c.unitWords(e.Unit))}, {"site", first(c.siteWords(e.Site))}, {"style", e.Style},
		{"precincts", few(precincts)},
	} {
		if part.words != "" {
			s += fmt.Sprintf(" %s=%q", part.name, part.words)
		}
	}
	if e.Everywhere {
		s += " everywhere"
	}
	return s
}

func first(list []string) string {
	if len(list) == 0 {
		return ""
	}
	return list[0]
}

func few(list []string) string {
	if len(list) > 6 {
		return fmt.Sprintf("%s … (%d)", strings.Join(list[:6], " "), len(list))
	}
	return strings.Join(list, " ")
}

// show is a finding in one line.
func show(f finding.Finding) string {
	s := fmt.Sprintf("%s %s", f.Check, f.Grade)
	for _, part := range []struct{ name, words string }{
		{"contest", f.Contest}, {"choice", f.Choice}, {"unit", f.Unit}, {"site", f.Site}, {"style", f.Style},
		{"precincts", few(f.Precincts)}, {"primary", f.Primary}, {"second", f.Second},
	} {
		if part.words != "" {
			if r := []rune(part.words); len(r) > 160 {
				part.words = string(r[:160]) + "…"
			}
			s += fmt.Sprintf(" %s=%q", part.name, part.words)
		}
	}
	return s
}
