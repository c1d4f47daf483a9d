package cdf

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Eight bytes at a time find what one byte at a time finds, wherever each byte stands.
func TestPlainTextIsFoundEightBytesAtATime(t *testing.T) {
	for c := range 256 {
		for _, other := range []byte{' ', '\n', '\t', 'a', '~', 0x7F} {
			for length := range 20 {
				for at := range length {
					text := make([]byte, length)
					for i := range text {
						text[i] = other
					}
					text[at] = byte(c)
					assert.Equal(t, plainBytes(text), plainLength(text), "%q", text)
				}
			}
		}
	}
}
