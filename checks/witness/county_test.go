package witness_test

import (
	"encoding/csv"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/checks/internal/planted"
	"counterproof/checks/witness"
	"counterproof/model"
	"counterproof/model/tables"
)

// truth is what the authorities of a generated county certified. It is written down from the county's
// second entry before any mistake is planted, with the county's own keys.
type truth struct {
	rules     bool // surnames first, in capitals
	contests  []*listedContest
	districts map[string][]string // by key of a precinct: keys of districts
	precincts []string            // keys
	called    map[string]string   // precincts
	sites     map[string]string   // by key of a precinct, and its use
}

type listedContest struct {
	key, title, party, district string
	voteFor                     int
	choices                     []listedChoice
}

type listedChoice struct {
	key, name string
	lines     []string
	stated    bool
}

func certify(c *planted.County, rules bool) *truth {
	s, e := c.Second, c.Primary
	out := &truth{rules: rules, districts: map[string][]string{}, called: map[string]string{}, sites: map[string]string{}}
	for i, key := range s.Keys.Contests {
		contest := &s.Contests[i]
		if contest.Kind.Value != model.KindCandidate {
			continue
		}
		printed := contest.Title.Value.In("") + " " + contest.Subtitle.Value.In("")
		l := &listedContest{key: key, title: strings.TrimSpace(printed), voteFor: contest.VoteFor.Value}
		for _, p := range contest.PrimaryParties.Value {
			l.party = s.Parties[p].Abbreviation.Value.In("")
		}
		exported := &e.Contests[slices.Index(e.Keys.Contests, key)]
		l.district = e.Keys.Districts[exported.District.Value]
		for _, j := range printedOrder(s, i) {
			choice := contest.Choices[j]
			if choice.WriteIn {
				continue
			}
			row := listedChoice{key: s.Keys.Choices[i][j], name: choice.Name.Value.In(""), stated: choice.Lines.Known}
			for _, p := range choice.Lines.Value {
				row.lines = append(row.lines, s.Parties[p].Abbreviation.Value.In(""))
			}
			l.choices = append(l.choices, row)
		}
		out.contests = append(out.contests, l)
	}
	for i, key := range s.Keys.Precincts {
		out.precincts = append(out.precincts, key)
		out.called[key] = s.Precincts[i].Name.In("")
		for _, use := range s.Precincts[i].Sites.Value {
			out.sites[key+"\x00"+string(use.Use)] = s.Sites[use.Site].Name.In("")
		}
		at := slices.Index(e.Keys.Precincts, key)
		for d, district := range e.Districts {
			if slices.Contains(district.Precincts, at) {
				out.districts[key] = append(out.districts[key], e.Keys.Districts[d])
			}
		}
	}
	return out
}

// printedOrder is the order of a contest's choices on the first ballot that has it.
func printedOrder(s *planted.Side, contest int) []int {
	for _, style := range s.Styles {
		for _, p := range style.Content {
			if p.Contest == contest && p.Order.Known {
				return p.Order.Value
			}
		}
	}
	var all []int
	for i := range s.Contests[contest].Choices {
		all = append(all, i)
	}
	return all
}

// surnameFirst writes a name as such lists do.
func surnameFirst(name string) string {
	parts := strings.Split(name, " / ")
	for i, p := range parts {
		p, suffix, has := strings.Cut(p, ", ")
		if last := strings.LastIndexByte(p, ' '); last >= 0 {
			p = p[last+1:] + ", " + p[:last]
		} else {
			p += ", "
		}
		if has {
			p += ", " + suffix
		}
		parts[i] = strings.ToUpper(p)
	}
	return strings.Join(parts, " & ")
}

const rulesMapping = `{"format": "counterproof-mapping/1", "tables": [{"file": "*", "rows": {
  "contests": [{"columns": {"contest": "{Office} {Key}", "title": "{Office}", "vote_for": "{Votes}", "primary_party": "{Primary}"}}],
  "choices": [{"columns": {"contest": "{Office} {Key}", "name": "{Candidate}", "party_lines": "{Lines}",
    "position": "{Position}"}, "separators": {"name": "&", "party_lines": "/"},
    "read": {"name": {"surname_first": true, "ignore_capitals": true}}}],
  "districts": [{"columns": {"contest": "{Office} {Key}", "district": "{District}"}}]}}]}`

// documents writes the certified documents as files and reads them as a case would.
func (l *truth) documents(t testing.TB) []witness.Document {
	t.Helper()
	rows := [][]string{{"contest", "title", "vote_for", "primary_party", "name", "party_lines", "position", "district"}}
	if l.rules {
		rows[0] = []string{"Office", "Key", "Votes", "Primary", "Candidate", "Lines", "Position", "District"}
	}
	for n, c := range l.contests {
		for i, choice := range c.choices {
			lines := strings.Join(choice.lines, "|")
			if choice.stated && lines == "" {
				lines = "-"
			}
			row := []string{fmt.Sprint(c.title, " ", n), c.title, strconv.Itoa(c.voteFor), c.party, choice.name, lines,
				strconv.Itoa(i + 1), c.district}
			if l.rules {
				row[0], row[1], row[4], row[5] = c.title, fmt.Sprint(n), surnameFirst(choice.name),
					strings.ReplaceAll(lines, "|", "/")
			}
			rows = append(rows, row)
		}
	}
	var mapping *tables.Mapping
	if l.rules {
		var err error
		mapping, err = tables.ParseMapping("mapping.json", []byte(rulesMapping))
		require.NoError(t, err)
	}
	out := []witness.Document{read(t, model.WitnessCandidates, rows, mapping)}
	rows = [][]string{{"precinct", "district"}}
	sites := [][]string{{"precinct", "site", "use"}}
	for _, p := range l.precincts {
		for _, d := range l.districts[p] {
			rows = append(rows, []string{l.called[p], d})
		}
		for _, use := range []model.Use{model.UseElectionDay, model.UseEarly, model.UseCentral, model.UseAccessible} {
			if site, ok := l.sites[p+"\x00"+string(use)]; ok {
				sites = append(sites, []string{l.called[p], site, string(use)})
			}
		}
	}
	out = append(out, read(t, model.WitnessDistricts, rows, nil))
	if len(sites) > 1 {
		out = append(out, read(t, model.WitnessSites, sites, nil))
	}
	for i := range out {
		out[i].Entry = int64(i + 1)
	}
	return out
}

func read(t testing.TB, kind model.WitnessKind, rows [][]string, mapping *tables.Mapping) witness.Document {
	t.Helper()
	var b strings.Builder
	w := csv.NewWriter(&b)
	require.NoError(t, w.WriteAll(rows))
	l, _, err := tables.ReadListed(tables.File{Name: string(kind) + ".csv", Data: []byte(b.String())}, mapping, kind,
		tables.Options{})
	require.NoError(t, err)
	return witness.Document{Name: "of the county", Version: "1", Kind: kind, Says: l}
}
