package ui

import (
	"fyne.io/fyne/v2"

	"counterproof/checks/wording"
)

// Side is one of the two facing pages.
type Side uint8

// The sides. The second entry is on the left, the primary on the right.
const (
	Second Side = iota
	Primary
)

// Marked sets what one side says, with what the other side does not say marked:
// letters that only this side has lie on a tint and are underlined twice; a caret marks
// where only the other side has letters. What cannot be seen
// is shown (wording.Visible).
func Marked(size fyne.ThemeSizeName, primary, second string, side Side, face Face) *Words {
	return NewWords(size, MarkedRuns(primary, second, side, face)...).Wrapped()
}

// MarkedRuns returns the runs of Marked.
func MarkedRuns(primary, second string, side Side, face Face) (out []Run) {
	own, other := wording.Add, wording.Drop
	if side == Primary {
		own, other = other, own
	}
	steps := wording.Readable(primary, second)
	for i, s := range steps {
		switch s.Op {
		case wording.Keep:
			out = append(out, Run{Text: wording.Visible(s.Text), Face: face})
		case own:
			text := wording.Visible(s.Text)
			out = append(out, Run{Text: text, Face: face, Mark: Differs})
		case other:
			replaced := i > 0 && steps[i-1].Op == own || i+1 < len(steps) && steps[i+1].Op == own
			if !replaced {
				out = append(out, Run{Face: face, Mark: Gap})
			}
		}
	}
	return out
}

// Contrasted is Marked for whole wordings, in serifs. Two that have little in common are
// marked as a whole: letters that they happen to share mean nothing.
func Contrasted(size fyne.ThemeSizeName, primary, second string, side Side) *Words {
	if primary == "" || second == "" || wording.Similarity(primary, second) > 0.5 ||
		wording.Distance(primary, second) <= 2 {
		return Marked(size, primary, second, side, Serif)
	}
	mine := second
	if side == Primary {
		mine = primary
	}
	return NewWords(size, Run{Text: wording.Visible(wording.Normal(mine)), Face: Serif, Mark: Differs}).Wrapped()
}
