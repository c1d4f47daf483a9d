package sheets

import (
	"cmp"
	"slices"
	"strings"

	"counterproof/model"
)

// styleKey tells styles apart: one label may be on several ballots.
type styleKey struct{ style, parties, content int32 }

// keyedStyle is a style in the making.
type keyedStyle struct {
	styleKey
	precincts []int
	at        Place
}

// labelled is what ballots.csv says about the ballot of one label and one set of
// parties.
type labelled struct {
	// alone is the face keyed for the style alone, -1 if there is none.
	alone int32
	// any is a face keyed for a precinct, -1 if there is none; same says that all
	// of them have its content.
	any  int32
	same bool
	// given says that styles.csv gives it to a precinct.
	given bool
}

// readStyles makes styles of the faces: faces that say the same under one label
// for the same parties are one style. styles.csv gives precincts to the faces that
// were keyed for their style alone.
func (r *ballots) readStyles() error {
	styles := make([]keyedStyle, 0, len(r.faces))
	index := make(map[styleKey]int, len(r.faces))
	give := func(f int32, precinct int32, at Place) {
		key := styleKey{r.faces[f].style, r.faces[f].parties, r.faces[f].content}
		i, ok := index[key]
		if !ok {
			i = len(styles)
			index[key] = i
			styles = append(styles, keyedStyle{styleKey: key, at: at})
		}
		if precinct >= 0 {
			styles[i].precincts = append(styles[i].precincts, int(precinct))
		}
	}
	for f := range r.faces {
		give(int32(f), r.faces[f].precinct, r.sheets.Ballots[slices.Min(r.faces[f].rows)].Place)
	}
	if err := r.readDistrictTable(give); err != nil {
		return err
	}

	for i := range styles {
		slices.Sort(styles[i].precincts)
		styles[i].precincts = slices.Compact(styles[i].precincts)
	}
	slices.SortStableFunc(styles, func(x, y keyedStyle) int {
		if len(x.precincts) == 0 || len(y.precincts) == 0 {
			if c := cmp.Compare(len(y.precincts), len(x.precincts)); c != 0 {
				return c
			}
		}
		return cmp.Or(
			slices.Compare(x.precincts, y.precincts),
			slices.Compare(r.partySets.values[x.parties], r.partySets.values[y.parties]),
			strings.Compare(canonical(r.labelWords[x.style]), canonical(r.labelWords[y.style])),
			slices.CompareFunc(r.placed[x.content], r.placed[y.content], comparePlacements),
		)
	})

	e := r.election
	used := make([]bool, len(r.placed))
	if len(styles) > 0 {
		e.Styles = make([]model.Style, 0, len(styles))
		e.Origins.Styles = make([]model.Origin, 0, len(styles))
	}
	for _, s := range styles {
		style := model.Style{Parties: slices.Clone(r.partySets.values[s.parties]), Precincts: s.precincts,
			Content: r.placed[s.content]}
		if used[s.content] {
			style.Content = slices.Clone(style.Content)
		}
		used[s.content] = true
		if s.style > 0 {
			style.Label = model.Say(r.labelWords[s.style])
		}
		e.Styles = append(e.Styles, style)
		e.Origins.Styles = append(e.Origins.Styles, model.Origin{ID: r.labelWords[s.style], File: s.at.File, Line: s.at.Line})
	}
	return nil
}

func comparePlacements(x, y model.Placement) int {
	texts := func(x, y model.Text) int {
		return slices.CompareFunc(x, y, func(x, y model.Phrase) int {
			return cmp.Or(strings.Compare(x.Language, y.Language), strings.Compare(x.Words, y.Words))
		})
	}
	return cmp.Or(
		cmp.Compare(x.Contest, y.Contest),
		slices.CompareFunc(x.Headings.Value, y.Headings.Value, texts),
		slices.Compare(x.Order.Value, y.Order.Value),
		compareBool(x.Headings.Known, y.Headings.Known),
		compareBool(x.Order.Known, y.Order.Known),
	)
}

func compareBool(x, y bool) int {
	switch {
	case x == y:
		return 0
	case y:
		return -1
	}
	return 1
}

// readDistrictTable reads styles.csv.
func (r *ballots) readDistrictTable(give func(face, precinct int32, at Place)) error {
	byLabel := make([][]int32, len(r.labelWords)) // sets of parties, by label
	ballots := map[[2]int32]*labelled{}           // by label and set of parties
	for f := range r.faces {
		face := &r.faces[f]
		if face.style == 0 {
			continue
		}
		key := [2]int32{face.style, face.parties}
		l := ballots[key]
		if l == nil {
			l = &labelled{alone: -1, any: -1, same: true}
			ballots[key] = l
			byLabel[face.style] = append(byLabel[face.style], face.parties)
		}
		switch {
		case face.precinct < 0:
			l.alone = int32(f)
		case l.any < 0:
			l.any = int32(f)
		case r.faces[l.any].content != face.content:
			l.same = false
		}
	}

	type given struct{ style, precinct, parties int32 }
	lines := map[given]int{}
	gifts := 0
	for i := range r.sheets.Styles {
		row := &r.sheets.Styles[i]
		label := strings.TrimSpace(row.Style)
		if label == "" {
			return fault(row.Place, "style", "write the label of the style whose ballot the precinct gets",
				"the row names no style")
		}
		n, ok := r.labels.find(label)
		if !ok {
			return fault(row.Place, "style", didYouMean(label, r.labels.list[1:],
				"key its ballot in ballots.csv or correct the label"), "no ballot of style %s is keyed", quote(label))
		}
		style := int32(n)
		if strings.TrimSpace(row.Precinct) == "" {
			return fault(row.Place, "precinct", "name a precinct that gets style "+quote(label)+", or remove the row",
				"the row names no precinct")
		}
		precinct, err := r.precinct(row.Precinct, row.Place)
		if err != nil {
			return err
		}
		sets := byLabel[style]
		key := given{style, precinct, -1}
		if strings.TrimSpace(row.Party) != "" {
			set, err := r.partySet(row.Party, row.Place)
			if err != nil {
				return err
			}
			if ballots[[2]int32{style, set}] == nil {
				return fault(row.Place, "party",
					"key it in ballots.csv, correct the party, or leave the cell empty for the ballots of every party",
					"no ballot of style %s and party %s is keyed", quote(label), quote(strings.TrimSpace(row.Party)))
			}
			key.parties, sets = set, []int32{set}
		}
		if line, ok := lines[key]; ok {
			return fault(row.Place, "precinct", "remove one of them, or name the precinct that was meant",
				"the row repeats line %d: style %s for precinct %s", line, quote(label), quote(strings.TrimSpace(row.Precinct)))
		}
		lines[key] = row.Line
		if gifts += len(sets); gifts > MaxRows {
			return fault(row.Place, "", "name the party in each row",
				"up to this row, styles are given to precincts more than %d times", MaxRows)
		}
		for _, set := range sets {
			l := ballots[[2]int32{style, set}]
			l.given = true
			from := l.alone
			if from < 0 {
				from = l.any
				if !l.same {
					return fault(row.Place, "style", "key the ballot of the style once, with an empty precinct, or leave this row out",
						"the precincts keyed with style %s have different ballots, so which of them is meant is not known", quote(label))
				}
			}
			if own, ok := r.index[faceKey{precinct, style, set}]; ok && r.faces[own].content != r.faces[from].content {
				first := &r.sheets.Ballots[r.faces[own].rows[0]]
				return fault(row.Place, "style", "remove this row, or the precinct's own rows, or correct one of them",
					"precinct %s would get two ballots: its own rows (%s) differ from those of style %s",
					quote(strings.TrimSpace(row.Precinct)), first.whole(), quote(label))
			}
			give(from, precinct, r.sheets.Ballots[r.faces[from].rows[0]].Place)
		}
	}

	for f := range r.faces {
		face := &r.faces[f]
		if face.precinct >= 0 {
			continue
		}
		if l := ballots[[2]int32{face.style, face.parties}]; l.any >= 0 && !l.given {
			row := &r.sheets.Ballots[face.rows[0]]
			return fault(row.Place, "precinct", "name the precinct, or give the style its precincts in styles.csv",
				"the row names no precinct, other rows of style %s do, and styles.csv gives the style to none",
				quote(strings.TrimSpace(row.Style)))
		}
	}
	return nil
}
