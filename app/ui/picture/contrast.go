package picture

import (
	"image/color"
	"math"
)

// LeastContrast is the contrast that text must have with what it stands on: that of
// WCAG 2.2, success criterion 1.4.3 (level AA), for text of any size.
const LeastContrast = 4.5

// luminance is the relative luminance of WCAG 2.2: 0 for black, 1 for white. What is not
// opaque counts as if it stood on black; lay it over its ground first.
func luminance(c color.Color) float64 {
	r, g, b, _ := c.RGBA()
	linear := func(v uint32) float64 {
		s := float64(v) / 0xFFFF
		if s <= 0.04045 {
			return s / 12.92
		}
		return math.Pow((s+0.055)/1.055, 2.4)
	}
	return 0.2126*linear(r) + 0.7152*linear(g) + 0.0722*linear(b)
}

// Contrast is the contrast ratio of two colours by WCAG 2.2: 1 for one and the same, 21
// for black and white.
func Contrast(a, b color.Color) float64 {
	x, y := luminance(a), luminance(b)
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

// over is a colour laid over an opaque ground.
func over(c, ground color.Color) color.Color {
	r, g, b, a := c.RGBA() // premultiplied
	gr, gg, gb, _ := ground.RGBA()
	mix := func(top, under uint32) uint16 { return uint16(top + under*(0xFFFF-a)/0xFFFF) }
	return color.RGBA64{R: mix(r, gr), G: mix(g, gg), B: mix(b, gb), A: 0xFFFF}
}
