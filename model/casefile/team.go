package casefile

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"counterproof/model/cards"
	"counterproof/model/files"
)

// The kinds of entry for several teams. A team gets a copy of the case, whose next entry limits it to
// the team's units; what it recorded is joined later.
const (
	KindTeamFormed Kind = "team-formed"
	KindTeamWork   Kind = "team-work"
	KindTeamJoined Kind = "team-joined"
)

// Team is a team of the warehouse.
type Team struct {
	Seq int64
	At  string
	Who PersonID
	cards.Team
	// Joined is the entry by which its work came in last, 0 while it has not; Entries and Head are the
	// end of its journal then.
	Joined  int64
	Entries int64
	Head    Digest

	head   Digest // the hash of its own entry: the team's journal goes on from there
	packed Digest // of the blob that holds its journal, compressed
}

// teamKinds are the kinds of entry that a team's case takes.
var teamKinds = []Kind{KindUnitRead, KindUnitSigned, KindUnitDecided, KindUnlockFailed}

// teamBody is the body of a KindTeamWork entry: the entry that formed the team.
type teamBody struct {
	Team int64 `json:"team"`
}

// teamJoinedBody is the body of a KindTeamJoined entry.
type teamJoinedBody struct {
	Team    int64  `json:"team"`
	Entries int64  `json:"entries"`
	Head    Digest `json:"head"`
	// Journal is the digest of the lines of the team's own entries, Packed that of the blob that holds
	// them compressed (RFC 1952).
	Journal Digest `json:"journal"`
	Packed  Digest `json:"packed"`
	Name    string `json:"name"`
}

// Team is the name of the team whose case this is, empty for none.
func (s *State) Team() string {
	if s.Working == nil {
		return ""
	}
	return s.Working.Name
}

// FormTeam records a team and makes its copy of the case, which can do the team's units and nothing
// else. A unit may be in two teams: where both record something there, it is a finding.
func (c *Case) FormTeam(ctx context.Context, who PersonID, team cards.Team, to files.Place) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	if err := c.writable(); err != nil {
		return err
	}
	to.Case, to.Inputs = true, append(slices.Clone(to.Inputs), c.path)
	if err := to.Check(); err != nil {
		return err
	}
	team.Name = strings.TrimSpace(team.Name)
	// A copy that was lost is made again; two teams of one name could not both be joined.
	if i := slices.IndexFunc(c.state.Teams, func(t Team) bool {
		return sameName(t.Name, team.Name) && !slices.Equal(t.Units, team.Units)
	}); i >= 0 {
		return refuse(ErrRule, "team %s was formed in entry %d for other units, and only one of the two could be joined; "+
			"give the new team another name", team.Name, c.state.Teams[i].Seq)
	}
	if err := c.record(KindTeamFormed, who, team); err != nil {
		return err
	}
	formed := c.state.Seq
	if err := c.backupTo(ctx, to); err != nil {
		return err
	}
	err := c.beginTeamWork(to.Path, who, formed)
	if err != nil {
		_ = os.Remove(to.Path)
	}
	return err
}

func (c *Case) beginTeamWork(path string, who PersonID, formed int64) error {
	o := c.options
	o.ReadOnly, o.upto = false, 0
	copied, err := Open(path, o)
	if err != nil {
		return err
	}
	err = copied.record(KindTeamWork, who, teamBody{formed})
	if closed := copied.Close(); err == nil {
		err = closed
	}
	return err
}

// JoinTeam adds what a team recorded in its copy of this case. A team that went on can be joined again.
func (c *Case) JoinTeam(who PersonID, path string) (Team, error) {
	var none Team
	c.mu.Lock()
	defer c.mu.Unlock()
	if err := c.writable(); err != nil {
		return none, err
	}
	other, err := Open(path, Options{ReadOnly: true})
	if err != nil {
		return none, err
	}
	defer other.Close()
	if other.state.ID != c.state.ID || other.state.Working == nil {
		return none, refuse(ErrRule, "%s is not the case of a team of this case", path)
	}
	formed := other.state.Working.Seq
	var lines bytes.Buffer
	for e, err := range other.Entries(formed) {
		if err != nil {
			return none, err
		}
		lines.Write(e.Canonical())
		lines.WriteByte('\n')
	}
	packed, err := compress(lines.Bytes())
	if err != nil {
		return none, err
	}
	body := teamJoinedBody{Team: formed, Entries: other.state.Seq, Head: other.state.Head,
		Journal: DigestOf(lines.Bytes()), Packed: DigestOf(packed), Name: filepath.Base(path)}
	if err := c.commit([][]byte{packed}, draft{KindTeamJoined, who, body, nil}); err != nil {
		return none, fmt.Errorf("%s cannot be joined: %w", path, err)
	}
	return c.state.Teams[c.state.teamOf(formed)], nil
}

// TeamJournal returns what a team recorded that was joined, as lines: the canonical JSON of each of its
// own entries, the first following the entry that formed the team.
func (c *Case) TeamJournal(t Team) ([]byte, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if t.Joined == 0 {
		return nil, refuse(ErrRule, "what team %s recorded has not been joined", t.Name)
	}
	packed, err := c.blob(t.packed)
	if err != nil {
		return nil, err
	}
	return unpack(packed)
}

// teamOf returns where the team of an entry is, -1 for none.
func (s *State) teamOf(formed int64) int {
	return slices.IndexFunc(s.Teams, func(t Team) bool { return t.Seq == formed })
}

func (s *State) planTeamFormed(e *Entry) (func(), error) {
	var team cards.Team
	if err := decode(e.Body, &team); err != nil {
		return nil, err
	}
	switch {
	case s.person(e.Who) == nil:
		return nil, refuse(ErrRule, "say who forms the team")
	case len(s.MachineRules) == 0:
		return nil, refuse(ErrRule, "the office has not said yet what its machines are: time zone, keys, seals")
	case strings.TrimSpace(team.Name) == "" || len(team.Name) > maxWords || len(team.Units) == 0:
		return nil, refuse(ErrRule, "name the team and its units")
	case slices.ContainsFunc(s.Teams, func(t Team) bool { return sameName(t.Name, team.Name) && t.Joined > 0 }):
		return nil, refuse(ErrRule, "the work of team %s has been joined; give the new team another name", team.Name)
	}
	if err := namesOnce(team.Units); err != nil {
		return nil, err
	}
	return func() {
		s.Teams = append(s.Teams, Team{Seq: e.Seq, At: e.At, Who: e.Who, Team: team, head: e.Hash})
	}, nil
}

func (s *State) planTeamWork(e *Entry) (func(), error) {
	var body teamBody
	if err := decode(e.Body, &body); err != nil {
		return nil, err
	}
	i := s.teamOf(body.Team)
	if i < 0 || e.Seq != body.Team+1 || s.Working != nil {
		return nil, refuse(ErrRule, "the case of a team begins where the team was formed")
	}
	return func() {
		team := s.Teams[i]
		s.Working = &team
		s.machines = newMachines() // its visits are its own
	}, nil
}

func (s *State) planTeamJoined(e *Entry) (func(), error) {
	var body teamJoinedBody
	if err := decode(e.Body, &body); err != nil {
		return nil, err
	}
	i := s.teamOf(body.Team)
	if i < 0 {
		return nil, refuse(ErrRule, "no team was formed in entry %d", body.Team)
	}
	if other := slices.IndexFunc(s.Teams, func(t Team) bool {
		return t.Seq != body.Team && t.Joined > 0 && sameName(t.Name, s.Teams[i].Name)
	}); other >= 0 {
		return nil, refuse(ErrRule, "another copy of team %s was joined, in entry %d", s.Teams[i].Name, s.Teams[other].Joined)
	}
	packed, err := s.blobs(body.Packed)
	if err != nil {
		return nil, err
	}
	team := &s.Teams[i]
	work, extends, err := s.foldTeam(team, body, packed)
	if err != nil {
		return nil, err
	}
	if work.Seq != body.Entries || work.Head != body.Head {
		return nil, refuse(ErrTampered, "the kept journal is not the one that was joined")
	}
	if team.Joined > 0 && extends && work.Seq == team.Entries {
		return nil, refuse(ErrRule, "all that it holds was joined already, in entry %d", team.Joined)
	}
	if team.Joined > 0 && !extends {
		return nil, refuse(ErrRule, "the team was joined in entry %d, and its journal does not go on from there", team.Joined)
	}
	return func() {
		after := team.Entries
		for _, r := range work.Read {
			if r.Seq > after {
				s.Read = append(s.Read, r)
			}
		}
		s.UnitsSigned = append(s.UnitsSigned, actsAfter(work.UnitsSigned, after)...)
		s.UnitDecisions = append(s.UnitDecisions, actsAfter(work.UnitDecisions, after)...)
		team.Joined, team.Entries, team.Head, team.packed = e.Seq, work.Seq, work.Head, body.Packed
	}, nil
}

func actsAfter[T any](list []Act[T], entry int64) []Act[T] {
	return slices.DeleteFunc(slices.Clone(list), func(a Act[T]) bool { return a.Seq <= entry })
}

// foldTeam folds what a team recorded on the state at which it was formed, and checks every signature.
// extends reports whether it contains what was joined before.
func (s *State) foldTeam(team *Team, body teamJoinedBody, packed []byte) (work *State, extends bool, err error) {
	lines, err := unpack(packed)
	if err != nil {
		return nil, false, err
	}
	if DigestOf(lines) != body.Journal {
		return nil, false, refuse(ErrTampered, "the kept journal does not have its digest")
	}
	work = s.atTeam(team)
	ch := chain{seq: team.Seq, head: team.head}
	err = eachLine(lines, func(e *Entry, _ string) error {
		if e.Prev != ch.head {
			return refuse(ErrTampered, "entry %d of the team's journal does not follow the one before", e.Seq)
		}
		if fault := ch.next(e); fault != "" {
			return refuse(ErrTampered, "entry %d of the team's journal: %s", e.Seq, fault)
		}
		if (e.Kind == KindTeamWork) != (e.Seq == team.Seq+1) {
			return refuse(ErrRule, "entry %d of the team's journal is not what the case of a team begins with", e.Seq)
		}
		if err := work.fold(e); err != nil {
			return fmt.Errorf("entry %d of the team's journal: %w", e.Seq, err)
		}
		if slices.Contains(signedKinds, e.Kind) {
			if fault := work.holds(e); fault != "" {
				return refuse(ErrTampered, "entry %d of the team's journal: %s", e.Seq, fault)
			}
		}
		if e.Seq == team.Entries {
			extends = e.Hash == team.Head
		}
		return nil
	})
	return work, extends, err
}

// atTeam is as much of the state at which a team was formed as its entries are checked against.
func (s *State) atTeam(team *Team) *State {
	work := newState(s.blobs)
	work.ID, work.Seq, work.Head = s.ID, team.Seq, team.head
	for _, p := range s.People {
		if p.Since <= team.Seq {
			if p.Until > team.Seq {
				p.Until = 0
			}
			work.People = append(work.People, p)
		}
	}
	for _, a := range s.MachineRules {
		if a.Seq <= team.Seq {
			work.MachineRules = append(work.MachineRules, a)
		}
	}
	work.Teams = []Team{*team}
	return work
}
