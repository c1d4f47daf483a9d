package desk

import (
	"fmt"
	"slices"
	"strings"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/wording"
	"counterproof/model/casefile"
)

// A face can begin as a copy of another. What is copied is proposed, contest by contest, and is no part
// of the entry before it is confirmed against the proof: a seal cannot cover what nobody compared.

// copying is a face that is proposed as the beginning of another.
type copying struct {
	from    int
	dropped map[int]bool // placements of from that are not on this face
}

// Copied is a contest of another face that is proposed for the open one.
type Copied struct {
	// Words are the lines in which the proof would print it: heading, title, votes, choices.
	Words []string
	place int
}

// Copy proposes the contests of another face for the open one: of the face whose label is typed, or of
// the one before. While a copy is proposed, Copy ends it and drops what was not confirmed.
func (k *Keying) Copy() {
	if k.wordingsOnly() {
		return
	}
	k.message = ""
	face := k.page.Row
	if k.page.Kind != PageFace || k.ReadOnly(Stop{Kind: NextContest, Row: face}) {
		k.message = "a face that is being keyed can begin as a copy of another; this page cannot"
		return
	}
	if c := k.copies[face]; c != nil {
		left := len(k.proposed(face))
		delete(k.copies, face)
		k.copiesChanged()
		k.message = fmt.Sprintf("the copy of %s has ended; %s not confirmed", k.faceName(c.from), wereNot(left))
		k.keepFocus()
		return
	}
	from := 0
	typed := ""
	if k.focus.Kind == NextContest {
		typed = wording.Fold(trim(k.text))
	}
	for _, f := range k.e.faces() {
		switch {
		case f == face || len(k.e.places[f]) == 0:
		case typed != "" && wording.Fold(k.e.Value(casefile.Faces, f, "style")) == typed,
			typed == "" && (f < face || from == 0):
			from = f
		}
	}
	switch {
	case from == 0 && typed != "":
		k.message = fmt.Sprintf("no face of the label %s has contests", trim(k.text))
		return
	case from == 0:
		k.message = "no other face has contests yet"
		return
	}
	if typed != "" {
		k.text, k.fresh = "", true
	}
	if k.focus.Kind != NextContest && !k.leave() {
		return
	}
	k.copies[face] = &copying{from: from, dropped: map[int]bool{}}
	k.copiesChanged()
	if label := (Stop{Kind: FaceLabel, Row: face}); !k.e.Has(casefile.Faces, face) && len(k.e.places[face]) == 0 {
		k.goTo(label) // its label is printed above the contests
		return
	}
	k.goTo(Stop{Kind: NextContest, Row: face})
}

func (k *Keying) copiesChanged() {
	k.pagesKnown = nil
	k.stale()
}

func wereNot(n int) string {
	if n == 1 {
		return "1 contest was"
	}
	return fmt.Sprintf("%d contests were", n)
}

// Copies are the proposed contests of the open face that were not confirmed yet, in ballot order; none
// while another contest is keyed between, or a heading is pinned for one.
func (k *Keying) Copies() []Copied {
	if k.page.Kind != PageFace || k.before > 0 || k.heading != "" {
		return nil
	}
	return k.proposed(k.page.Row)
}

func (k *Keying) proposed(face int) (out []Copied) {
	c := k.copies[face]
	if c == nil {
		return nil
	}
	here := map[int]bool{}
	for _, p := range k.e.places[face] {
		here[k.e.Ref(casefile.Placements, p, "contest")] = true
	}
	for _, p := range k.e.places[c.from] {
		if contest := k.e.Ref(casefile.Placements, p, "contest"); contest > 0 && !here[contest] && !c.dropped[p] {
			out = append(out, Copied{k.printed(p), p})
		}
	}
	return out
}

// printed are the lines of a contest at its place on a face.
func (k *Keying) printed(place int) (out []string) {
	c := k.e.Ref(casefile.Placements, place, "contest")
	if h := k.e.Value(casefile.Placements, place, "heading"); h != "" && h != NothingMark {
		out = append(out, strings.ToUpper(h))
	}
	out = append(out, k.ContestWords(c))
	if votes := k.e.Value(casefile.Contests, c, "vote_for"); votes != "" {
		out = append(out, "Vote for "+votes)
	}
	if text := k.e.Value(casefile.Contests, c, "text"); text != "" && text != NothingMark {
		out = append(out, text)
	}
	rows := k.e.choices[c]
	if order := k.e.Value(casefile.Placements, place, "choice_order"); order != "" {
		words, _ := k.OrderWords(place, order)
		return append(out, "in the order "+words)
	}
	for _, row := range rows {
		out = append(out, k.choiceWords(row))
	}
	return out
}

// CopiedFrom is the name of the face that the open one is a copy of, empty if it is none.
func (k *Keying) CopiedFrom() string {
	if c := k.copies[k.page.Row]; c != nil && k.page.Kind == PageFace {
		return k.faceName(c.from)
	}
	return ""
}

// CopySource is the face that Copy would propose for the open one, empty if it has contests or is a
// copy already.
func (k *Keying) CopySource() string {
	face := k.page.Row
	if k.page.Kind != PageFace || len(k.e.places[face]) > 0 || k.copies[face] != nil ||
		k.ReadOnly(Stop{Kind: NextContest}) {
		return ""
	}
	for _, f := range slices.Backward(k.e.faces()) {
		if f < face && len(k.e.places[f]) > 0 {
			return k.faceName(f)
		}
	}
	return ""
}

// confirm keys the next proposed contest: the keyer compared it with the proof.
func (k *Keying) confirm(c Copied) bool {
	contest := k.e.Ref(casefile.Placements, c.place, "contest")
	changes := k.positioned(contest)
	columns := []string{"heading", "choice_order"}
	for _, language := range k.e.Languages() {
		columns = append(columns, "heading["+language+"]")
	}
	n := k.e.Next(casefile.Placements)
	for _, column := range columns {
		if v := k.e.Value(casefile.Placements, c.place, column); v != "" {
			changes = append(changes, casefile.Set(casefile.Placements, n, column, v))
		}
	}
	return k.set(changes...)
}

// drop takes the next proposed contest out of the copy: it is not on this face.
func (k *Keying) drop() bool {
	left := k.Copies()
	if k.focus.Kind != NextContest || len(left) == 0 {
		return false
	}
	k.copies[k.page.Row].dropped[left[0].place] = true
	k.copiesChanged()
	return true
}

// Unconfirmed says which faces have proposed contests that nobody confirmed, and is empty if none has.
func (k *Keying) Unconfirmed() string {
	var out []string
	for _, face := range k.copiedFaces() {
		out = append(out, fmt.Sprintf("%s for %s", english.Plural(len(k.proposed(face)), "contest", ""), k.faceName(face)))
	}
	return strings.Join(out, ", ")
}

// copiedFaces are the faces with proposed contests that are not confirmed. A face that undo took away
// has no page, and its copy is none.
func (k *Keying) copiedFaces() (out []int) {
	pages := append(slices.Clone(k.e.faces()), k.nextFace())
	for face := range k.copies {
		if slices.Contains(pages, face) && len(k.proposed(face)) > 0 {
			out = append(out, face)
		}
	}
	slices.Sort(out)
	return out
}

// Differs says, of a face that began as a copy, what differs from the other: contests left out and
// contests added.
func (k *Keying) Differs() string {
	c := k.copies[k.page.Row]
	if c == nil || k.page.Kind != PageFace || len(k.proposed(k.page.Row)) > 0 {
		return ""
	}
	list := func(face, other int) (out []string) {
		there := map[int]bool{}
		for _, p := range k.e.places[other] {
			there[k.e.Ref(casefile.Placements, p, "contest")] = true
		}
		for _, p := range k.e.places[face] {
			if of := k.e.Ref(casefile.Placements, p, "contest"); of > 0 && !there[of] {
				out = append(out, k.ContestWords(of))
			}
		}
		return out
	}
	var parts []string
	if without := list(c.from, k.page.Row); len(without) > 0 {
		parts = append(parts, "without "+someOf(without))
	}
	if added := list(k.page.Row, c.from); len(added) > 0 {
		parts = append(parts, "with "+someOf(added))
	}
	if len(parts) == 0 {
		return "The same contests as " + k.faceName(c.from) + "."
	}
	return "Beside " + k.faceName(c.from) + ": " + strings.Join(parts, "; ") + "."
}
