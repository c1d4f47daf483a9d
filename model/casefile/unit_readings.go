package casefile

import (
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"

	"counterproof/model/cards"
)

// maxWords and maxListed limit what one reading holds.
const (
	maxWords  = 400
	maxListed = 2000
)

// machines is what was read at the units so far, by unit, in this case itself.
type machines struct {
	// visits counts the visits; read holds for each field of the last one the entry that counts.
	visits map[string]int
	read   map[string]map[readingKey]readAt
	// counts are the readings that may be corrected, of any visit.
	counts map[int64]readingKey
	unitOf map[int64]string
	// together is set while several readings are recorded, which were checked one after the other.
	together bool
}

type readingKey struct {
	field cards.Field
	name  string
}

type readAt struct {
	entry int64
	open  bool
}

func newMachines() machines {
	return machines{visits: map[string]int{}, read: map[string]map[readingKey]readAt{}, counts: map[int64]readingKey{},
		unitOf: map[int64]string{}}
}

func (m *machines) clone() machines {
	c := machines{visits: maps.Clone(m.visits), read: map[string]map[readingKey]readAt{}, counts: maps.Clone(m.counts),
		unitOf: maps.Clone(m.unitOf)}
	for unit, read := range m.read {
		c.read[unit] = maps.Clone(read)
	}
	return c
}

// may checks a reading against those before it.
func (m *machines) may(r cards.Reading, s *State) error {
	switch {
	case len(s.MachineRules) == 0:
		return refuse(ErrRule, "the office has not said yet what its machines are: time zone, keys, seals")
	case strings.TrimSpace(r.Unit) == "" || len(r.Unit) > maxWords:
		return refuse(ErrRule, "name the unit")
	case s.Working != nil && !slices.Contains(s.Working.Units, r.Unit):
		return refuse(ErrRule, "unit %s is not the work of team %s", r.Unit, s.Working.Name)
	case len(r.Value) > maxWords || len(r.Reason) > maxWords || len(r.List) > maxListed ||
		slices.ContainsFunc(r.List, func(one string) bool { return strings.TrimSpace(one) == "" || len(one) > maxWords }):
		return refuse(ErrRule, "what was read is longer than a screen shows, or a part of it is empty")
	}
	if r.Corrects != 0 {
		return m.mayCorrect(r)
	}
	if r.Void {
		return refuse(ErrRule, "only a reading that is corrected can be void")
	}
	if err := wellRead(r); err != nil {
		return err
	}
	key := readingKey{r.Field, r.Name}
	if was, there := m.read[r.Unit][key]; there && !was.open {
		return refuse(ErrRule, "it was read already, in entry %d; correct that, or begin another visit", was.entry)
	}
	return nil
}

func (m *machines) mayCorrect(r cards.Reading) error {
	was, there := m.counts[r.Corrects]
	switch {
	case !there || m.unitOf[r.Corrects] != r.Unit || was != readingKey{r.Field, r.Name}:
		return refuse(ErrRule, "entry %d is no reading of this that still counts", r.Corrects)
	case strings.TrimSpace(r.Reason) == "":
		return refuse(ErrRule, "a correction gives its reason, in a few words")
	case r.Void:
		if r.Value != "" || len(r.List) > 0 || r.Open {
			return refuse(ErrRule, "a reading that is void says nothing")
		}
		return nil
	}
	return wellRead(r)
}

// wellRead checks the form of a reading.
func wellRead(r cards.Reading) error {
	named := slices.Contains([]cards.Field{cards.Key, cards.SealApplied, cards.SealRemoved, cards.Counter}, r.Field)
	listed := r.Field == cards.Header || r.Field == cards.Initials
	value := strings.TrimSpace(r.Value)
	switch {
	case !slices.Contains(cards.Fields, r.Field):
		return refuse(ErrRule, "nothing called %q is read at a unit", r.Field)
	case named != (strings.TrimSpace(r.Name) != "") || len(r.Name) > maxWords:
		return refuse(ErrRule, "name the key, the counter or the place of the seal")
	case !listed && (len(r.List) > 0 || r.Open), listed && r.Value != "", r.Field != cards.Header && r.Open,
		r.Field != cards.Clock && r.Read != "":
		return refuse(ErrRule, "this is not how %s is recorded", r.Field)
	}
	switch r.Field {
	case cards.Visit, cards.Header:
		return nil // a screen may name no precinct
	case cards.SealRemoved, cards.SealApplied:
		none := r.Field == cards.SealRemoved && value == "" // no seal may be there
		if !none && !strings.ContainsFunc(value, func(c rune) bool { return unicode.IsLetter(c) || unicode.IsDigit(c) }) {
			return refuse(ErrRule, "%q is no number of a seal: it has neither a digit nor a letter", r.Value)
		}
	case cards.Initials:
		if len(r.List) == 0 {
			return refuse(ErrRule, "key the initials")
		}
	case cards.Date:
		if _, err := time.Parse(time.DateOnly, r.Value); err != nil {
			return refuse(ErrRule, "%q is no date; write it as YYYY-MM-DD", r.Value)
		}
	case cards.Clock:
		return wellReadClock(r)
	case cards.Key:
		return oneOf(r.Value, cards.Turns, cards.Fails)
	case cards.Zero:
		return oneOf(r.Value, cards.AllZero, cards.NotZero)
	case cards.Counter, cards.LoadTime:
		if n, err := strconv.ParseInt(value, 10, 64); err != nil || n < 0 {
			return refuse(ErrRule, "%q is no number", r.Value)
		}
	default:
		if value == "" {
			return refuse(ErrRule, "key what the unit shows")
		}
	}
	return nil
}

func wellReadClock(r cards.Reading) error {
	if _, err := cards.ParseClock(r.Value); err != nil {
		return refuse(ErrRule, "%v", err)
	}
	read, err := time.Parse(time.RFC3339, r.Read)
	if err != nil {
		return refuse(ErrRule, "a reading of a clock says when it was read by this computer's clock")
	}
	if read.Year() < 2000 {
		return refuse(ErrRule, "no clock was read in %d; write when it was read, or set this computer's clock", read.Year())
	}
	return nil
}

func oneOf(value string, allowed ...string) error {
	if slices.Contains(allowed, value) {
		return nil
	}
	return refuse(ErrRule, "%q is neither %s", value, strings.Join(allowed, " nor "))
}

// take adds a reading that was checked.
func (m *machines) take(r UnitReading) {
	if m.visits[r.Unit] == 0 || r.Field == cards.Visit {
		m.visits[r.Unit]++
		m.read[r.Unit] = map[readingKey]readAt{}
	}
	if r.Field == cards.Visit {
		return
	}
	key, read := readingKey{r.Field, r.Name}, m.read[r.Unit]
	seal := r.Field == cards.SealApplied || r.Field == cards.SealRemoved
	last, now := read[key]
	if r.Corrects != 0 {
		delete(m.counts, r.Corrects)
		now = now && last.entry == r.Corrects // else it corrects a reading of an earlier visit
	} else {
		delete(m.counts, last.entry) // of a list that goes on
		now = true
	}
	if !r.Void {
		m.counts[r.Seq], m.unitOf[r.Seq] = key, r.Unit
	}
	switch {
	case seal || !now: // a place may be sealed and opened any number of times
	case r.Void:
		delete(read, key)
	default:
		read[key] = readAt{r.Seq, r.Open}
	}
}
