package deck

import "fmt"

// sameDeck refuses a deck that does not give the key.
func (w *comparison) sameDeck(keyName string) error {
	if w.opts.Deck == nil {
		return nil
	}
	key, err := Count(w.e, w.opts.Deck, w.opts.Rules)
	if err != nil {
		return err
	}
	type place struct{ contest, precinct, style int }
	given := map[place]figures{}
	for i := range key.Tallies {
		t := &key.Tallies[i]
		given[place{t.Contest, t.Precinct, t.Style}] = figuresOf(t)
	}
	for c := range w.key.lines {
		for i := range w.key.lines[c] {
			l := &w.key.lines[c][i]
			have := given[place{c, l.precinct, l.style}]
			for at, n := range l.n {
				if l.known[at] && (at >= len(have.n) && n != 0 || at < len(have.n) && have.n[at] != n) {
					got := 0
					if at < len(have.n) {
						got = have.n[at]
					}
					return fmt.Errorf("%s: it has %d for %s of “%s” in precinct %.80q, and the deck gives %d; "+
						"give the deck that it was counted from, with the same rules", keyName, n, w.place(c, at), w.title(c),
						precinctLabel(w.e, l.precinct), got)
				}
			}
		}
	}
	return nil
}
