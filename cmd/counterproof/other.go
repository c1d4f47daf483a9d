//go:build !(linux || freebsd || openbsd || netbsd)

package main

const onX = false

// needed says what a window needs. On Windows a remote desktop and a virtual machine often have only
// the basic display driver, with OpenGL 1.1.
const needed = "it needs OpenGL 2.1: install the graphics driver of this computer, or put a software renderer " +
	"(opengl32.dll) beside counterproof.exe"
