package review

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"counterproof/model"
	"counterproof/model/casefile"
	"counterproof/model/cdf"
	"counterproof/model/sheets"
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
	if cards {
		next.Cards = &x
		if n := len(list); n > 0 {
			next.Files = list[n-1].Files
		}
	} else {
		next.Files = append(slices.Clone(r.came.waiting), x)
		_, err := r.read(state, next)
		if err != nil && !errors.Is(err, cdf.ErrPartMissing) && len(r.came.waiting) > 0 {
			// The earlier parts were never completed: this file begins a new report.
			next.Files = []casefile.Export{x}
			_, err = r.read(state, next)
		}
		if errors.Is(err, cdf.ErrPartMissing) {
			r.came.waiting = next.Files
			r.came.exports++
			return nil
		}
		r.came.waiting = nil
	}
	if n := len(list); !cards && n > 0 && list[n-1].Files == nil {
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
	parts, err := r.partsOf(x)
	if err != nil {
		return nil, err
	}
	if x.Cards == nil {
		e, _, err := readFiles(ctx, parts, "", nil, elections)
		return e, err
	}
	cards, err := r.of.Export(x.Cards.Digest)
	if err != nil {
		return nil, err
	}
	e, _, err := readFiles(ctx, parts, x.Cards.Name, cards, elections)
	return e, err
}

func (r *Review) partsOf(x Round) ([]cdf.Part, error) {
	var parts []cdf.Part
	for _, f := range x.Files {
		data, err := r.of.Export(f.Digest)
		if err != nil {
			return nil, err
		}
		parts = append(parts, cdf.Part{Name: f.Name, Data: data})
	}
	return parts, nil
}

// readFiles reads an export together with its card list, if there is one.
func readFiles(ctx context.Context, parts []cdf.Part, name string, cards []byte, elections []string) (*model.Election,
	cdf.Contents, error) {
	e, contents, err := cdf.Read(parts, cdf.Options{Elections: elections, Context: ctx, Hold: true})
	if errors.Is(err, cdf.ErrWhichElection) && len(elections) == 0 {
		return nil, contents, fmt.Errorf("%w; the pair says which is compared", err)
	}
	if err != nil || cards == nil {
		return e, contents, err
	}
	rows, err := sheets.ReadUnits(name, bytes.Clone(cards))
	if err != nil {
		return nil, contents, err
	}
	if err := sheets.AttachUnits(e, rows); err != nil {
		return nil, contents, err
	}
	return e, contents, nil
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
	r.bare[e] = without(e)
	return r.bare[e]
}

// without returns an election without voting units and polling sites; it shares everything else
// with e. It replaces e while the units are not sealed.
func without(e *model.Election) *model.Election {
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
