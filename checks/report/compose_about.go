package report

import "counterproof/model/program"

// about explains the report to somebody who knows nothing of the program: what it is, its words,
// the parties' codes, how long it is kept and what to look at before it is released.
func (c *composer) about() {
	c.add(section{"About this report"})
	c.add(paragraph{say("Before an election, one person sets up its ballots in the county's election management " +
		"system (EMS). A second person, of another party, enters the same ballots again from the certified documents and " +
		"the printed ballot proofs, and is not to see what the first one entered; the first page says how far that was " +
		"assured. This report compares the two: the export of the EMS and the second entry. It names each difference, " +
		"what the two people decided about it, and what was not compared at all."), body})
	c.add(paragraph{say("The first page has the result and its limits. “Findings” has every difference. “Coverage” " +
		"says how far the comparison goes: nothing that is listed there as not keyed was proved. The ballots and the " +
		"voting units are in the annex, which is a document of its own. The last part says how to check that this " +
		"report is the one that was signed."), body})
	c.add(heading{"Words used here", true}, facts{c.glossary(), body})
	if len(c.Parties) > 0 {
		t := table{"", []string{"Code", "Party, as the export names it"}, nil}
		for _, p := range c.Parties {
			t.rows = append(t.rows, []words{stress(p.Code), quote(p.Name)})
		}
		c.add(heading{"Party codes", true}, t)
	}
	c.add(heading{"How long to keep it", true}, paragraph{say("Federal law has officers of election keep all records " +
		"of an election for federal office for 22 months (52 U.S.C. 20701). State law may require longer, and may cover " +
		"other elections too. The makers of this program cite this from memory: have counsel check it. Keep the whole " +
		"evidence folder, and the printed pages with the journal's heads and the fingerprints of the keys."), body})
	c.add(heading{"Before it is released to the public", true}, paragraph{say("Have somebody read it through. It " +
		"holds the names of staff, what they wrote as reasons, the names of files, and names of candidates as they " +
		"stood before a correction. The evidence folder holds more: the case file with everything that was keyed and " +
		"the signers' keys (locked by passphrases), and the exports as they were received, which a county may have to " +
		"keep confidential."),
		body})
	if c.Program != (program.Build{}) {
		c.add(heading{"Which program made it", true}, paragraph{say(c.Program.Line() + ". Its SHA-256, to be compared " +
			"with the one that was released:"), body}, paragraph{code(c.Program.Digest()), small})
	}
}

func (c *composer) glossary() []fact {
	list := []fact{}
	for _, w := range [][2]string{
		{"Export", "the configuration that is proved, as the EMS wrote it to a file"},
		{"Second entry", "the same ballots, keyed independently by the second party"},
		{"Pair", "the programmer and the second party, who decide each finding together"},
		{"Finding", "one difference between the two entries, or one fault of the export. Its grade is “must-fix” " +
			"(voters or the count could be affected), “confirm” (somebody has to look, as at punctuation) or “note”"},
		{"Cleared", "the difference was decided and is gone from the last export, or from the corrected second entry"},
		{"Stays as certified", "both looked at the certified document, and the export stays as it is"},
		{"Keyed", "entered by the second party. What was not keyed was not compared"},
		{"Seal", "the second entry is closed; afterwards it only changes by a correction that both sign. It is no " +
			"numbered seal on a machine. The programmer countersigns it before an export comes in"},
		{"Ballot style", "the ballot that some precincts get. Its label (BS-01) is the office's own"},
		{"Vote for", "how many choices of a contest a voter may mark"},
		{"Party line", "the party under which a choice is printed; a candidate may stand on several"},
		{"Voting unit, card", "a scanner, and the memory card in it. The card's header names the precincts whose " +
			"ballots it counts"},
		{"Journal, head", "the case file's record of all acts. Its head is a digest over all of them up to an entry: " +
			"whoever has the head on paper can tell whether an earlier entry was changed"},
		{"Digest, SHA-256", "64 digits that are computed from a file. If one byte of the file is changed, they are others"},
		{"Key, fingerprint", "what a person signs with. The fingerprint identifies the key and is kept on paper"},
	} {
		list = append(list, fact{label: w[0], lines: []words{say(w[1])}})
	}
	if len(c.Clock) > 0 {
		list = append(list, fact{label: "Times", lines: []words{say("are local times of the machine that made this " +
			"report, by its own clock, with their offset from UTC; the time in UTC stands beside them")}})
	}
	return list
}

// party names a party beside its code.
func (c *composer) party(code string) string {
	for _, p := range c.Parties {
		if p.Code == code {
			return p.Name + " (" + code + ")"
		}
	}
	return code
}

func (c *composer) partyNames(codes []string) []string {
	var out []string
	for _, x := range codes {
		out = append(out, c.party(x))
	}
	return out
}
