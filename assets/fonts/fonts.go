// Package fonts holds the typefaces of Counterproof, for its screens and for its
// report: static TrueType outlines, so that a PDF can embed them.
//
// Source Sans 3 is the voice of the program. Source Serif 4 sets what a ballot
// says: in it I, l and 1, and O and 0, are told apart at a glance. Both cover
// Latin, Greek and Cyrillic, and their digits all have one width. They are under
// the SIL Open Font License 1.1 (the LICENSE files beside this one).
package fonts

import _ "embed" // the typefaces

// The typefaces, each a TrueType file. Treat them as read-only.
var (
	//go:embed SourceSans3-Regular.ttf
	Sans []byte
	//go:embed SourceSans3-SemiBold.ttf
	SansBold []byte
	//go:embed SourceSans3-Italic.ttf
	SansItalic []byte
	//go:embed SourceSans3-SemiBoldItalic.ttf
	SansBoldItalic []byte
	//go:embed SourceSerif4-Regular.ttf
	Serif []byte
	//go:embed SourceSerif4-SemiBold.ttf
	SerifBold []byte
	//go:embed SourceSerif4-Italic.ttf
	SerifItalic []byte
)

// SerifLacks are the letters of names that the serif faces cannot set and the sans
// faces can: the Sami Ŧ, the Ĭ, and the Dutch Ĳ as one letter.
const SerifLacks = "ĬĭĲĳŦŧ"

// Face is one typeface with the name of its file, less ".ttf".
type Face struct {
	Name string
	TTF  []byte
}

// Faces lists all typefaces.
func Faces() []Face {
	return []Face{
		{"SourceSans3-Regular", Sans}, {"SourceSans3-SemiBold", SansBold},
		{"SourceSans3-Italic", SansItalic}, {"SourceSans3-SemiBoldItalic", SansBoldItalic},
		{"SourceSerif4-Regular", Serif}, {"SourceSerif4-SemiBold", SerifBold}, {"SourceSerif4-Italic", SerifItalic},
	}
}
