package cdf

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model/guard"
)

// A panic in one of the goroutines that read the pieces of an export is an error of that
// export, and names the line where its piece begins.
func TestAPanicInAPieceIsAnErrorOfTheExport(t *testing.T) {
	data := []byte(export{contests: race("clerk", "")}.String())
	end := guard.PanicIn(t, readingPiece)
	_, _, err := Read([]Part{{Name: "export.xml", Data: data}}, Options{WithoutStyles: true})
	var placed *Error
	require.ErrorAs(t, err, &placed)
	assert.Equal(t, "export.xml", placed.File)
	assert.Positive(t, placed.Line)
	var fault *guard.Fault
	require.True(t, errors.As(err, &fault))
	assert.Contains(t, err.Error(), "a fault in this program, not in your files")

	end()
	_, _, err = Read([]Part{{Name: "export.xml", Data: data}}, Options{WithoutStyles: true})
	require.NoError(t, err, "the export itself is a good one")
}
