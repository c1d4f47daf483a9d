package desk

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks/finding"
	"counterproof/checks/wording"
	"counterproof/model/casefile"
)

// Flag is a note about something odd, in the margin of a stop. It never interrupts, because the
// proof may really print it.
type Flag struct {
	Page Page
	Stop Stop
	// Words says briefly what is odd.
	Words string
	// Minor is set for wordings that were not keyed in a further language: the proof may print none.
	Minor bool
}

type nearCache struct {
	generation int
	near       map[int]string // choice → a similar name in the same contest
}

// Flags returns what is odd about a stop of the open page.
func (k *Keying) Flags(s Stop) []string {
	var out []string
	say := func(format string, values ...any) { out = append(out, fmt.Sprintf(format, values...)) }
	value := k.Value(s)
	switch s.Kind {
	case Title, Subtitle, Heading, MeasureText, ChoiceName, PartyName, ChoicePerson, FactName, FactJurisdiction, PartyCode,
		FaceLabel, UnitName, UnitSite:
		for _, o := range wording.Oddities(value) {
			say("look again: %s", o.What)
			break
		}
	}
	if s.Language != "" {
		return out
	}
	switch s.Kind {
	case Title:
		if s.Place == 0 {
			say("on no face")
		} else if face := k.e.Ref(casefile.Placements, s.Place, "face"); face > 0 {
			n := 0
			for _, p := range k.e.places[face] {
				n += boolInt(k.e.Ref(casefile.Placements, p, "contest") == s.Row)
			}
			if n > 1 {
				say("%d times on this face", n)
			}
		}
	case VoteFor:
		n, err := strconv.Atoi(value)
		if value == "" || err != nil {
			break
		}
		positions, named := k.positions(s.Row)
		switch {
		case n == 0:
			say("vote for 0")
		case n > positions && positions > 0:
			say("vote for %d, and %d positions", n, positions)
		case n > named && named > 0 && positions == named:
			say("vote for %d, and %d names", n, named)
		}
	case ChoiceName:
		contest := k.e.Ref(casefile.Choices, s.Row, "contest")
		if near := k.nearNames(contest)[s.Row]; near != "" {
			say("nearly %s", near)
		}
	case ChoiceLines:
		contest := k.e.Ref(casefile.Choices, s.Row, "contest")
		name := k.e.Value(casefile.Choices, s.Row, "name")
		mine := codes(value)
		for _, other := range k.e.choices[contest] {
			if other == s.Row || name == "" || k.e.Value(casefile.Choices, other, "name") != name ||
				k.e.Value(casefile.Choices, other, "write_in") != "" {
				continue
			}
			lines := k.e.Value(casefile.Choices, other, "party_lines")
			same := ""
			for _, a := range mine {
				for _, b := range codes(lines) {
					if a == b {
						same = a
					}
				}
			}
			if same != "" || len(mine) == 0 && lines == value {
				say("the same name and line twice")
				break
			}
		}
		parties := k.own(casefile.Parties, "party")
		for _, code := range mine {
			known := false
			for _, p := range parties {
				known = known || p == code
			}
			if !known && k.e.lines[code] <= 1 {
				say("line %s never used before", code)
			}
		}
	case ChoiceOrder:
		if _, ok := k.OrderWords(s.Place, value); value != "" && !ok {
			say("the order names other positions than the contest has")
		}
	case FacePrecincts:
		face := s.Row
		held := len(k.e.places[face]) > 0
		if held && len(k.e.gives[face]) == 0 && k.e.Value(casefile.Faces, face, "precinct") == "" {
			say("a face without precincts")
		}
		for _, p := range k.e.on(face) {
			if other := k.otherFace(face, p); other > 0 {
				say("%s is on %s too", p, k.faceName(other))
			}
		}
	case UnitSite:
		if value != "" && value != NothingMark && !k.knownSite(value) {
			say("no site of the official roster")
		}
	case UnitPrecincts:
		if off := k.strange(s.Row); len(off) > 0 {
			say("%s", offRoster(off))
		}
		if len(k.e.headers[s.Row]) == 0 && k.e.Has(casefile.Units, s.Row) {
			say("a unit without precincts")
		}
		if n := len(k.e.headers[s.Row]); n > 10 && (k.e.Value(casefile.Units, s.Row, "use") == "" ||
			k.e.Value(casefile.Units, s.Row, "use") == "election-day") {
			say("%d precincts on one unit", n)
		}
	}
	return out
}

// knownSite reports whether the official roster names a site; one without sites knows nothing of them.
func (k *Keying) knownSite(site string) bool {
	return len(k.e.sites()) == 0 || k.e.sites()[site]
}

// otherFace returns another face for the same voters that has the precinct.
func (k *Keying) otherFace(face int, precinct string) int {
	party := k.faceParty(face)
	for _, g := range k.e.given[precinct] {
		if f := k.e.Ref(casefile.Assignments, g, "face"); f != face && k.faceParty(f) == party {
			return f
		}
	}
	return 0
}

func (k *Keying) faceParty(face int) string {
	return strings.TrimPrefix(k.e.Value(casefile.Faces, face, "party"), "-")
}

func (k *Keying) faceName(face int) string {
	if label := k.e.Value(casefile.Faces, face, "style"); label != "" {
		return label
	}
	return "face " + itoa(face)
}

// positions counts a contest's voting positions and its different names.
func (k *Keying) positions(contest int) (positions, names int) {
	seen := map[string]bool{}
	for _, ch := range k.e.choices[contest] {
		positions++
		if k.e.Value(casefile.Choices, ch, "write_in") == "" {
			seen[k.e.Value(casefile.Choices, ch, "name")] = true
		}
	}
	return positions, len(seen)
}

// nearNames finds names in one contest that differ by only one or two letters.
func (k *Keying) nearNames(contest int) map[int]string {
	if c, ok := k.near[contest]; ok && c.generation == k.e.generation[contest] {
		return c.near
	}
	near := map[int]string{}
	rows := k.e.choices[contest]
	for i, a := range rows {
		name := k.e.Value(casefile.Choices, a, "name")
		if name == "" || k.e.Value(casefile.Choices, a, "write_in") != "" {
			continue
		}
		for _, b := range rows[:i] {
			other := k.e.Value(casefile.Choices, b, "name")
			if other == "" || other == name || k.e.Value(casefile.Choices, b, "write_in") != "" {
				continue
			}
			short := min(utf8.RuneCountInString(name), utf8.RuneCountInString(other))
			if d := wording.Compare(other, name); d.Lookalike || d.Minor || short > 4 &&
				wording.Distance(name, other) <= min(2, short/4) {
				near[a] = other
				if near[b] == "" {
					near[b] = name
				}
			}
		}
	}
	k.near[contest] = nearCache{k.e.generation[contest], near}
	return near
}

// Odd lists everything odd within a scope, in page order: what to check again before sealing.
func (k *Keying) Odd(scope casefile.Scope) (out []Flag) {
	seen := map[Stop]bool{}
	add := func(p Page, s Stop) {
		once := s
		if s.Kind != Title && s.Kind != Heading && s.Kind != ChoiceOrder {
			once.Place = 0
		}
		if seen[once] {
			return
		}
		seen[once] = true
		for _, words := range k.Flags(s) {
			out = append(out, Flag{Page: p, Stop: s, Words: words})
		}
	}
	if scope == casefile.ScopeUnits {
		k.e.Each(casefile.Units, func(row int, _ []string) {
			for _, kind := range []StopKind{UnitName, UnitSite, UnitPrecincts} {
				add(Page{Kind: PageUnits}, Stop{Kind: kind, Row: row})
			}
		})
		return out
	}
	election := Page{Kind: PageElection}
	for _, kind := range []StopKind{FactName, FactJurisdiction} {
		add(election, Stop{Kind: kind, Row: 1})
	}
	k.e.Each(casefile.Parties, func(row int, _ []string) {
		add(election, Stop{Kind: PartyCode, Row: row})
		add(election, Stop{Kind: PartyName, Row: row})
	})
	whole := func(p Page, c, place int) {
		for _, kind := range []StopKind{Title, Subtitle, VoteFor, MeasureText} {
			s := Stop{Kind: kind, Row: c, Place: place}
			add(p, s)
			if f, _ := s.field(); kind != Subtitle && kind != MeasureText && k.e.Value(f.Table, f.Row, f.Column) == "" &&
				!seen[Stop{Kind: kind + 100, Row: c}] {
				seen[Stop{Kind: kind + 100, Row: c}] = true
				out = append(out, Flag{Page: p, Stop: s, Words: map[StopKind]string{Title: "no title",
					VoteFor: "vote for not keyed"}[kind]})
			}
		}
		if k.e.Value(casefile.Contests, c, "kind") == "" && !seen[Stop{Kind: ContestKind, Row: c}] {
			seen[Stop{Kind: ContestKind, Row: c}] = true
			out = append(out, Flag{Page: p, Stop: Stop{Kind: ContestKind, Row: c, Place: place}, Words: "kind not keyed"})
		}
		if len(k.e.choices[c]) == 0 && !seen[Stop{Kind: NextChoice, Row: c}] {
			seen[Stop{Kind: NextChoice, Row: c}] = true
			out = append(out, Flag{Page: p, Stop: Stop{Kind: NextChoice, Row: c, Place: place},
				Words: "a contest without choices"})
		}
		for _, ch := range k.e.choices[c] {
			add(p, Stop{Kind: ChoiceName, Row: ch, Place: place})
			if k.e.Value(casefile.Choices, ch, "write_in") == "" {
				add(p, Stop{Kind: ChoiceLines, Row: ch, Place: place})
				if k.e.Value(casefile.Choices, ch, "party_lines") == "" && k.asksParty(c) &&
					!seen[Stop{Kind: ChoiceLines + 100, Row: ch}] {
					seen[Stop{Kind: ChoiceLines + 100, Row: ch}] = true
					out = append(out, Flag{Page: p, Stop: Stop{Kind: ChoiceLines, Row: ch, Place: place},
						Words: "party line not keyed"})
				}
			}
		}
	}
	for _, f := range k.e.faces() {
		p := Page{PageFace, f}
		add(p, Stop{Kind: FaceLabel, Row: f})
		if len(k.e.places[f]) == 0 {
			out = append(out, Flag{Page: p, Stop: Stop{Kind: NextContest, Row: f}, Words: "a face without contests"})
		}
		for _, pl := range k.e.places[f] {
			add(p, Stop{Kind: Heading, Row: pl, Place: pl})
			add(p, Stop{Kind: ChoiceOrder, Row: pl, Place: pl})
			if c := k.e.Ref(casefile.Placements, pl, "contest"); c > 0 {
				if seen[Stop{Kind: StopKind(250), Row: c}] {
					add(p, Stop{Kind: Title, Row: c, Place: pl})
					continue
				}
				seen[Stop{Kind: StopKind(250), Row: c}] = true
				whole(p, c, pl)
			}
		}
		add(p, Stop{Kind: FacePrecincts, Row: f})
	}
	for _, f := range k.copiedFaces() {
		out = append(out, Flag{Page: Page{PageFace, f}, Stop: Stop{Kind: NextContest, Row: f},
			Words: fmt.Sprintf("copied from %s and not compared with the proof: %s", k.faceName(k.copies[f].from),
				english.Plural(len(k.proposed(f)), "contest", ""))})
	}
	for _, c := range k.loose() {
		whole(Page{Kind: PageLoose}, c, 0)
	}
	if left := k.e.unassigned(); len(left) > 0 {
		out = append(out, Flag{Page: k.page, Words: english.Plural(len(left), "precinct", "") + " without a face: " +
			someOf(left)})
	}
	return append(out, k.oddInLanguages()...)
}

// oddInLanguages lists what is odd in the further languages that were read, and what was not keyed
// in them.
func (k *Keying) oddInLanguages() (out []Flag) {
	page, language, focus := k.page, k.language, k.focus
	seen := map[casefile.Field]bool{}
	for _, k.language = range k.Languages() {
		for _, p := range k.Pages() {
			k.page = p.Page
			k.stale()
			for _, s := range k.Stops() {
				f, _ := s.field()
				if seen[f] {
					continue
				}
				seen[f] = true
				for _, words := range k.Flags(s.Stop) {
					out = append(out, Flag{Page: p.Page, Stop: s.Stop, Words: words})
				}
				if s.Needed && s.Value == "" {
					out = append(out, Flag{Page: p.Page, Stop: s.Stop,
						Words: "not keyed in " + finding.LanguageName(k.language), Minor: true})
				}
			}
		}
	}
	k.page, k.language, k.focus = page, language, focus
	k.stale()
	return out
}

func someOf(list []string) string {
	const most = 12
	if len(list) > most {
		return strings.Join(list[:most], ", ") + " and others"
	}
	return strings.Join(list, ", ")
}
