package report

import "counterproof/model/casefile"

// Stands reports whether the last signed report is still current: nothing recorded since opened a
// new round. It is false if no report was signed.
func Current(state *casefile.State) bool {
	n := len(state.SignOffs)
	return n > 0 && superseded(state, n-1, nil) == ""
}
