package model

import (
	"slices"
	"strconv"
	"strings"
)

// Origins tells where the things of an Election came from: identifiers, places
// in files, and which document a contest was keyed from. Its lists run parallel
// to those of Election. They may be shorter: use the methods, which answer an
// empty Origin for what is missing.
type Origins struct {
	// Description names the source for people ("gen.xml, SP 1500-100").
	Description string
	// Format names the format ("SP 1500-100 version 2", or Tables), empty for a second entry.
	Format string
	// ChoiceClass is what the format calls a voting position, where it is not "ContestSelection".
	ChoiceClass string
	Parties     []Origin
	Districts   []Origin
	Precincts   []Origin
	Contests    []ContestOrigin
	Styles      []Origin
	Sites       []Origin
	Units       []Origin
	// Dangling are references that point at nothing, or at the wrong kind of
	// thing, those of one kind to one target together. Reading goes on without
	// them; the checks report them.
	Dangling []Dangling
	// Languages are the languages of the source's texts, in order of first use. The first
	// language of a second entry has no name (Phrase.Language) and is "".
	Languages []string
	// FirstUnnamed is true where texts name no language for a wording that comes before the one
	// in the first of Languages: then what is unnamed is the first language of the source.
	FirstUnnamed bool
	// Held is what the source says of no thing of its own here, where it was asked for:
	// persons, offices, areas and headings that nothing uses.
	Held []Held
	// Made says who made the source with what, when, and in how many parts.
	Made []Held
	// Tables is set where the source is tables: what is held of them may be about anything.
	Tables bool
	// Notes say what a person should know of how the source was read, each a sentence: hidden
	// rows, formulas, sheets that are not read.
	Notes []string
	// Uncompared counts what the source holds and no check uses, by element or
	// class name.
	Uncompared map[string]int
}

// Tables is the format of an export that is tables with a mapping, or a folder of sheets.
const Tables = "tables"

// FirstLanguage returns the language that is compared unless another is asked for, empty where
// it has no name.
func (o *Origins) FirstLanguage() string {
	if o.FirstUnnamed || len(o.Languages) == 0 {
		return ""
	}
	return o.Languages[0]
}

// Origin is where one thing came from.
type Origin struct {
	// ID is the identifier in the source (ObjectId, @id, a sheet's short code).
	ID string
	// Codes are further identifiers (SP 1500-100, ExternalIdentifier values).
	Codes []string
	// File and Line are the place, Line counted from 1; 0 where unknown.
	File string
	Line int
	// Lost are the first MaxLost targets that the thing refers to and that are not there, each
	// once; Dangling tells of them.
	Lost []Lost
	// Held is what the source says of the thing and no check uses, sorted; empty unless it
	// was asked for.
	Held []Held
}

// Lost is a target that a thing refers to and that is not there: so the thing lacks what the
// target would have given it.
type Lost struct {
	Kind LostKind
	To   string // the identifier, as in Dangling.To
}

// LostKind is what the target would have been.
type LostKind int

// The kinds of targets.
const (
	LostOther     LostKind = iota
	LostCandidate          // of a choice
	LostPerson             // who several candidates of one choice, or of several, are
	LostParty              // of a choice, of a contest's primary, or of a ballot's voters
	LostContest            // of a ballot
	LostChoice             // in the order of choices on a ballot
	LostHeading            // of a ballot
	LostPrecinct           // that gets a ballot
)

// MaxLost is how many lost targets of one thing are kept.
const MaxLost = 100

// Lacks are the targets of a kind that the thing lost.
func (o *Origin) Lacks(kind LostKind) []string {
	var out []string
	for _, l := range o.Lost {
		if l.Kind == kind {
			out = append(out, l.To)
		}
	}
	return out
}

// Held is a member of a thing as the source has it, kept only to see whether another
// export says the same. Long words are shortened to their beginning and their digest.
// Identifiers are none of it: a reference is what people call its target.
type Held struct {
	// Member is the member's name in the source ("NumberElected"), Of the name of the
	// object, where it is none of the things that the comparison knows.
	Member, Of string
	// Words are what it says. A party that it names stands there as PartyMark, the party's
	// index and PartyMark again, so that another name of the party changes nothing here.
	Words string
}

// PartyMark stands before and after the index of a party in Held.Words.
const PartyMark = "\x1e"

// EachParty replaces the parties in words of a Held by what name returns for their index.
func EachParty(words string, name func(party int) string) string {
	if !strings.Contains(words, PartyMark) {
		return words
	}
	parts := strings.Split(words, PartyMark)
	for i := 1; i+1 < len(parts); i += 2 {
		if n, err := strconv.Atoi(parts[i]); err == nil {
			parts[i] = name(n)
		}
	}
	return strings.Join(parts, "")
}

// ContestOrigin is where a contest and its choices came from.
type ContestOrigin struct {
	Origin
	// Source is the document from which the contest was keyed.
	Source  string
	Choices []ChoiceOrigin
}

// ChoiceOrigin is where one voting position came from.
type ChoiceOrigin struct {
	Origin
	// Position is the position as it was keyed, 0 where the source numbers none.
	Position int
	// Endorsed says that the export names endorsing parties for this position;
	// false where its party lines are merely the candidates' own parties.
	Endorsed bool
}

// Dangling is a reference that leads nowhere, and those from the same field of things of
// the same class to the same target.
type Dangling struct {
	// From names the thing that refers ("Contest cc-1"), Field the reference
	// ("ElectionDistrictId"), To the identifier it gives.
	From, Field, To string
	// Found is what To is when it exists but is of the wrong kind ("Party");
	// empty when there is no such thing.
	Found string
	File  string
	Line  int
	// More counts further references; Others are the first MaxReferrers things that they
	// are in, but for From.
	More   int
	Others []Referrer
}

// Referrer is a thing that holds a reference, and where it stands.
type Referrer struct {
	From string
	File string
	Line int
}

// MaxReferrers is how many further things are named that refer to what is not there.
const MaxReferrers = 3

// Add counts a further reference.
func (d *Dangling) Add(r Referrer) {
	d.More++
	if r.From == d.From || len(d.Others) >= MaxReferrers ||
		slices.ContainsFunc(d.Others, func(o Referrer) bool { return o.From == r.From }) {
		return
	}
	d.Others = append(d.Others, r)
}

// Contest returns the origin of contest i.
func (o *Origins) Contest(i int) ContestOrigin {
	if i < 0 || i >= len(o.Contests) {
		return ContestOrigin{}
	}
	return o.Contests[i]
}

// Choice returns the origin of choice j of contest i.
func (o *Origins) Choice(i, j int) ChoiceOrigin {
	c := o.Contest(i)
	if j < 0 || j >= len(c.Choices) {
		return ChoiceOrigin{}
	}
	return c.Choices[j]
}

// Party returns the origin of party i.
func (o *Origins) Party(i int) Origin { return at(o.Parties, i) }

// District returns the origin of district i.
func (o *Origins) District(i int) Origin { return at(o.Districts, i) }

// Precinct returns the origin of precinct i.
func (o *Origins) Precinct(i int) Origin { return at(o.Precincts, i) }

// Style returns the origin of style i.
func (o *Origins) Style(i int) Origin { return at(o.Styles, i) }

// Site returns the origin of site i.
func (o *Origins) Site(i int) Origin { return at(o.Sites, i) }

// Unit returns the origin of unit i.
func (o *Origins) Unit(i int) Origin { return at(o.Units, i) }

func at(list []Origin, i int) Origin {
	if i < 0 || i >= len(list) {
		return Origin{}
	}
	return list[i]
}
