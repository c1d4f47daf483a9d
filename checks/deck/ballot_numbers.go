package deck

import (
	"slices"
	"strconv"
	"strings"
)

// fed are the ballots of the deck, once for each unit of the key that is fed them. again says that some
// are fed more than once and the records do not say where.
func (w *comparison) fed() (ballots []deckBallot, again bool) {
	named := !slices.ContainsFunc(w.ballots, func(r votedBallot) bool { return r.unit < 0 })
	units := map[int][]int{} // by precinct
	if len(w.key.units) > 0 {
		for c := range w.key.lines {
			for i := range w.key.lines[c] {
				if l := &w.key.lines[c][i]; l.unit >= 0 && !slices.Contains(units[l.precinct], l.unit) {
					units[l.precinct] = append(units[l.precinct], l.unit)
				}
			}
		}
	}
	for i := range w.opts.Deck.Ballots {
		b := &w.opts.Deck.Ballots[i]
		of := units[b.Precinct]
		if len(of) == 0 {
			of = []int{-1}
		}
		again = again || len(of) > 1 && !named
		for _, u := range of {
			if !named {
				u = -1
			}
			ballots = append(ballots, deckBallot{b, u, w.count.face(b.Style).contests, w.one(b)})
		}
	}
	if !named {
		for i := range w.ballots {
			w.ballots[i].unit = -1
		}
	}
	return ballots, again
}

// numberedBallot is the number of a ballot at a unit.
type numberedBallot struct{ unit, number int }

// byNumber finds the records of each ballot by number, where every record has the number of a ballot of
// the deck.
func (w *comparison) byNumber(ballots []deckBallot) (map[numberedBallot][]*votedBallot, bool) {
	numbers := map[int]bool{}
	for _, b := range ballots {
		numbers[b.Number] = true
	}
	read := map[numberedBallot][]*votedBallot{}
	for i := range w.ballots {
		r := &w.ballots[i]
		n, err := strconv.Atoi(strings.TrimSpace(r.number))
		if err != nil || !numbers[n] {
			return nil, false
		}
		read[numberedBallot{r.unit, n}] = append(read[numberedBallot{r.unit, n}], r)
	}
	return read, true
}

// sheets reports whether ballots have several records that hold different contests: one for each sheet.
func sheets(read map[numberedBallot][]*votedBallot) bool {
	for _, records := range read {
		for _, r := range records[1:] {
			apart := len(r.votes) > 0 && len(records[0].votes) > 0
			for c := range r.votes {
				_, twice := records[0].votes[c]
				apart = apart && !twice
			}
			if apart {
				return true
			}
		}
	}
	return false
}

// numbered compares each ballot with the record that has its number.
func (w *comparison) numbered(ballots []deckBallot, read map[numberedBallot][]*votedBallot) {
	sheets := sheets(read)
	for _, b := range ballots {
		at := numberedBallot{b.unit, b.Number}
		records := read[at]
		delete(read, at)
		if len(records) == 0 {
			w.differs(BallotDiffers{Number: b.Number, Precinct: b.Precinct})
			continue
		}
		whole := *records[0]
		whole.votes = map[int]votes{}
		for i, r := range records {
			again := false
			for c, v := range r.votes {
				_, twice := whole.votes[c]
				again = again || twice
				if !twice {
					whole.votes[c] = v
				}
			}
			if i > 0 && (again || !sheets) { // no further sheet: the ballot again
				w.differs(BallotDiffers{File: r.file, Line: r.line, Number: b.Number, Precinct: b.Precinct})
			}
		}
		w.pair(&b, &whole)
	}
	for i := range w.ballots { // at a unit that is not fed the ballot
		r := &w.ballots[i]
		if n, err := strconv.Atoi(strings.TrimSpace(r.number)); err == nil && read[numberedBallot{r.unit, n}] != nil {
			w.differs(BallotDiffers{File: r.file, Line: r.line, Precinct: -1})
		}
	}
}
