package results

import (
	"bytes"
	"errors"
	"math"
	"slices"
	"strconv"

	"counterproof/model"
	"counterproof/model/cdf"
)

// Counts of an election (SP 1500-100 version 2): VoteCounts of each choice, OtherCounts of each
// contest, by area or device. The election itself is read by package cdf; a second walk over the
// file takes the counts.

// readCounts reads the counts of a report. Errors are of type *cdf.Error.
func readCounts(f File) (*Results, error) {
	data, sum, err := f.read()
	if err != nil {
		return nil, unreadable(f, err)
	}
	e, _, err := cdf.Read([]cdf.Part{{Name: f.Name, Data: data}}, cdf.Options{WithoutStyles: true})
	var fault *cdf.Error
	if errors.Is(err, cdf.ErrWhichElection) && errors.As(err, &fault) {
		fault.Remedy = "export the results of the election of the test deck alone"
	}
	if err != nil {
		return nil, err
	}
	s, err := cdf.Open(f.Name, bytes.NewReader(data), cdf.Results)
	if err != nil {
		return nil, err
	}
	r := &countReader{Stream: s, e: e, children: map[string][]string{}, left: map[string]int{}}
	r.index()
	if _, err := r.Next(); err != nil {
		return nil, err
	}
	if err := r.Each(r.report); err != nil {
		return nil, err
	}
	out := r.results(f.Name)
	out.SHA256 = sum
	if r.twice != nil {
		return nil, r.twice
	}
	return out, nil
}

// countReader takes the counts of a report.
type countReader struct {
	*cdf.Stream
	e                          *model.Election
	contests, precincts, units map[string]int
	districts                  map[string][]int
	choices                    []map[string]int
	children                   map[string][]string // areas within areas
	scope                      string
	read                       []rawContest
	// left counts what is not read, by what it is.
	left map[string]int
	// twice is the fault of a total that is given twice.
	twice error
}

// rawContest is a contest with its counts, as the file has them.
type rawContest struct {
	id, district string
	choices      []rawChoice
	other        []rawOther
}

type rawChoice struct {
	id     string
	counts []rawCount
}

// rawCount is a VoteCounts.
type rawCount struct {
	area, kind string
	device     bool // of devices of one class
	suppressed bool // for privacy
	round      int64
	count      int64
	line       int
}

// rawOther is an OtherCounts; -1 is not stated.
type rawOther struct {
	area                  string
	device                bool
	overvotes, undervotes int64
	line                  int
}

const followsCounts = "the file does not follow SP 1500-100: export it again"

func (r *countReader) index() {
	e, o := r.e, &r.e.Origins
	r.contests, r.precincts, r.units = map[string]int{}, map[string]int{}, map[string]int{}
	r.districts = map[string][]int{}
	r.choices = make([]map[string]int, len(e.Contests))
	for i := range e.Contests {
		r.contests[o.Contest(i).ID] = i
		r.choices[i] = map[string]int{}
		for j := range e.Contests[i].Choices {
			r.choices[i][o.Choice(i, j).ID] = j
		}
	}
	for i := range e.Precincts {
		r.precincts[o.Precinct(i).ID] = i
	}
	for i := range e.Units {
		r.units[o.Unit(i).ID] = i
	}
	for i := range e.Districts {
		r.districts[o.District(i).ID] = e.Districts[i].Precincts
	}
}

func (r *countReader) report(m cdf.Member) error {
	if m.Kind != cdf.Begins {
		return nil
	}
	switch m.Name {
	case "Election":
		return r.Each(r.election)
	case "GpUnit":
		var id string
		var within []string
		err := r.Each(func(m cdf.Member) error {
			switch m.Name {
			case "@id":
				id = string(m.Text)
			case "ComposingGpUnitIds":
				r.EachID(m, func(id []byte) { within = append(within, string(id)) })
			}
			return nil
		})
		if len(within) > 0 {
			r.children[id] = within
		}
		return err
	}
	return nil
}

func (r *countReader) election(m cdf.Member) error {
	switch {
	case m.Name == "ElectionScopeId":
		r.scope = string(m.Text)
	case m.Kind != cdf.Begins:
	case m.Name == "Contest":
		r.read = append(r.read, rawContest{})
		return r.Each(r.contest)
	case m.Name == "BallotCounts":
		r.left["BallotCounts"]++ // of all contests together: a deck's key has those of each
	}
	return nil
}

func (r *countReader) contest(m cdf.Member) error {
	c := &r.read[len(r.read)-1]
	switch m.Name {
	case "@id":
		c.id = string(m.Text)
	case "ElectionDistrictId":
		c.district = string(m.Text)
	case "ContestSelection":
		if m.Kind == cdf.Begins {
			c.choices = append(c.choices, rawChoice{})
			return r.Each(r.choice)
		}
	case "OtherCounts":
		if m.Kind == cdf.Begins {
			return r.other(c, m)
		}
	}
	return nil
}

func (r *countReader) choice(m cdf.Member) error {
	c := &r.read[len(r.read)-1]
	ch := &c.choices[len(c.choices)-1]
	switch {
	case m.Name == "@id":
		ch.id = string(m.Text)
	case m.Name == "VoteCounts" && m.Kind == cdf.Begins:
		count := rawCount{line: m.Line, count: -1}
		err := r.Each(func(m cdf.Member) (err error) {
			switch m.Name {
			case "GpUnitId":
				count.area = string(m.Text)
			case "Type":
				count.kind = string(m.Text)
			case "DeviceClass":
				count.device = true
			case "IsSuppressedForPrivacy":
				count.suppressed = string(m.Text) == "true" || string(m.Text) == "1"
			case "Round":
				count.round, err = r.whole(m)
			case "Count":
				count.count, err = r.whole(m)
			}
			return err
		})
		ch.counts = append(ch.counts, count)
		return err
	}
	return nil
}

func (r *countReader) other(c *rawContest, m cdf.Member) error {
	o := rawOther{overvotes: -1, undervotes: -1, line: m.Line}
	err := r.Each(func(m cdf.Member) (err error) {
		switch m.Name {
		case "GpUnitId":
			o.area = string(m.Text)
		case "DeviceClass":
			o.device = true
		case "Overvotes":
			o.overvotes, err = r.whole(m)
		case "Undervotes":
			o.undervotes, err = r.whole(m)
		case "WriteIns":
			r.left["WriteIns"]++ // a write-in position has its own VoteCounts
		}
		return err
	})
	c.other = append(c.other, o)
	return err
}

// whole reads a count: the standard has a double, "can include a fractional component in special
// cases".
func (r *countReader) whole(m cdf.Member) (int64, error) {
	v, err := strconv.ParseFloat(string(m.Text), 64)
	switch {
	case err != nil || !(v >= 0 && v <= maxNumber):
		return 0, r.Fault(m, "is "+quoted(string(m.Text))+", not a count from 0 to a trillion", followsCounts)
	case v != math.Trunc(v):
		return 0, r.Fault(m, "is "+quoted(string(m.Text))+", a fraction of a vote, which is not read",
			"type the whole counts into a table")
	}
	return int64(v), nil
}

// area finds the precincts, or the device, for which a count is. An area of which the file does
// not say what it is made of is everywhere if the election, or the contest, is of that area.
func (r *countReader) area(id string, c *rawContest) (unit int, precincts []int, ok bool) {
	if u, is := r.units[id]; is {
		return u, nil, true
	}
	if p, is := r.precincts[id]; is {
		return -1, []int{p}, true
	}
	within := r.within(id)
	if d := r.districts[id]; len(within) == 0 {
		within = d
	}
	if len(within) == 0 {
		return -1, nil, id == r.scope || id == c.district
	}
	return -1, within, true
}

// within are the precincts in an area, however deeply nested.
func (r *countReader) within(id string) []int {
	var out []int
	seen := map[string]bool{id: true}
	for open := []string{id}; len(open) > 0; {
		next := open[len(open)-1]
		open = open[:len(open)-1]
		if p, ok := r.precincts[next]; ok {
			out = append(out, p)
			continue
		}
		for _, child := range r.children[next] {
			if !seen[child] {
				seen[child] = true
				open = append(open, child)
			}
		}
	}
	slices.Sort(out)
	return out
}
