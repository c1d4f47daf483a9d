package review

import (
	"bytes"
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"maps"
	"slices"
	"strings"

	"counterproof/model"
	"counterproof/model/casefile"
	"counterproof/model/cdf"
)

// Name returns the round's export by a name for people.
func (r Round) Name() string {
	var names []string
	for _, f := range r.Files {
		names = append(names, f.Name)
	}
	if r.Cards != nil {
		names = append(names, r.Cards.Name)
	}
	return strings.Join(names, " with ")
}

func (r Round) key() string {
	var b strings.Builder
	for _, f := range r.Files {
		b.WriteString(f.Digest.String())
	}
	if r.Cards != nil {
		b.WriteString("+" + r.Cards.Digest.String())
	}
	return b.String()
}

// isCardList distinguishes a card list from an export by the first character: an export is XML or a
// JSON object, in any encoding.
func isCardList(data []byte) bool {
	data = bytes.TrimLeft(data, "\ufeff\xff\xfe\x00 \t\r\n")
	return len(data) > 0 && data[0] != '<' && data[0] != '{'
}

// came holds the incoming files that were assembled so far. Later files are added to it.
type came struct {
	exports   int
	elections string
	withdrawn int
	rounds    []Round
	// format is that of the first export, and of all in sequence; others are in another one.
	format string
	others []Round
	// waiting are parts of a report that is not complete.
	waiting []casefile.Export
}

// rounds assembles the incoming files: the parts of a report, and card lists.
func (r *Review) rounds(state *casefile.State) ([]Round, error) {
	if how := strings.Join(settings(state).Elections, "\x00"); r.came.elections != how ||
		r.came.withdrawn != len(state.Withdrawn) {
		r.came = came{elections: how, withdrawn: len(state.Withdrawn)}
	}
	for _, x := range state.ActiveExports()[r.came.exports:] {
		if err := r.putTogether(state, x); err != nil {
			return nil, err
		}
	}
	list := slices.Clone(r.came.rounds)
	return slices.DeleteFunc(list, func(x Round) bool { return x.Files == nil }), nil
}

// putTogether adds an incoming file to those before it.
func (r *Review) putTogether(state *casefile.State, x casefile.Export) error {
	data, err := r.of.Export(x.Digest)
	if err != nil {
		return err
	}
	list := r.came.rounds
	cards := isCardList(data)
	next := Round{Seq: x.Seq, At: x.At}
	waiting, together := r.came.waiting, false
	if x.Tables != nil {
		// Parts of a report that came in before were never completed.
		next.Files, next.Format, r.came.waiting = []casefile.Export{x}, model.Tables, nil
	} else if cards {
		next.Cards = &x
		if n := len(list); n > 0 {
			next.Files, next.Format = list[n-1].Files, list[n-1].Format
			// A card list right behind an export came in with it: the export without its cards was never
			// looked at, and nothing was decided on it.
			together = list[n-1].Cards == nil && x.Seq == list[n-1].Seq+1
		}
	} else {
		next.Files = append(slices.Clone(waiting), x)
		e, err := r.read(state, next)
		if err != nil && !errors.Is(err, cdf.ErrPartMissing) && len(waiting) > 0 {
			// The earlier parts were never completed: this file begins a new report.
			next.Files = []casefile.Export{x}
			e, err = r.read(state, next)
		}
		if errors.Is(err, cdf.ErrPartMissing) {
			r.came.waiting = next.Files
			r.came.exports++
			return nil
		}
		r.came.waiting = nil
		if err == nil {
			next.Format = e.Origins.Format
		}
	}
	if !cards && next.Format != "" && r.came.format != "" && next.Format != r.came.format {
		with := list[len(list)-1]
		next.With = &with
		r.came.others, r.came.waiting = append(r.came.others, next), waiting
		r.came.exports++
		r.keepOnly(state, list[0], with)
		return nil
	}
	if !cards && r.came.format == "" {
		r.came.format = next.Format
	}
	if n := len(list); together {
		list[n-1] = next
	} else if !cards && n > 0 && list[n-1].Files == nil {
		// A card list that came in before any export belongs to the first export.
		next.Cards = list[n-1].Cards
		list[n-1] = next
	} else {
		r.came.rounds = append(list, next)
	}
	r.came.exports++
	r.keepOnly(state, r.came.rounds[0], next)
	return nil
}

// key is the cache key of a round's export.
func (r *Review) key(state *casefile.State, x Round) string {
	return x.key() + "\x00" + strings.Join(settings(state).Elections, "\x00")
}

// keepOnly drops all cached exports except those of these rounds, and everything derived from them.
func (r *Review) keepOnly(state *casefile.State, rounds ...Round) {
	keys, keep := map[string]bool{}, map[*model.Election]bool{r.mailed.rest: true}
	for _, x := range rounds {
		keys[r.key(state, x)] = true
	}
	maps.DeleteFunc(r.exports, func(key string, _ *model.Election) bool { return !keys[key] })
	for _, e := range r.exports {
		keep[e] = true
	}
	if r.keyed != nil {
		keep[r.keyed.election] = true
	}
	maps.DeleteFunc(r.bare, func(e, _ *model.Election) bool { return !keep[e] })
	for _, e := range r.bare {
		keep[e] = true
	}
	if r.compared != nil && !keep[r.compared.primary] {
		r.compared = nil
	}
}

// read reads the export of a round in the form in which it is compared.
func (r *Review) read(state *casefile.State, x Round) (*model.Election, error) {
	key := r.key(state, x)
	if e, ok := r.exports[key]; ok {
		return e, nil
	}
	e, err := r.readRound(context.Background(), x, settings(state).Elections)
	if err != nil {
		return nil, err
	}
	r.exports[key] = e
	return e, nil
}

// readRound reads the export of a round; the case provides its parts.
func (r *Review) readRound(ctx context.Context, x Round, elections []string) (*model.Election, error) {
	m, err := r.materialOf(x)
	if err != nil {
		return nil, err
	}
	e, _, err := m.read(ctx, elections)
	return e, err
}

// withoutUnits is without, cached for elections that will be compared again.
func (r *Review) withoutUnits(e *model.Election) *model.Election {
	if w, ok := r.bare[e]; ok {
		return w
	}
	known := r.bare
	if len(known) > 8 {
		r.bare = map[*model.Election]*model.Election{}
	}
	for of, other := range known {
		// The roster is the same slice in memory as before, so the comparison can reuse its earlier
		// result.
		if n := len(e.Precincts); n > 0 && n == len(of.Precincts) && &e.Precincts[0] == &of.Precincts[0] {
			w := withoutSites(e)
			w.Precincts = other.Precincts
			r.bare[e] = w
			return w
		}
	}
	r.bare[e] = withoutUnits(e)
	return r.bare[e]
}

// withoutUnits returns an election without voting units and polling sites; it shares everything else
// with e. It replaces e while the units are not sealed.
func withoutUnits(e *model.Election) *model.Election {
	c := withoutSites(e)
	c.Precincts = slices.Clone(e.Precincts)
	for i := range c.Precincts {
		c.Precincts[i].Sites = model.Stated[[]model.SiteUse]{}
	}
	return c
}

// withoutSites is without, except that precincts keep their polling sites.
func withoutSites(e *model.Election) *model.Election {
	c := *e
	c.Units, c.Sites = nil, nil
	c.Origins.Units, c.Origins.Sites = nil, nil
	if c.Origins.Tables {
		hideHeld(&c.Origins)
	}
	sites := map[string]bool{}
	for _, o := range e.Origins.Sites {
		sites[o.ID] = true
	}
	c.Origins.Dangling = slices.DeleteFunc(slices.Clone(e.Origins.Dangling), func(d model.Dangling) bool {
		class, id, _ := strings.Cut(d.From, " ")
		return class == "ReportingDevice" || class == "ReportingUnit" && sites[id]
	})
	return &c
}

// hideHeld replaces what tables hold and no mapping takes by digests: it may be about voting units, and
// a change in it must show all the same.
func hideHeld(o *model.Origins) {
	hidden := func(list []model.Held) []model.Held {
		list = slices.Clone(list)
		for i := range list {
			sum := sha256.Sum256([]byte(list[i].Words))
			list[i].Words = "shown when the units are sealed, digest " + hex.EncodeToString(sum[:8])
		}
		slices.SortFunc(list, func(a, b model.Held) int {
			return cmp.Or(strings.Compare(a.Member, b.Member), strings.Compare(a.Words, b.Words))
		})
		return list
	}
	o.Held, o.Precincts = hidden(o.Held), slices.Clone(o.Precincts)
	for i := range o.Precincts {
		o.Precincts[i].Held = hidden(o.Precincts[i].Held)
	}
}
