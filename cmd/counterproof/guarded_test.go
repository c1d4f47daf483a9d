package main

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A panic on the window's own goroutine ends the program with one line, after what was
// keyed went to the disk.
func TestAPanicOfTheWindowLosesNothing(t *testing.T) {
	kept := false
	keep := func() error { kept = true; return nil }
	err := guarded(func() { panic("window on fire") }, keep)
	require.ErrorContains(t, err, "a fault in this program")
	assert.ErrorContains(t, err, "window on fire")
	assert.True(t, kept)

	err = guarded(func() { panic("window on fire") }, func() error { return errors.New("1 entry is not on the disk") })
	assert.ErrorContains(t, err, "window on fire")
	assert.ErrorContains(t, err, "1 entry is not on the disk")
	err = guarded(func() { panic("window on fire") }, func() error { panic("disk too") })
	assert.ErrorContains(t, err, "disk too")

	kept = false
	require.NoError(t, guarded(func() {}, keep))
	assert.False(t, kept, "the window stopped by itself, and kept what was keyed")
}
