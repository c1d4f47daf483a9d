package pairing

import (
	"strings"

	"counterproof/model"
)

// Language is a further language that both sides hold: the tag of each.
type Language struct{ Primary, Second string }

// IsSecondEntry reports whether an election was keyed: its first language has no name.
func IsSecondEntry(e *model.Election) bool {
	return len(e.Origins.Languages) > 0 && e.Origins.Languages[0] == ""
}

// Further returns the further languages of a side: all but the one that is compared first.
func (v *Side) Further() (tags []string) {
	for _, tag := range v.Origins.Languages {
		if tag != "" && !strings.EqualFold(tag, v.Language) {
			tags = append(tags, tag)
		}
	}
	return tags
}

// Languages returns the further languages that both sides hold, and those that only the second
// entry does. Tags are the same without regard to case; else "es" is "es-US", and the other way
// round, where nothing else fits.
func (pg *Pairing) Languages() (both []Language, onlySecond []string) {
	if !IsSecondEntry(pg.Second.Election) {
		return nil, nil
	}
	for _, second := range pg.Second.Further() {
		if primary, ok := sameLanguage(second, pg.Primary.Origins.Languages); ok {
			both = append(both, Language{primary, second})
		} else {
			onlySecond = append(onlySecond, second)
		}
	}
	return both, onlySecond
}

// sameLanguage finds the tag of a list that names a language.
func sameLanguage(tag string, list []string) (string, bool) {
	var near []string
	for _, other := range list {
		switch a, b := strings.ToLower(tag), strings.ToLower(other); {
		case a == b && a != "":
			return other, true
		case b != "" && (strings.HasPrefix(a, b+"-") || strings.HasPrefix(b, a+"-")):
			near = append(near, other)
		}
	}
	if len(near) == 1 {
		return near[0], true
	}
	return "", false
}

// In returns the pairing as it reads in a further language. Things are paired, and called, as in
// the first.
func (pg *Pairing) In(l Language) *Pairing {
	further := *pg
	further.Primary, further.Second = pg.Primary.in(l.Primary), pg.Second.in(l.Second)
	return &further
}

func (v *Side) in(language string) *Side {
	further := *v
	further.Language, further.only = language, true
	further.Wordings = make([]model.Contest, len(v.Contests))
	further.WorkingName = make([]bool, len(v.Contests))
	for i := range v.Contests {
		further.Wordings[i], _ = further.reduceContest(v.Contests[i])
	}
	further.findText()
	return &further
}
