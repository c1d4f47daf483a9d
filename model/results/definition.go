package results

import (
	"counterproof/model/cdf"
)

// definition is what a file of cast vote records says of its election (Election, Party, GpUnit,
// ReportingDevice).
type definition struct {
	elections  int
	name       string
	contests   []defContest
	candidates map[string]defCandidate
	parties    []defParty
	areas      []defArea
	devices    []defDevice
	class      string // of the report
	bytes      int
}

type defContest struct {
	id, name, kind, variation, other, primary string
	voteFor                                   int64 // -1: not stated
	line                                      int
	choices                                   []defChoice
}

type defChoice struct {
	id, text            string
	candidates, parties []string
	writeIn             bool
	line                int
}

type defCandidate struct{ name, party string }

type defParty struct {
	id, name, short string
	line            int
}

type defArea struct {
	id, name, kind string
	codes          []string
	line           int
}

type defDevice struct {
	id, serial string
	codes      []string
	line       int
}

// text keeps what a member says.
func (d *definition) text(r *recordReader, m cdf.Member) (string, error) {
	if d.bytes += len(m.Text) + 32; d.bytes > maxDefinition {
		return "", r.Fault(m, "the definition of the election is longer than 256 MiB", absurdRecords)
	}
	return string(m.Text), nil
}

// texts puts what members say where the map has their names.
func (d *definition) texts(r *recordReader, to map[string]*string) func(cdf.Member) error {
	return func(m cdf.Member) (err error) {
		if into := to[m.Name]; into != nil && m.Kind == cdf.Says {
			*into, err = d.text(r, m)
		}
		return err
	}
}

func (d *definition) member(r *recordReader, m cdf.Member) error {
	if m.Kind != cdf.Begins {
		return nil
	}
	switch m.Name {
	case "Election":
		if d.elections++; d.elections > 1 {
			return r.Fault(m, "the file holds the records of several elections", "export those of one election alone")
		}
		d.candidates = map[string]defCandidate{}
		return r.Each(func(m cdf.Member) error { return d.election(r, m) })
	case "Party":
		p := defParty{line: m.Line}
		err := r.Each(d.texts(r, map[string]*string{"@id": &p.id, "Name": &p.name, "Abbreviation": &p.short}))
		d.parties = append(d.parties, p)
		return err
	case "GpUnit":
		a := defArea{line: m.Line}
		texts := d.texts(r, map[string]*string{"@id": &a.id, "Name": &a.name, "Type": &a.kind})
		err := r.Each(func(m cdf.Member) error { return d.coded(r, m, &a.codes, texts) })
		d.areas = append(d.areas, a)
		return err
	case "ReportingDevice":
		v := defDevice{line: m.Line}
		texts := d.texts(r, map[string]*string{"@id": &v.id, "SerialNumber": &v.serial})
		err := r.Each(func(m cdf.Member) error { return d.coded(r, m, &v.codes, texts) })
		d.devices = append(d.devices, v)
		return err
	}
	return nil
}

// coded reads a member of a thing that may have codes.
func (d *definition) coded(r *recordReader, m cdf.Member, codes *[]string, texts func(cdf.Member) error) error {
	if m.Name != "Code" || m.Kind != cdf.Begins {
		return texts(m)
	}
	var value string
	err := r.Each(d.texts(r, map[string]*string{"Value": &value}))
	if value != "" {
		*codes = append(*codes, value)
	}
	return err
}

func (d *definition) election(r *recordReader, m cdf.Member) (err error) {
	switch {
	case m.Name == "Name" && m.Kind == cdf.Says:
		d.name, err = d.text(r, m)
	case m.Kind != cdf.Begins:
	case m.Name == "Candidate":
		var id string
		var c defCandidate
		err = r.Each(d.texts(r, map[string]*string{"@id": &id, "Name": &c.name, "PartyId": &c.party}))
		d.candidates[id] = c
	case m.Name == "Contest":
		c := defContest{voteFor: -1, line: m.Line}
		texts := d.texts(r, map[string]*string{"@id": &c.id, "@type": &c.kind, "Name": &c.name, "VoteVariation": &c.variation,
			"OtherVoteVariation": &c.other, "PrimaryPartyId": &c.primary})
		err = r.Each(func(m cdf.Member) (err error) {
			switch {
			case m.Name == "VotesAllowed":
				c.voteFor, err = r.number(m)
			case m.Name == "ContestSelection" && m.Kind == cdf.Begins:
				var choice defChoice
				choice, err = d.choice(r, m)
				c.choices = append(c.choices, choice)
			default:
				err = texts(m)
			}
			return err
		})
		d.contests = append(d.contests, c)
	}
	return err
}

func (d *definition) choice(r *recordReader, m cdf.Member) (defChoice, error) {
	c := defChoice{line: m.Line}
	texts := d.texts(r, map[string]*string{"@id": &c.id, "Selection": &c.text})
	err := r.Each(func(m cdf.Member) (err error) {
		list := &c.candidates
		switch m.Name {
		case "IsWriteIn":
			c.writeIn = string(m.Text) == "true" || string(m.Text) == "1"
		case "PartyIds":
			list = &c.parties
			fallthrough
		case "CandidateIds":
			d.bytes += len(m.Text)
			r.EachID(m, func(id []byte) { *list = append(*list, string(id)) })
			_, err = d.text(r, cdf.Member{Line: m.Line, Name: m.Name})
		default:
			err = texts(m)
		}
		return err
	})
	return c, err
}
