package icon

import (
	"bytes"
	"encoding/binary"
	"encoding/xml"
	"image"
	"image/color"
	"image/png"
	"io"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// At every size the red mark is on the paper, and nothing is around the sheet.
func TestTheIconAtEverySize(t *testing.T) {
	for _, size := range Sizes {
		p, err := png.Decode(bytes.NewReader(PNG(size)))
		require.NoError(t, err)
		require.Equal(t, image.Rect(0, 0, size, size), p.Bounds())
		at := func(x, y int) color.NRGBA { return color.NRGBAModel.Convert(p.At(x*size/64, y*size/64)).(color.NRGBA) }
		assert.Equal(t, uint8(0), at(2, 32).A, size)
		mark := at(32, 32)
		assert.True(t, mark.A == 255 && mark.R > 150 && mark.G < 120, "%d: %v", size, mark)
		assert.Equal(t, color.NRGBA{paper.R, paper.G, paper.B, 255}, at(14, 57), "%d", size)
	}
}

func TestTheSVGIsWellFormed(t *testing.T) {
	d, polygons := xml.NewDecoder(bytes.NewReader(SVG())), 0
	for {
		token, err := d.Token()
		if err == io.EOF {
			break
		}
		require.NoError(t, err)
		if s, ok := token.(xml.StartElement); ok && s.Name.Local == "polygon" {
			polygons++
		}
	}
	assert.Equal(t, len(shapes), polygons)
}

// Each entry of the ICO points at a picture of its size.
func TestTheICO(t *testing.T) {
	ico, le := ICO(), binary.LittleEndian
	require.Equal(t, len(Sizes), int(le.Uint16(ico[4:])))
	for i, size := range Sizes {
		entry := ico[6+16*i:]
		at, length := le.Uint32(entry[12:]), le.Uint32(entry[8:])
		picture := ico[at : at+length]
		if size == 256 {
			c, err := png.DecodeConfig(bytes.NewReader(picture))
			require.NoError(t, err)
			assert.Equal(t, size, c.Width)
			continue
		}
		assert.Equal(t, []int{40, size, 2 * size, 40 + 4*size*size + size*((size+31)/32*4)},
			[]int{int(le.Uint32(picture)), int(le.Uint32(picture[4:])), int(le.Uint32(picture[8:])), len(picture)})
	}
}
