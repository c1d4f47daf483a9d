package casefile

import "slices"

// KindCountersigned is the entry by which the programmer signs the head of a seal.
const KindCountersigned Kind = "countersigned"

// kindsSince2 are the kinds of entry that layout 1 did not have.
var kindsSince2 = []Kind{KindCountersigned, KindWithdrawn}

// Countersignature is what the programmer signs of a seal: the entry that sealed, and
// its hash. Somebody who puts a copy of the case back that is older than the seal, keys
// otherwise and seals again has another head, and would have to ask for it again.
type Countersignature struct {
	// Head is the hash of the entry of the seal.
	Head Digest `json:"head"`
	// Seal is the number of that entry.
	Seal int64 `json:"seal"`
}

// Countersign has the programmer sign the head of the last seal. It stands for every
// seal before it too, since each head does. Nothing waits for it; where it is missing,
// or came only after an export, reports say so.
func (c *Case) Countersign(by PersonID) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	if err := c.writable(); err != nil {
		return err
	}
	n := len(c.state.Seals)
	if n == 0 {
		return refuse(ErrNotSealed, "nothing is sealed yet, so there is no head to countersign")
	}
	return c.actBy(KindCountersigned, Countersignature{Head: c.state.sealHeads[n-1], Seal: c.state.Seals[n-1].Seq}, by)
}

func (s *State) planCountersigned(e *Entry) (func(), error) {
	a, err := planAct[Countersignature](s, e, SeatProgrammer)
	if err != nil {
		return nil, err
	}
	i := slices.IndexFunc(s.Seals, func(seal Act[Seal]) bool { return seal.Seq == a.Terms.Seal })
	if i < 0 || s.sealHeads[i] != a.Terms.Head {
		return nil, refuse(ErrRule, "the countersigned seal, entry %d with the head %s, is none of this journal",
			a.Terms.Seal, a.Terms.Head.Groups())
	}
	for _, earlier := range s.Countersigned {
		if earlier.Terms == a.Terms && slices.Equal(earlier.Signers(), a.Signers()) {
			return nil, refuse(ErrRule, "the seal of entry %d is countersigned already, in entry %d", a.Terms.Seal, earlier.Seq)
		}
	}
	return func() { s.Countersigned = append(s.Countersigned, a) }, nil
}

// Sealing is a seal, and what the programmer's countersignature says of it.
type Sealing struct {
	Act[Seal]
	// Sealed is the hash of the seal's entry, which is countersigned and pinned up.
	Sealed Digest
	// Countersigned is the first countersignature of this seal or a later one, nil
	// where there is none.
	Countersigned *Act[Countersignature]
	// Export is the first export that came in after the seal, 0 if none did: the number
	// of its entry.
	Export int64
}

// InTime reports whether the seal was countersigned before an export came in after it.
func (s *Sealing) InTime() bool {
	return s.Countersigned != nil && (s.Export == 0 || s.Countersigned.Seq < s.Export)
}

// Sealings are the seals of the case, in order.
func (s *State) Sealings() []Sealing {
	out := make([]Sealing, len(s.Seals))
	for i, seal := range s.Seals {
		out[i] = Sealing{Act: seal, Sealed: s.sealHeads[i]}
		for j := range s.Countersigned {
			if s.Countersigned[j].Terms.Seal >= seal.Seq {
				out[i].Countersigned = &s.Countersigned[j]
				break
			}
		}
		for _, x := range s.Exports {
			if x.Seq > seal.Seq {
				out[i].Export = x.Seq
				break
			}
		}
	}
	return out
}

// Uncountersigned reports whether the programmer can countersign: something is sealed,
// and the last seal is not countersigned yet.
func (s *State) Uncountersigned() bool {
	all := s.Sealings()
	return len(all) > 0 && all[len(all)-1].Countersigned == nil
}
