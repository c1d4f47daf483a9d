package casefile

import "slices"

// KindCountersigned is the kind of entry by which the programmer signs the head of a seal.
const KindCountersigned Kind = "countersigned"

// kindsSince2 are the kinds of entry that layout 1 lacks, kindsSince3 those that layout 2 lacks, and so on.
var (
	kindsSince2 = []Kind{KindCountersigned, KindWithdrawn}
	kindsSince3 = []Kind{KindCollected, KindProof, KindTablesMapped, KindTablesReceived, KindWitnessed}
	kindsSince4 = []Kind{KindDeckMade, KindDeckResults, KindDeckDecided, KindMachineRules, KindCardsMade, KindUnitRead,
		KindUnitSigned, KindUnitDecided, KindTeamFormed, KindTeamWork, KindTeamJoined}
)

// Countersignature is what the programmer signs about a seal: the number of the entry that sealed,
// and its hash. Suppose somebody restores a copy of the case from before the seal, keys different
// values and seals again: then the head differs, and they have to ask for another countersignature.
type Countersignature struct {
	// Head is the hash of the seal's entry.
	Head Digest `json:"head"`
	// Seal is the number of that entry.
	Seal int64 `json:"seal"`
}

// Countersign has the programmer sign the head of the last seal. The head covers every earlier seal
// too. No act waits for it; reports say if it is missing, or was made only after an export came in.
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

// Sealing is a seal with the programmer's countersignature.
type Sealing struct {
	Act[Seal]
	// Sealed is the hash of the seal's entry. The programmer countersigns it, and it is pinned up.
	Sealed Digest
	// Countersigned is the first countersignature of this seal or a later one, nil if there is
	// none.
	Countersigned *Act[Countersignature]
	// Export is the number of the entry of the first export that came in after the seal, 0 if none
	// did.
	Export int64
}

// InTime reports whether the seal was countersigned before the next export came in.
func (s *Sealing) InTime() bool {
	return s.Countersigned != nil && (s.Export == 0 || s.Countersigned.Seq < s.Export)
}

// Sealings returns the seals of the case, in order.
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

// Uncountersigned reports whether there is something to countersign: something is sealed, and the
// last seal has no countersignature yet.
func (s *State) Uncountersigned() bool {
	all := s.Sealings()
	return len(all) > 0 && all[len(all)-1].Countersigned == nil
}
