package sheets

import (
	"bytes"
	"unicode/utf16"
	"unicode/utf8"
)

// toUTF8 makes UTF-8 with plain line ends of what spreadsheets save: a byte order
// mark is taken off, UTF-16 with a mark ("Unicode text") is converted, and a
// carriage return that stands alone becomes a line feed, inside quoted cells too.
// Halves of a UTF-16 pair that stand alone become a byte that is not UTF-8, so
// that the fault is found where it stands. It may change data.
func toUTF8(data []byte) []byte {
	switch {
	case bytes.HasPrefix(data, []byte{0xEF, 0xBB, 0xBF}):
		data = data[3:]
	case bytes.HasPrefix(data, []byte{0xFF, 0xFE}):
		data = fromUTF16(data[2:], 0, 1)
	case bytes.HasPrefix(data, []byte{0xFE, 0xFF}):
		data = fromUTF16(data[2:], 1, 0)
	}
	for i := 0; i < len(data); i++ {
		next := bytes.IndexByte(data[i:], '\r')
		if next < 0 {
			break
		}
		i += next
		if i+1 == len(data) || data[i+1] != '\n' {
			data[i] = '\n'
		}
	}
	return data
}

// fromUTF16 converts code units whose low and high bytes stand at the offsets
// given.
func fromUTF16(data []byte, low, high int) []byte {
	const notUTF8 = 0xFF
	unit := func(i int) rune { return rune(data[i+low]) | rune(data[i+high])<<8 }
	out := make([]byte, 0, len(data)/2+len(data)/8)
	whole := len(data) &^ 1
	for i := 0; i < whole; i += 2 {
		r := unit(i)
		if utf16.IsSurrogate(r) {
			if i+2 < whole {
				if pair := utf16.DecodeRune(r, unit(i+2)); pair != utf8.RuneError {
					out = utf8.AppendRune(out, pair)
					i += 2
					continue
				}
			}
			out = append(out, notUTF8)
			continue
		}
		out = utf8.AppendRune(out, r)
	}
	if whole < len(data) {
		out = append(out, notUTF8)
	}
	return out
}
