//go:build linux || freebsd || openbsd || netbsd

package main

const onUnix = true
