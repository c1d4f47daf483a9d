package tables

// lacks says what no table says.
func (p *Proposal) lacks() {
	said := map[string]bool{}
	for _, t := range p.Mapping.Tables {
		for sheet, sources := range t.Rows {
			for _, s := range sources {
				for column := range s.Columns {
					said[sheet], said[sheet+"."+column] = true, true
				}
			}
		}
	}
	for _, need := range []struct{ what, words string }{
		{"contests", "No table lists contests: a column such as Contest or Office beside Candidate or Vote for."},
		{"choices", "No table lists the choices of contests: a column such as Candidate beside Contest."},
		{"ballots", "No table says which contests a precinct or ballot style has."},
		{"precincts", "No table lists precincts."},
		{"contests.vote_for", "Nothing says how many votes are allowed: it will not be compared."},
		{"contests.kind", "Nothing says what kind of contest each is: it will not be compared."},
		{"choices.party_lines", "Nothing says on which party lines choices stand: they will not be compared."},
		{"choices.write_in", "Nothing says which contests have write-in lines: none is taken to have one."},
		{"units", "No table lists voting units and their card headers: they will not be compared."},
		{"election", "No table says the election's name and date: they will not be compared."},
	} {
		if !said[need.what] {
			p.Missing = append(p.Missing, need.words)
		}
	}
}
