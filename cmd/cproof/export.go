package main

import (
	"fmt"
	"io"
	"slices"
	"time"

	"counterproof/model"
	"counterproof/model/cdf"
)

// exportCommand is "cproof export".
type exportCommand struct {
	Second string `required:"" placeholder:"DIR" help:"The folder of sheets (CSV) that the second party keyed."`
	Out    string `required:"" placeholder:"FILE" help:"The file to write."`
	replacing
}

// Help is shown by "cproof export --help".
func (exportCommand) Help() string {
	return `Writes what was keyed in the open standard NIST SP 1500-100 version 2 (XML), so that it can be handed
on. The file is valid against the published schema. What the sheets do not state is left out where the schema
allows that.

    cproof export --second demo/second --out second.xml`
}

// Run writes the second entry as SP 1500-100.
func (c *exportCommand) Run(s *session) error {
	to, err := c.place(c.Out, c.Second)
	if err != nil {
		return err
	}
	shown := startProgress(s.err, isTerminal(s.err), "writing the second entry")
	defer shown.finish()
	election, _, err := readSheets(c.Second)
	if err != nil {
		return err
	}
	drawDistricts(election)
	options := cdf.WriteOptions{Generated: time.Now().Truncate(time.Second)}
	return forceable(to.Write(func(w io.Writer) error { return cdf.WriteXML(w, election, options) }))
}

// drawDistricts gives each contest without a district the area that its ballots cover: the
// precincts whose ballots have the contest. The format requires a district (SP 1500-100,
// Contest.ElectionDistrictId), the sheets state none, and the whole county would be wrong for a
// town's contest. Contests with the same precincts share a district; contests of all precincts, or
// of none, belong to the whole election.
func drawDistricts(e *model.Election) {
	precincts := make([]map[int]bool, len(e.Contests))
	for _, style := range e.Styles {
		for _, placement := range style.Content {
			if precincts[placement.Contest] == nil {
				precincts[placement.Contest] = map[int]bool{}
			}
			for _, precinct := range style.Precincts {
				precincts[placement.Contest][precinct] = true
			}
		}
	}
	drawn := map[string]int{}
	for i := range e.Contests {
		contest := &e.Contests[i]
		if contest.District.Known || len(precincts[i]) == 0 || len(precincts[i]) == len(e.Precincts) {
			continue
		}
		var area []int
		for precinct := range precincts[i] {
			area = append(area, precinct)
		}
		slices.Sort(area)
		key := fmt.Sprint(area)
		district, known := drawn[key]
		if !known {
			district = len(e.Districts)
			drawn[key] = district
			name := fmt.Sprintf("District %d, as the ballots draw it", len(drawn))
			e.Districts = append(e.Districts, model.District{Name: model.Plain(name), Precincts: area})
		}
		contest.District = model.Say(district)
	}
}
