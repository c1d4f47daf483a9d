// Package icon draws the program's icon: a proof-reader's caret, which says that something is left
// out, in a line of a printed sheet. SVG, PNG and ICO are made from the same shapes, so none of them
// is kept as a file.
package icon

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"strings"

	"golang.org/x/image/vector"
)

// side is the length of the side of the square in which the shapes are drawn.
const side = 64

// shape is a filled polygon: x and y of each corner.
type shape struct {
	ink     color.RGBA
	corners [][2]float32
	// fine is left out where the icon is small.
	fine bool
}

var (
	edge  = color.RGBA{0x2b, 0x34, 0x40, 0xff}
	paper = color.RGBA{0xfc, 0xfa, 0xf4, 0xff}
	fold  = color.RGBA{0xd8, 0xd2, 0xc2, 0xff}
	text  = color.RGBA{0x5b, 0x65, 0x72, 0xff}
	red   = color.RGBA{0xc4, 0x24, 0x1c, 0xff}
)

var shapes = []shape{
	{edge, [][2]float32{{8, 1}, {43, 1}, {57, 15}, {57, 63}, {8, 63}}, false},
	{paper, [][2]float32{{11, 4}, {41, 4}, {54, 17}, {54, 60}, {11, 60}}, false},
	{fold, [][2]float32{{41, 4}, {54, 17}, {41, 17}}, false},
	{text, [][2]float32{{17, 12}, {35, 12}, {35, 15}, {17, 15}}, true},
	{text, [][2]float32{{17, 24}, {28, 24}, {28, 29}, {17, 29}}, false},
	{text, [][2]float32{{37, 24}, {48, 24}, {48, 29}, {37, 29}}, false},
	{text, [][2]float32{{17, 51}, {48, 51}, {48, 54}, {17, 54}}, true},
	{red, [][2]float32{{32.5, 26}, {46, 46}, {38.5, 46}, {32.5, 36.5}, {26.5, 46}, {19, 46}}, false},
}

// small is the size in pixels below which fine shapes are left out.
const small = 32

// SVG returns the icon as SVG 1.1.
func SVG() []byte {
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d">`+"\n", side, side)
	for _, s := range shapes {
		var points []string
		for _, c := range s.corners {
			points = append(points, fmt.Sprintf("%g,%g", c[0], c[1]))
		}
		fmt.Fprintf(&b, `  <polygon fill="#%02x%02x%02x" points="%s"/>`+"\n", s.ink.R, s.ink.G, s.ink.B,
			strings.Join(points, " "))
	}
	b.WriteString("</svg>\n")
	return []byte(b.String())
}

// Draw draws the icon with a side of so many pixels.
func Draw(size int) *image.NRGBA {
	drawn := image.NewRGBA(image.Rect(0, 0, size, size))
	times := float32(size) / side
	for _, s := range shapes {
		if s.fine && size < small {
			continue
		}
		r := vector.NewRasterizer(size, size)
		for i, c := range s.corners {
			if x, y := c[0]*times, c[1]*times; i == 0 {
				r.MoveTo(x, y)
			} else {
				r.LineTo(x, y)
			}
		}
		r.ClosePath()
		r.Draw(drawn, drawn.Bounds(), image.NewUniform(s.ink), image.Point{})
	}
	out := image.NewNRGBA(drawn.Bounds())
	draw.Draw(out, out.Bounds(), drawn, image.Point{}, draw.Src)
	return out
}

// PNG returns the icon as a PNG with a side of so many pixels.
func PNG(size int) []byte {
	var b bytes.Buffer
	if err := png.Encode(&b, Draw(size)); err != nil {
		panic(err) // a buffer takes everything, and the size is ours
	}
	return b.Bytes()
}

// Sizes are the sides, in pixels, of the pictures in the ICO, and of the PNGs of a Linux desktop.
var Sizes = []int{16, 24, 32, 48, 64, 128, 256}

// ICO returns the icon for Windows: bitmaps, and a PNG for the largest size, which no bitmap has
// (Microsoft, "Icons"; the format is described in "The evolution of the ICO file format").
func ICO() []byte {
	le := binary.LittleEndian
	head, body := le.AppendUint16(nil, 0), []byte{}
	head = le.AppendUint16(head, 1)
	head = le.AppendUint16(head, uint16(len(Sizes)))
	for _, size := range Sizes {
		picture := bitmap(Draw(size))
		if size == 256 {
			picture = PNG(size)
		}
		head = append(head, byte(size), byte(size), 0, 0) // 0 stands for 256
		head = le.AppendUint16(head, 1)
		head = le.AppendUint16(head, 32)
		head = le.AppendUint32(head, uint32(len(picture)))
		head = le.AppendUint32(head, uint32(6+16*len(Sizes)+len(body)))
		body = append(body, picture...)
	}
	return append(head, body...)
}

// bitmap is a picture of an ICO: a header, the pixels from the last row to the first, and a mask,
// whose height the header counts in. The mask is empty: the pixels have their transparency.
func bitmap(of *image.NRGBA) []byte {
	le, size := binary.LittleEndian, of.Bounds().Dx()
	b := le.AppendUint32(nil, 40)
	b = le.AppendUint32(b, uint32(size))
	b = le.AppendUint32(b, uint32(2*size))
	b = le.AppendUint16(b, 1)
	b = le.AppendUint16(b, 32)
	b = append(b, make([]byte, 24)...)
	for y := size - 1; y >= 0; y-- {
		for x := range size {
			c := of.NRGBAAt(x, y)
			b = append(b, c.B, c.G, c.R, c.A)
		}
	}
	return append(b, make([]byte, size*((size+31)/32*4))...)
}
