package report

import "counterproof/model/casefile"

// Stands reports whether the report that was signed last still stands: nothing was
// recorded since that opened a new round. It is false where none was signed.
func Current(state *casefile.State) bool {
	n := len(state.SignOffs)
	return n > 0 && superseded(state, n-1) == ""
}
