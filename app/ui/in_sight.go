package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
)

// KeyInSight is no key: it tells the window that something got the focus, so that the window scrolls to it.
const KeyInSight fyne.KeyName = "in sight"

func toSight(o fyne.CanvasObject) { ToWindow(o, &fyne.KeyEvent{Name: KeyInSight}) }

// InSight scrolls to what has the focus, with room for a name above it and a hint below. What is not in
// the scrolled content, like the actions at the foot of a sheet, scrolls nothing.
func InSight(area *container.Scroll, focused fyne.CanvasObject) {
	at, ok := within(area.Content, focused)
	if !ok {
		return
	}
	room := 2.2 * theme.TextSize()
	view, all := area.Size().Height, area.Content.MinSize().Height
	if view <= 0 {
		return // it was not laid out yet, and begins at its top
	}
	from, to := at.Y-room, at.Y+focused.Size().Height+room
	switch {
	case from < area.Offset.Y || to-from > view:
		area.ScrollToOffset(fyne.NewPos(0, max(0, min(from, all-view))))
	case to > area.Offset.Y+view:
		area.ScrollToOffset(fyne.NewPos(0, max(0, min(to, all)-view)))
	}
}

// within is where something stands in a tree; false if it is not in it.
func within(root, o fyne.CanvasObject) (fyne.Position, bool) {
	if root == o {
		return fyne.Position{}, true
	}
	var list []fyne.CanvasObject
	switch root := root.(type) {
	case *fyne.Container:
		list = root.Objects
	case *Flowing:
		list = root.objects
	case *KeyCatcher:
		list = []fyne.CanvasObject{root.content}
	}
	for _, c := range list {
		if at, ok := within(c, o); ok {
			return at.Add(c.Position()), true
		}
	}
	return fyne.Position{}, false
}
