package desk

import (
	"fmt"
	"regexp"
	"slices"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/wording"
	"counterproof/model/casefile"
)

var digits = regexp.MustCompile(`\d+`)

// noTitle says why what was typed as the title of a new contest is hardly one: it is a ballot face's
// label or looks like one, or it is precincts of the official roster. It is empty for other titles.
func (k *Keying) noTitle(title string) string {
	const again = "; Enter again takes it as the title of a new contest on %s"
	here := k.PageName(k.page)
	shape := func(label string) string { return digits.ReplaceAllString(wording.Fold(label), "0") }
	for _, f := range k.e.faces() {
		label := k.e.Value(casefile.Faces, f, "style")
		switch {
		case label == "":
		case wording.Fold(label) == wording.Fold(title):
			return fmt.Sprintf("%q is the label of a face"+again, title, here)
		case digits.MatchString(title) && shape(label) == shape(title):
			return fmt.Sprintf("%q looks like a face's label"+again, title, here)
		}
	}
	if len(k.e.precincts()) == 0 {
		return ""
	}
	if list, missing, err := k.e.rosterIndex().parse(title, ""); err == nil && len(list) > 0 && len(missing) == 0 &&
		!slices.Contains(list, "") {
		return fmt.Sprintf("%q is of the roster's precincts"+again, title, here)
	}
	return ""
}

// Placed is the contest that Enter put on the face just now, as one line with what has to be held
// against the proof: its page may be longer than the screen. It is empty after the next key.
func (k *Keying) Placed() string {
	if k.placedLast == 0 || len(k.e.placed[k.placedLast]) == 0 {
		return ""
	}
	votes := "vote for not keyed"
	if n := k.e.Value(casefile.Contests, k.placedLast, "vote_for"); n != "" {
		votes = "vote for " + n
	}
	positions, _ := k.positions(k.placedLast)
	return fmt.Sprintf("%s: %s, %s", k.ContestWords(k.placedLast), votes, english.Plural(positions, "position", ""))
}
