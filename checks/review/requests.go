package review

import (
	"slices"

	"counterproof/checks/baseline"
	"counterproof/checks/finding"
)

// request is what a signed act asks an export to change.
type request struct {
	// finding is the identity of the decided finding, and the fields below say what it is about. It
	// is empty for requests of amendments and corrections, which are in changes.
	finding string
	keys    []baseline.Key
	changes []baseline.Change
	// wants are the values of the second entry when the decision was signed: field, language and
	// value in turn; nil if the keys do not name single fields.
	wants []string
	// fault is set if the export shows the fault by itself. Such a request names no value; it asks
	// that the fault end.
	fault *baseline.Subject
	// ofExport is set if the finding is about the export alone, whatever values it explains.
	ofExport bool
}

// requests are the open requests, in the order of their signatures.
type requests struct {
	list []*request
	// by holds the requests of decisions by the names of their keys.
	by map[string][]*request
	// set finds the keys that cover a change; at gives the requests of those keys. Both are made on
	// demand.
	set *baseline.KeySet
	at  []asking
}

// asking is one key of a request.
type asking struct {
	request *request
	key     *baseline.Key
}

func (q *requests) add(w *request) {
	if q.by == nil {
		q.by = map[string][]*request{}
	}
	q.set = nil
	q.list = append(q.list, w)
	for i := range w.keys {
		name := w.keys[i].Name()
		q.by[name] = append(q.by[name], w)
	}
}

// covering returns the keys that cover a change.
func (q *requests) covering(v *baseline.Values, c *baseline.Change, precinct string) []asking {
	if q.set == nil {
		var keys []baseline.Key
		q.at = nil
		for _, w := range q.list {
			for i := range w.keys {
				keys, q.at = append(keys, w.keys[i]), append(q.at, asking{w, &w.keys[i]})
			}
		}
		q.set = baseline.NewKeySet(keys)
	}
	var out []asking
	for _, i := range q.set.Covering(v, c, precinct) {
		out = append(out, q.at[i])
	}
	return out
}

// replace ends the requests that a later decision replaces: those on the same fault of an export,
// or on the same fields.
func (q *requests) replace(finding string, keys []baseline.Key) {
	if len(keys) == 0 {
		q.list = slices.DeleteFunc(q.list, func(w *request) bool { return w.fault != nil && w.finding == finding })
	}
	for i := range keys {
		for _, w := range q.by[keys[i].Name()] {
			w.drop(func(k *baseline.Key) bool { return k.Same(&keys[i]) })
		}
	}
	q.clean(len(keys) > 0)
}

// replaceCovering ends the requests of decisions on a value that an amendment or a correction
// changes.
func (q *requests) replaceCovering(v *baseline.Values, c *baseline.Change) {
	for _, on := range q.covering(v, c, firstOf(c.Precincts)) {
		on.request.drop(func(k *baseline.Key) bool { return k.Name() == on.key.Name() })
	}
	q.clean(true)
}

func (w *request) drop(which func(k *baseline.Key) bool) {
	w.keys = slices.DeleteFunc(slices.Clone(w.keys), func(k baseline.Key) bool { return which(&k) })
}

// clean drops requests that have nothing left to ask for.
func (q *requests) clean(changed bool) {
	if changed {
		q.set = nil
		q.list = slices.DeleteFunc(q.list, func(w *request) bool {
			return len(w.keys)+len(w.changes) == 0 && w.fault == nil
		})
	}
}

// end ends requests of amendments and corrections for some values, on the ballots of some
// precincts: the change was made, or a later act replaces the request.
func (q *requests) end(which func(x *baseline.Change, precinct string) bool) {
	for _, w := range q.list {
		var left []baseline.Change
		for _, x := range w.changes {
			if x.Precincts == nil {
				if !which(&x, "") {
					left = append(left, x)
				}
				continue
			}
			x.Precincts = slices.DeleteFunc(slices.Clone(x.Precincts), func(p string) bool { return which(&x, p) })
			if len(x.Precincts) > 0 {
				left = append(left, x)
			}
		}
		w.changes = left
	}
	q.clean(false)
}

// endDone ends the requests of amendments and corrections that are done: by these changes, or
// because the last export already agrees.
func (q *sequence) endDone(done []baseline.Change) {
	q.requests.end(func(x *baseline.Change, precinct string) bool {
		has := q.keyedStill(x, precinct) && !q.differs(x, precinct)
		return has || slices.ContainsFunc(done, func(c baseline.Change) bool {
			return c.SameField(x, precinct) && c.SameValue(x)
		})
	})
}

// keyedStill reports whether the second entry still says what an amendment or a correction keyed.
func (q *sequence) keyedStill(x *baseline.Change, precinct string) bool {
	differs := func(*baseline.Change, string) bool { return true }
	return q.second.Wants(q.shown, x, precinct, differs) == baseline.Wanted
}

// asked reports whether a change is what a request wants.
func (q *sequence) asked(c *baseline.Change, precinct string) bool {
	if c.IsReference() {
		return c.Fewer() && slices.ContainsFunc(q.requests.list,
			func(w *request) bool { return (w.fault != nil || w.ofExport) && q.ended(w) })
	}
	if c.Field == finding.Versions && slices.ContainsFunc(q.requests.list, func(w *request) bool { return w.joins(c) }) {
		return true
	}
	if slices.ContainsFunc(q.requests.list, func(w *request) bool {
		return q.wantsChange(w, c, precinct) || q.mends(w, c, precinct) || q.counts(w, c)
	}) {
		return true
	}
	wants := baseline.NotStated
	looked := false
	for _, on := range q.requests.covering(q.shown, c, precinct) {
		if q.done[on.request.finding] != 0 {
			continue
		}
		if on.request.frozen(c) {
			return true
		}
		if on.request.wants != nil {
			if stated, _ := q.second.Stated(on.request.keys); !slices.Equal(stated, on.request.wants) {
				continue // the value was keyed again since
			}
		}
		if !looked {
			wants, looked = q.second.Wants(q.shown, c, precinct, q.differs), true
		}
		if wants == baseline.Wanted || wants == baseline.NotStated && q.follows(on.key, c, precinct) {
			return true
		}
	}
	return false
}

// joins reports whether a change turns several versions of a contest in an export into one, and
// some request is about that contest: once fixed, its versions are one.
func (w *request) joins(c *baseline.Change) bool {
	return baseline.Said(c.After) == baseline.Said([]string{"1"}) &&
		slices.ContainsFunc(w.keys, func(k baseline.Key) bool { return k.ID == c.ID || k.Part == c.ID })
}

// counts reports whether a contest is counted otherwise because a request changed its vote-for, and the
// second entry states no way of counting: "plurality" is for one vote and "n-of-m" for several (NIST
// SP 1500-100, VoteVariation).
func (q *sequence) counts(w *request, c *baseline.Change) bool {
	if c.Field != baseline.Variation || q.second.Wants(q.shown, c, "", q.differs) != baseline.NotStated {
		return false
	}
	voteFor := []baseline.Key{{Thing: finding.Contest, ID: c.ID, Field: finding.VoteFor}}
	asked := q.ended(w) && slices.ContainsFunc(w.keys,
		func(k baseline.Key) bool { return k.Name() == voteFor[0].Name() }) ||
		slices.ContainsFunc(w.changes, func(x baseline.Change) bool { return x.Field == finding.VoteFor && x.ID == c.ID })
	before, _ := q.base.Stated(voteFor)
	now, _ := q.shown.Stated(voteFor)
	one := slices.Contains(now, baseline.Said([]string{"1"}))
	several := []string{"plurality", "n-of-m"}
	if one {
		slices.Reverse(several)
	}
	return asked && !slices.Equal(before, now) && slices.Equal(slices.Concat(c.Before, c.After), several)
}

// ended reports whether the last export has done everything that a finding asked for.
func (q *sequence) ended(w *request) bool {
	if w.finding == "" || q.done[w.finding] != 0 {
		return false
	}
	if w.fault != nil {
		_, there := q.findings[w.finding]
		return !there
	}
	if now, _ := q.second.Stated(w.keys); w.wants != nil && !slices.Equal(now, w.wants) {
		has, _ := q.shown.Stated(w.keys) // the value was keyed again since
		return slices.Equal(has, w.wants)
	}
	return !slices.ContainsFunc(w.keys, func(k baseline.Key) bool { return q.differ.Has(&k) })
}

// mends reports whether a change helped to end a fault of the export, as a request asked: it makes
// the subject of the fault agree with the second entry, or removes precincts from a card that had
// too many.
func (q *sequence) mends(w *request, c *baseline.Change, precinct string) bool {
	return w.fault != nil && q.ended(w) && q.shown.Concerns(q.second, w.fault, c, precinct) &&
		(c.Unloads() || q.second.Wants(q.shown, c, precinct, q.differs) == baseline.Wanted)
}

// frozen reports whether a change makes the value what the second entry said when the decision was
// signed.
func (w *request) frozen(c *baseline.Change) bool {
	for i := 0; i+2 < len(w.wants); i += 3 {
		if w.wants[i] == string(c.Field) && w.wants[i+1] == c.Language && c.Makes(w.wants[i+2]) {
			return true
		}
	}
	return false
}

// follows reports whether a value that was not keyed changed because a request was to change its
// thing.
func (q *sequence) follows(k *baseline.Key, c *baseline.Change, precinct string) bool {
	return k.Thing == finding.Precinct && k.Field == finding.Whole || k.Field == finding.Style &&
		q.second.LikeSiblings(q.base, q.shown, c, precinct)
}

// wantsChange reports whether an amendment or a correction keyed this change, or keyed the same
// wording for another field.
func (q *sequence) wantsChange(w *request, c *baseline.Change, precinct string) bool {
	return slices.ContainsFunc(w.changes, func(x baseline.Change) bool {
		return x.SameField(c, precinct) && x.SameValue(c) ||
			x.SameWording(c, precinct) && q.keyedStill(&x, precinct) &&
				q.second.Wants(q.shown, c, precinct, q.differs) == baseline.Wanted
	})
}

// otherwise reports whether a change was asked for but made differently. Its finding says so.
func (q *sequence) otherwise(c baseline.Change) bool {
	if c.Member != "" {
		return false // nobody asked to change a member that agreed
	}
	for _, p := range append(slices.Clone(c.Precincts), firstOf(c.Precincts)) {
		covered := slices.ContainsFunc(q.requests.list, func(w *request) bool {
			return slices.ContainsFunc(w.changes,
				func(x baseline.Change) bool { return x.SameField(&c, p) || x.SameWording(&c, p) })
		}) || slices.ContainsFunc(q.requests.covering(q.shown, &c, p), func(on asking) bool {
			return q.done[on.request.finding] == 0 && (on.key.Field != finding.Whole || c.ComesOrGoes())
		})
		if !covered || q.second.Wants(q.shown, &c, p, q.differs) != baseline.Otherwise {
			return false
		}
	}
	return true
}
