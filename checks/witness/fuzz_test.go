package witness_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"counterproof/checks"
	"counterproof/checks/internal/planted"
	"counterproof/checks/pairing"
	"counterproof/checks/witness"
	"counterproof/model"
	"counterproof/model/tables"
)

// FuzzDocument reads any bytes as a certified document, through our columns or through any mapping, and
// holds it against two entries: there is a result, or one line.
func FuzzDocument(f *testing.F) {
	c := planted.New(3, planted.ShapeOf(3))
	pg := pairing.Of(c.Primary.Election, c.Second.Election, "", nil)
	found := checks.ComparePaired(pg, checks.Options{}).Findings
	contest, precinct := c.Second.Contests[0].Title.Value.In(""), c.Second.Precincts[0].Name.In("")
	f.Add([]byte("contest,name,party_lines,vote_for,position\n"+contest+",A / B,CIV|-,2,1\n"), []byte(""))
	f.Add([]byte("precinct,district,contest\n"+precinct+",Ward,"+contest+"\nx,Ward,\n"), []byte(""))
	f.Add([]byte("precinct,site,use\n"+precinct+",Hall,early\n"+precinct+",Hall,\n"), []byte(""))
	f.Add([]byte("Office,Candidate\n"+contest+",\"X, Hon. Y, Jr. & Z\"\n"), []byte(strings.ReplaceAll(rulesMapping,
		`"capitals"`, `"leave_out": ["Hon."], "ignore_capitals"`)))
	f.Fuzz(func(t *testing.T, data, by []byte) {
		var mapping *tables.Mapping
		if len(by) > 0 {
			var err error
			if mapping, err = tables.ParseMapping("mapping.json", by); err != nil {
				return
			}
		}
		for _, kind := range model.WitnessKinds {
			l, _, err := tables.ReadListed(tables.File{Name: "list", Data: append([]byte(nil), data...)}, mapping, kind,
				tables.Options{})
			if err != nil {
				require.NotContains(t, err.Error(), "\n")
				continue
			}
			r := witness.Of(pg, found, []witness.Document{{Entry: 1, Name: "list", Kind: kind, Says: l}})
			for _, x := range r.Findings {
				require.NotEmpty(t, x.ID)
				require.NotEmpty(t, x.Message)
			}
		}
	})
}

// Lists that no election has cost no more than their length: one contest of 100,000 candidates, 20,000
// contests of one title, 100,000 precincts in one district.
func TestLongDocumentsAreBounded(t *testing.T) {
	if testing.Short() {
		t.Skip("long documents; run without -short")
	}
	c := planted.New(3, planted.ShapeOf(3))
	pg := pairing.Of(c.Primary.Election, c.Second.Election, "", nil)
	title := c.Second.Contests[0].Title.Value.In("")
	one := &model.Listed{Contests: []model.ListedContest{{Name: title, Ordered: true}}}
	wide := &model.Listed{Districts: []model.ListedDistrict{{Name: "Ward"}}}
	for i := range 100_000 {
		name := fmt.Sprintf("Candidate %d", i)
		one.Contests[0].Choices = append(one.Contests[0].Choices,
			model.ListedChoice{Name: model.ListedName{Written: name, Read: name}})
		wide.Districts[0].Precincts = append(wide.Districts[0].Precincts, fmt.Sprintf("P-%d", i))
	}
	many := &model.Listed{}
	for i := range 20_000 {
		name := model.ListedName{Written: fmt.Sprint(i), Read: fmt.Sprint(i)}
		many.Contests = append(many.Contests, model.ListedContest{Name: title,
			Choices: []model.ListedChoice{{Name: name}}})
	}
	for name, l := range map[string]*model.Listed{"candidates": one, "contests": many, "precincts": wide} {
		start := time.Now()
		r := witness.Of(pg, nil, []witness.Document{{Name: "list", Kind: model.WitnessCandidates, Says: l}})
		require.Less(t, time.Since(start), 20*time.Second, name)
		require.Less(t, len(r.Findings), 200, name)
	}
}
