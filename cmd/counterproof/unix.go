//go:build linux || freebsd || openbsd || netbsd

package main

const onX = true
