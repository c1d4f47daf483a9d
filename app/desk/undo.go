package desk

import (
	"slices"

	"counterproof/model/casefile"
)

// Undo reverts the last act, even one of an earlier session. It returns false if there is nothing
// to revert.
func (k *Keying) Undo() bool {
	k.message = ""
	if n := len(k.done); n > 0 {
		st := k.done[n-1]
		k.done = k.done[:n-1]
		k.undone = append(k.undone, st)
		back := slices.Clone(st.was)
		slices.Reverse(back)
		k.apply(back)
		k.send(act{kind: actUndo, changes: back})
		k.backTo(st)
		k.message = "undone on " + k.PageName(k.page)
		return true
	}
	if !k.earlier || k.reads > 0 {
		return false
	}
	k.earlierUndone++
	k.send(act{kind: actUndoEarlier})
	return true
}

// Redo repeats what the last Undo reverted.
func (k *Keying) Redo() bool {
	k.message = ""
	if k.earlierUndone == 0 {
		if n := len(k.undone); n > 0 {
			st := k.undone[n-1]
			k.undone = k.undone[:n-1]
			k.done = append(k.done, st)
			k.apply(st.set)
			k.send(act{kind: actRedo, changes: st.set})
			k.backTo(st)
			k.message = "done again on " + k.PageName(k.page)
			return true
		}
		if !k.earlierRedo || k.reads > 0 {
			return false
		}
	} else if k.reads > 0 {
		return false
	} else {
		k.earlierUndone--
	}
	k.send(act{kind: actRedoEarlier})
	return true
}

// backTo opens the page of an act that was reverted or repeated.
func (k *Keying) backTo(st step) {
	k.page = st.page
	k.stale()
	if !k.goTo(st.focus) {
		k.toFirstEmpty()
	}
}

// toChange opens the page that an undo of an act of an earlier session changed, and says which.
func (k *Keying) toChange(kind actKind, before *casefile.Tables) {
	words := map[actKind]string{actUndoEarlier: "undone on ", actRedoEarlier: "done again on "}[kind]
	for t := casefile.Facts; t <= casefile.Headers; t++ {
		for row := 1; row < max(before.Next(t), k.e.Next(t)); row++ {
			for _, column := range t.Columns() {
				if before.Value(t, row, column) == k.e.Value(t, row, column) {
					continue
				}
				if p, ok := k.pageOf(before, t, row); ok && p != k.page {
					k.page = p
					k.stale()
					k.toFirstEmpty()
				}
				k.message = words + k.PageName(k.page)
				return
			}
		}
	}
}

// pageOf returns the page on which a row is shown, or was before.
func (k *Keying) pageOf(before *casefile.Tables, t casefile.Table, row int) (Page, bool) {
	ref := func(column string) int {
		if n := k.e.Ref(t, row, column); n > 0 {
			return n
		}
		return before.Ref(t, row, column)
	}
	onFace := func(contest int) (Page, bool) {
		for _, place := range k.e.placed[contest] {
			if face := k.e.Ref(casefile.Placements, place, "face"); k.page == (Page{PageFace, face}) {
				return k.page, true
			}
		}
		if list := k.e.placed[contest]; len(list) > 0 {
			return Page{PageFace, k.e.Ref(casefile.Placements, list[0], "face")}, true
		}
		return Page{Kind: PageLoose}, slices.Contains(k.loose(), contest)
	}
	switch t {
	case casefile.Facts, casefile.Parties:
		return Page{Kind: PageElection}, true
	case casefile.Units, casefile.Headers:
		return Page{Kind: PageUnits}, true
	case casefile.Contests:
		return onFace(row)
	case casefile.Choices:
		return onFace(ref("contest"))
	case casefile.Faces:
		return Page{PageFace, row}, true
	case casefile.Placements, casefile.Assignments:
		face := ref("face")
		return Page{PageFace, face}, face > 0
	}
	return Page{}, false
}

// PageName is the name of a page, for people.
func (k *Keying) PageName(p Page) string {
	switch p.Kind {
	case PageFace:
		return k.faceName(p.Row)
	case PageLoose:
		return "the contests on no face"
	case PageUnits:
		return "the voting units"
	case PageRoster:
		return "the official roster"
	}
	return "the election and its parties"
}
