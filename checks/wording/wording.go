// Package wording says how two pieces of printed wording differ.
package wording
