package desk

// Shortcut is a key of the re-key desk and its effect, for F1.
type Shortcut struct {
	Keys, What string
}

// Shortcuts lists the keys, most frequently used first.
var Shortcuts = []Shortcut{
	{"Enter", "keep the field and go to the next empty one; in an empty field: the contest, or the face, is complete. " +
		"Nothing acts before Enter; what it will do stands under the field"},
	{DittoMark + ", Enter", "for a name: the name above once more, on another line; \"\": the name above that. In a " +
		"question without choices yet: those of the question before"},
	{NothingMark + ", Enter", "nothing is printed here"},
	{WriteInMark + ", Enter", "for a name: a line for a write-in; __ for two"},
	{"c, m, r, p, Enter", "a contest of candidates, a measure, a retention question, a straight-party contest"},
	{"a few letters, Enter", "put a contest that was keyed before on this face: beginnings of its words, " +
		`"tsb" for "Town Supervisor, Brightwater"`},
	{"Ctrl+Enter", "as typed: a new contest, whatever the list says; in a card header: a precinct as the card prints " +
		"it, though it is not on the official roster"},
	{"Ctrl+Space", "write out the picked line of the list and key on from it"},
	{"↑ ↓", "pick in the list; without a list, the field above or below"},
	{"Tab, Shift+Tab", "the next field, the field before"},
	{"1-01..1-09, 2-03", `give the face its precincts; "1-01 to 1-09", "1-01–1-09" and "1-01..9" are the same range, blanks ` +
		`do for commas, "..9" begins at the first that is left, "." is that one, "!1-03" takes one back`},
	{AllMark, "in a card header: all precincts of the unit's site"},
	{"Ctrl+H", "what was typed is the heading above the next contest; in a contest: its heading"},
	{"Ctrl+D", "the document that is keyed from: of the contest at the cursor or, where the next one goes, of those to " +
		"come; ↓ picks one that was keyed from before"},
	{"F9", "read the faces in a further language: only the wordings, beside what was keyed first; the same key goes back"},
	{"Ctrl+Shift+C", "begin this face as a copy of the one before, or of the face whose label is typed: Enter keys each " +
		"contest once it was compared with the proof, Ctrl+Delete leaves it out; nothing else of the copy is keyed. The " +
		"same key ends it"},
	{"F4", "seldom keyed fields: place in the order of parties, party of a face, primary party, way of voting (r " +
		"ranked), text, order of choices, person, use of a unit. They can be clicked on the page too"},
	{"bac, Enter", `for the order of choices on this face: the names' first letters in that order, or "bo ad c" where two begin ` +
		"alike, or the positions 2, 1, 3"},
	{"Insert", "make room above: for a choice, or for a contest from its title"},
	{"Alt+↑, Alt+↓", "move the choice or the contest"},
	{"Ctrl+Delete", "take the choice, the contest of this face, the unit away"},
	{"Ctrl+Z, Ctrl+Y", "undo, redo what was typed since the case was opened; what it was and its page are named. What " +
		"came in otherwise stays"},
	{"Ctrl+X, C, V, A", "cut, copy, paste, select all, in each field; several lines that are pasted are shown as a list"},
	{"Ctrl+F, F3", "find by typing, on this face first; the next place"},
	{"Ctrl+P", "open this page in the system's viewer, to be printed"},
	{"Ctrl+Page Up, Page Down", "the page before, the next page"},
	{"F6", "open the printed proof of this face, or of the card headers, if proofs are attached to the case"},
	{"Ctrl+E", "what comes next, as it stands above the page; else the seal"},
	{"F7", "everything odd, to look at again before sealing; also a button under the page"},
	{"Ctrl+Home, Ctrl+End", "the first and the last field of the page"},
	{"F8", "the unassigned precincts in full"},
	{"Ctrl+Shift+V", "paste a certified list and confirm it line by line; Space reads a line another way"},
	{"Esc", "let go of what was typed in this field"},
	{"F2, Esc", "in a correction: decide with what was changed; go back without"},
	{"F3", "in a correction of what several people keyed: the next place"},
	{"■", "at the left edge: one square for each field of the line, full when it is on disk"},
	{"F1", "this list"},
}
