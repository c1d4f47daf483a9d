// Package loading is the arithmetic of cards at the machine: which export each card was made from,
// what each voting unit must show, what it showed, and what of it is a fault.
package loading
