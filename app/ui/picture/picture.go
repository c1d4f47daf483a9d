// Package picture is for tests: it draws a screen with Fyne's software driver,
// compares it with the picture that is kept, and finds text that is cut off or
// overlaps.
package picture

import (
	"bytes"
	"flag"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"runtime/debug"
	"sync"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"

	"counterproof/app/ui"
)

var (
	update = flag.Bool("update", false, "write the kept pictures anew")
	write  = flag.String("pictures", "", "write every picture that a test draws into this folder, to be looked at")
)

// lenient lets garbage pile up: a window makes much that lives for one layout, and a third
// of a test's time went into collecting it.
var lenient = sync.OnceFunc(func() { debug.SetGCPercent(400) })

// App starts Fyne's test driver with the theme of the view.
func (v View) App(t testing.TB) fyne.App {
	lenient()
	a := test.NewTempApp(t)
	a.Settings().SetTheme(ui.Theme{Tone: v.Tone, Scale: v.Scale})
	return a
}

// Dress gives a window that is there already the theme and the size of the view.
func (v View) Dress(w fyne.Window) {
	fyne.CurrentApp().Settings().SetTheme(ui.Theme{Tone: v.Tone, Scale: v.Scale})
	dress(w.Content())
	for _, o := range w.Canvas().Overlays().List() {
		dress(o)
	}
	v.Lay(w)
}

// dress draws a tree anew in the theme of now, from the leaves up, as Fyne does when the
// theme changes.
func dress(o fyne.CanvasObject) {
	for _, child := range Children(o) {
		dress(child)
	}
	o.Refresh()
}

// Draw lays a window out at the size of the view and draws it. App must have been
// called before the window was made.
func (v View) Draw(w fyne.Window) image.Image {
	v.Lay(w)
	return w.Canvas().Capture()
}

// Lay lays a window out at the size of the view, as Draw does, and draws nothing.
func (v View) Lay(w fyne.Window) {
	w.SetPadded(false)
	// Wrapped text knows its height only once it has its width: a real window lays
	// out anew with each frame until nothing changes.
	for i := range 4 {
		w.Resize(v.Size.AddWidthHeight(float32(i%2), 0))
		w.Content().Refresh()
	}
	w.Resize(v.Size)
}

// Check lays the window out and fails on each of its Faults. If the screen is one of the
// few whose picture is kept (see Kept), it is drawn and compared with
// testdata/pictures/NAME-VIEW.png below dir (empty: it is not). Small differences of shade
// do not count. With -update the picture is written.
func Check(t *testing.T, dir, name string, v View, w fyne.Window) {
	t.Helper()
	v.Lay(w)
	for _, fault := range Faults(w.Canvas()) {
		t.Errorf("%s, %s: %s", name, v, fault)
	}
	file := v.file(name)
	if !v.Keeps(name) {
		dir = ""
	}
	if dir == "" && *write == "" {
		return
	}
	img := w.Canvas().Capture()
	if *write != "" {
		put(t, filepath.Join(*write, file), img)
	}
	if dir == "" {
		return
	}
	kept := filepath.Join(dir, "testdata", "pictures", file)
	if *update {
		put(t, kept, img)
		return
	}
	old, err := os.ReadFile(kept)
	if err != nil {
		t.Errorf("no picture is kept of this (run the test with -update, and look at it): %v", err)
		return
	}
	want, err := png.Decode(bytes.NewReader(old))
	if err != nil {
		t.Fatalf("%s: %v", kept, err)
	}
	if n := differing(want, img); n > 0 {
		failed := filepath.Join(dir, "testdata", "failed", file)
		put(t, failed, img)
		t.Errorf("%s looks otherwise than the picture that is kept, in %d dots; compare it with %s (and run the test with "+
			"-update if it is right)", kept, n, failed)
	}
}

func put(t *testing.T, path string, img image.Image) {
	t.Helper()
	var b bytes.Buffer
	encoder := png.Encoder{CompressionLevel: png.BestCompression}
	if err := encoder.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
}

// differing counts the dots that plainly differ. Floating point is not the same on
// all processors, so that the shade of an edge may differ a little.
func differing(a, b image.Image) (n int) {
	if a.Bounds().Size() != b.Bounds().Size() {
		return max(a.Bounds().Dx()*a.Bounds().Dy(), 1)
	}
	o, p := a.Bounds().Min, b.Bounds().Min
	for y := range a.Bounds().Dy() {
		for x := range a.Bounds().Dx() {
			r1, g1, b1, _ := a.At(o.X+x, o.Y+y).RGBA()
			r2, g2, b2, _ := b.At(p.X+x, p.Y+y).RGBA()
			if far(r1, r2) || far(g1, g2) || far(b1, b2) {
				n++
			}
		}
	}
	return n
}

func far(a, b uint32) bool { return max(a, b)-min(a, b) > 0x1800 }
