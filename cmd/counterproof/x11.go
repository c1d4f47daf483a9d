//go:build linux || freebsd || openbsd || netbsd

package main

const onX = true

const needed = "it needs OpenGL 2.1, which the display's driver has to offer"
