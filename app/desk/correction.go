package desk

import (
	"slices"

	"counterproof/model/casefile"
)

// Spot is a keyed place: the page of the desk and the stop on it, in one source of the second entry.
type Spot struct {
	Source int
	Page   Page
	Stop   Stop
	// Missing is true where the stop is for something that was not keyed.
	Missing bool
}

// Correction is an errand at the desk: to look at keyed places or, with Done, to correct them there.
type Correction struct {
	// Head is what the errand is about, in a sentence.
	Head string
	// Spots are the places to go to, the first one first; one for each keyer who has it.
	Spots []Spot
	// How says how the page is corrected where typing over the field does not do it; empty where it does.
	How string
	// Keyer names who keyed a source; nil where one person keyed all.
	Keyer func(source int) string
	// Words says for people what changes do, one line for each.
	Words func([]casefile.Change) []string
	// Done takes the changes, Back is called where nothing is handed over.
	Done func([]casefile.Change)
	Back func()

	drafts   map[int]*Draft
	at       int
	proposed []casefile.Change // that were filled in, and nobody typed
}

// Begin reads the sealed values from the case. The proposal is filled in if a correction may make it;
// none of it is, if not.
func (o *Correction) Begin(c *casefile.Case, proposal []casefile.Change) error {
	o.drafts, o.at, o.proposed = map[int]*Draft{}, 0, nil
	var may func([]casefile.Change) error
	if o.Done != nil {
		may = c.MayCorrect
	}
	for _, s := range o.Spots {
		if o.drafts[s.Source] != nil {
			continue
		}
		d, err := NewDraft(c, s.Source, may)
		if err != nil {
			return err
		}
		o.drafts[s.Source] = d
	}
	if o.Done == nil || len(proposal) == 0 || c.MayCorrect(proposal) != nil {
		return nil
	}
	for source, d := range o.drafts {
		of := slices.DeleteFunc(slices.Clone(proposal), func(ch casefile.Change) bool { return ch.Source != source })
		if len(of) > 0 {
			if err := d.Set(of...); err != nil {
				return err
			}
		}
	}
	o.proposed = o.Changes()
	return nil
}

// Typed reports whether somebody typed a change, which is more than what was filled in.
func (o *Correction) Typed() bool { return !slices.Equal(o.Changes(), o.proposed) }

// Again begins the errand once more, with the changes so far, after something was recorded.
func (o *Correction) Again(c *casefile.Case) error {
	at, proposed := o.at, o.proposed
	err := o.Begin(c, o.Changes())
	o.at, o.proposed = at, proposed
	return err
}

// Spot is the place in view, Draft the record that holds it.
func (o *Correction) Spot() Spot { return o.Spots[o.at] }

// Draft is the record of the place in view.
func (o *Correction) Draft() *Draft { return o.drafts[o.Spot().Source] }

// Next goes to the next place.
func (o *Correction) Next() { o.at = (o.at + 1) % len(o.Spots) }

// Changes are the changes of all sources, in a fixed order.
func (o *Correction) Changes() (out []casefile.Change) {
	var done []int
	for _, s := range o.Spots {
		if !slices.Contains(done, s.Source) {
			done = append(done, s.Source)
			out = append(out, o.drafts[s.Source].Changes()...)
		}
	}
	return out
}
