package main

import (
	"bufio"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
)

// county is a large invented election for measuring: contests at four levels,
// whose districts cross each other so that no two precincts have the same ballot,
// 30 contests on each.
type county struct {
	precincts int
	// mistakes plants one county-wide vote-for, one misspelt name and one precinct
	// on its neighbour's style, so that the measured run has something to find.
	mistakes bool
}

// level is a layer of districts: which district of it a precinct lies in, and
// how many contests each district votes on.
type level struct {
	name     string
	contests int
	district func(precinct int) int
}

// The number of precincts in a town (a row of districts) and of towns' places
// in a row (a column): rows and columns cross, as towns and school districts do.
const townSize = 50

var levels = []level{
	{"county", 10, func(int) int { return 0 }},
	{"legislative", 4, func(p int) int { return p / 500 }},
	{"town", 8, func(p int) int { return p / townSize }},
	{"school", 8, func(p int) int { return p % townSize }},
}

var (
	countyParties  = []string{"MER", "HRT", "GRO", "CLW", "LAN"}
	countyForename = strings.Fields("Adela Bram Corin Dessa Edwin Farah Gideon Hanna Ivo Junia Kasper Leona Milan Nadia " +
		"Orrin Petra Quentin Rosa Silas Thora")
	countySurname = strings.Fields("Abbeton Birkmoor Calder Dunmere Eastlow Farrant Gresham Holloway Inverly Jessop " +
		"Kestrel Lorimer Marchbank Norwood Ostrowe Pettigrew Quarles Ravensby Stannard Thornbury Underhay Vexley " +
		"Wainscott Yarrow")
)

// seat is one contest of one district.
type seat struct {
	level    string
	district int
	number   int
}

func (s seat) id() string {
	return fmt.Sprintf("con-%.3s-%03d-%d", s.level, s.district, s.number)
}
func (s seat) districtID() string { return fmt.Sprintf("district-%s-%03d", s.level, s.district) }
func (s seat) title() string      { return fmt.Sprintf("Commissioner of Works %d", s.number+1) }
func (s seat) subtitle() string   { return fmt.Sprintf("%s district %d", s.level, s.district+1) }

// position is the id of a voting position: five candidates' positions, the last
// of them the first candidate's second party line, and a write-in.
func (s seat) position(n int) string {
	return fmt.Sprintf("cs-%.3s-%03d-%d-%d", s.level, s.district, s.number, n)
}
func (s seat) candidate(n int) string {
	return fmt.Sprintf("can-%.3s-%03d-%d-%d", s.level, s.district, s.number, n)
}

const candidates = 4

// name of candidate n: no two candidates of the county have the same.
func (s seat) name(n int) string {
	key := n + candidates*(s.number+10*s.district)
	switch s.level {
	case "legislative":
		key += 3
	case "town":
		key += 5
	case "school":
		key += 11
	}
	return fmt.Sprintf("%s %s-%s", countyForename[(key+n)%len(countyForename)], countySurname[key/7%len(countySurname)],
		countySurname[(key+key/24)%len(countySurname)])
}

// seats lists every contest of the county, and those on a precinct's ballot.
func (c county) seats() []seat {
	var list []seat
	for _, l := range levels {
		last := 0
		for p := range c.precincts {
			last = max(last, l.district(p))
		}
		for d := range last + 1 {
			for n := range l.contests {
				list = append(list, seat{l.name, d, n})
			}
		}
	}
	return list
}

func (c county) ballot(precinct int) []seat {
	var list []seat
	for _, l := range levels {
		for n := range l.contests {
			list = append(list, seat{l.name, l.district(precinct), n})
		}
	}
	return list
}

func precinctName(p int) string { return fmt.Sprintf("%03d-%02d", p/townSize+1, p%townSize+1) }

// unitSize is the number of precincts on a voting unit's card.
const unitSize = 5

// write puts the export and the sheets into the folder.
func (c county) write(folder string) error {
	if err := os.MkdirAll(filepath.Join(folder, "second"), 0o755); err != nil {
		return err
	}
	for name, write := range map[string]func(io.Writer){
		"export.xml":           c.export,
		"second/parties.csv":   c.parties,
		"second/precincts.csv": c.roster,
		"second/contests.csv":  c.contests,
		"second/choices.csv":   c.choices,
		"second/ballots.csv":   c.ballots,
		"second/units.csv":     c.units,
	} {
		file, err := os.Create(filepath.Join(folder, name))
		if err != nil {
			return err
		}
		out := bufio.NewWriter(file)
		write(out)
		if err := out.Flush(); err != nil {
			return err
		}
		if err := file.Close(); err != nil {
			return err
		}
	}
	return nil
}

func (c county) export(w io.Writer) {
	say := func(format string, values ...any) { fmt.Fprintf(w, format, values...) }
	text := func(indent, element, words string) {
		say("%s<%s>\n%s  <Text Language=\"en\">%s</Text>\n%s</%s>\n", indent, element, indent, words, indent, element)
	}
	say("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n")
	say("<ElectionReport xmlns=\"http://itl.nist.gov/ns/voting/1500-100/v2\" " +
		"xmlns:xsi=\"http://www.w3.org/2001/XMLSchema-instance\">\n  <Election>\n")
	for p := range c.precincts {
		say("    <BallotStyle>\n      <ExternalIdentifier>\n        <Type>local-level</Type>\n        "+
			"<Value>BS-%05d</Value>\n      </ExternalIdentifier>\n", p+1)
		say("      <GpUnitIds>precinct-%05d</GpUnitIds>\n", p)
		carried := p
		if c.mistakes && p == 1 {
			carried = 0
		}
		for _, s := range c.ballot(carried) {
			say("      <OrderedContent xsi:type=\"OrderedContest\">\n        <ContestId>%s</ContestId>\n        "+
				"<OrderedContestSelectionIds>", s.id())
			for n := range candidates + 2 {
				if n > 0 {
					say(" ")
				}
				say("%s", s.position(n))
			}
			say("</OrderedContestSelectionIds>\n      </OrderedContent>\n")
		}
		say("    </BallotStyle>\n")
	}
	seats := c.seats()
	for _, s := range seats {
		for n := range candidates {
			say("    <Candidate ObjectId=\"%s\">\n", s.candidate(n))
			name := s.name(n)
			if c.mistakes && s == (seat{"town", 0, 2}) && n == 1 {
				name += "e"
			}
			text("      ", "BallotName", name)
			say("      <PartyId>party-%s</PartyId>\n    </Candidate>\n", countyParties[n])
		}
	}
	for _, s := range seats {
		say("    <Contest xsi:type=\"CandidateContest\" ObjectId=\"%s\">\n", s.id())
		text("      ", "BallotSubTitle", s.subtitle())
		text("      ", "BallotTitle", s.title())
		for n := range candidates + 2 {
			say("      <ContestSelection xsi:type=\"CandidateSelection\" ObjectId=\"%s\">\n", s.position(n))
			switch n {
			case candidates:
				say("        <CandidateIds>%s</CandidateIds>\n        <EndorsementPartyIds>party-%s</EndorsementPartyIds>\n",
					s.candidate(0), countyParties[candidates])
			case candidates + 1:
				say("        <IsWriteIn>true</IsWriteIn>\n")
			default:
				say("        <CandidateIds>%s</CandidateIds>\n", s.candidate(n))
			}
			say("      </ContestSelection>\n")
		}
		voteFor := 1
		if c.mistakes && s == (seat{"county", 0, 3}) {
			voteFor = 2
		}
		say("      <ElectionDistrictId>%s</ElectionDistrictId>\n      <Name>%s, %s</Name>\n      "+
			"<VoteVariation>n-of-m</VoteVariation>\n      <VotesAllowed>%d</VotesAllowed>\n    </Contest>\n",
			s.districtID(), s.title(), s.subtitle(), voteFor)
	}
	say("    <ElectionScopeId>district-county-000</ElectionScopeId>\n")
	text("    ", "Name", "General Election")
	say("    <StartDate>2027-11-02</StartDate>\n    <EndDate>2027-11-02</EndDate>\n    <Type>general</Type>\n  " +
		"</Election>\n  <Format>precinct-level</Format>\n  <GeneratedDate>2027-10-08T16:40:00-04:00</GeneratedDate>\n")
	for _, l := range levels {
		members := map[int][]string{}
		last := 0
		for p := range c.precincts {
			d := l.district(p)
			members[d] = append(members[d], fmt.Sprintf("precinct-%05d", p))
			last = max(last, d)
		}
		for d := range last + 1 {
			say("  <GpUnit xsi:type=\"ReportingUnit\" ObjectId=\"district-%s-%03d\">\n    "+
				"<ComposingGpUnitIds>%s</ComposingGpUnitIds>\n", l.name, d, strings.Join(members[d], " "))
			text("    ", "Name", fmt.Sprintf("%s district %d", l.name, d+1))
			say("    <Type>other</Type>\n    <OtherType>%s</OtherType>\n  </GpUnit>\n", l.name)
		}
	}
	for p := range c.precincts {
		say("  <GpUnit xsi:type=\"ReportingUnit\" ObjectId=\"precinct-%05d\">\n", p)
		text("    ", "Name", "Precinct "+precinctName(p))
		say("    <Number>%s</Number>\n    <Type>precinct</Type>\n  </GpUnit>\n", precinctName(p))
	}
	for u := 0; u < c.precincts; u += unitSize {
		var served []string
		for p := u; p < min(u+unitSize, c.precincts); p++ {
			served = append(served, fmt.Sprintf("precinct-%05d", p))
		}
		say("  <GpUnit xsi:type=\"ReportingUnit\" ObjectId=\"site-%05d\">\n    <ComposingGpUnitIds>%s "+
			"device-%05d</ComposingGpUnitIds>\n", u, strings.Join(served, " "), u)
		text("    ", "Name", fmt.Sprintf("Fire House %d", u/unitSize+1))
		say("    <Type>polling-place</Type>\n  </GpUnit>\n")
		say("  <GpUnit xsi:type=\"ReportingDevice\" ObjectId=\"device-%05d\">\n    "+
			"<ComposingGpUnitIds>%s</ComposingGpUnitIds>\n    <SerialNumber>U-%05d</SerialNumber>\n  </GpUnit>\n", u,
			strings.Join(served, " "), u)
	}
	say("  <Issuer>Invented county</Issuer>\n  <IssuerAbbreviation>IC</IssuerAbbreviation>\n")
	for _, code := range countyParties {
		say("  <Party ObjectId=\"party-%s\">\n", code)
		text("    ", "Abbreviation", code)
		text("    ", "Name", code+" Party")
		say("  </Party>\n")
	}
	say("  <SequenceStart>1</SequenceStart>\n  <SequenceEnd>1</SequenceEnd>\n  <Status>pre-election</Status>\n  " +
		"<VendorApplicationId>invented</VendorApplicationId>\n</ElectionReport>\n")
}

func (c county) parties(w io.Writer) {
	fmt.Fprintln(w, "party,name")
	for _, code := range countyParties {
		fmt.Fprintf(w, "%s,%s Party\n", code, code)
	}
}

func (c county) roster(w io.Writer) {
	fmt.Fprintln(w, "precinct,site")
	for p := range c.precincts {
		fmt.Fprintf(w, "%s,Fire House %d\n", precinctName(p), p/unitSize+1)
	}
}

func (c county) contests(w io.Writer) {
	fmt.Fprintln(w, "contest,title,subtitle,kind,vote_for")
	for _, s := range c.seats() {
		fmt.Fprintf(w, "%s,%s,%s,candidate,1\n", s.short(), s.title(), s.subtitle())
	}
}

// short is the keyer's own code for a contest.
func (s seat) short() string { return fmt.Sprintf("%c%d.%d", s.level[0], s.district+1, s.number+1) }

func (c county) choices(w io.Writer) {
	fmt.Fprintln(w, "contest,position,name,party_lines,write_in")
	for _, s := range c.seats() {
		for n := range candidates {
			fmt.Fprintf(w, "%s,%d,%s,%s,\n", s.short(), n+1, s.name(n), countyParties[n])
		}
		fmt.Fprintf(w, "%s,%d,%s,%s,\n%s,%d,,,yes\n", s.short(), candidates+1, s.name(0), countyParties[candidates],
			s.short(), candidates+2)
	}
}

func (c county) ballots(w io.Writer) {
	fmt.Fprintln(w, "precinct,style,party,position,contest")
	for p := range c.precincts {
		for i, s := range c.ballot(p) {
			fmt.Fprintf(w, "%s,BS-%05d,,%d,%s\n", precinctName(p), p+1, i+1, s.short())
		}
	}
}

func (c county) units(w io.Writer) {
	fmt.Fprintln(w, "unit,site,precinct")
	for p := range c.precincts {
		fmt.Fprintf(w, "U-%05d,Fire House %d,%s\n", p/unitSize*unitSize, p/unitSize+1, precinctName(p))
	}
}
