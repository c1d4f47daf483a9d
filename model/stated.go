package model

// Stated holds a value that a side of the cross-check may or may not have
// stated. The zero Stated is "not stated", which is different from a stated
// zero: a vote-for that was never keyed is not a vote-for of 0, and an empty
// list of party lines that was keyed ("nothing is printed") is not the same as
// party lines that nobody keyed.
type Stated[T any] struct {
	Value T
	Known bool
}

// Say returns v as a stated value.
func Say[T any](v T) Stated[T] { return Stated[T]{Value: v, Known: true} }
