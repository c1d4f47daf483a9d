package sheets

import (
	"regexp"
	"slices"
	"strings"
	"time"

	"golang.org/x/text/unicode/norm"

	"counterproof/model"
)

// builder makes an election of sheets.
type builder struct {
	sheets   *Sheets
	election *model.Election

	partyCodes names
	partyNames names
	// sharedNames are the full names that several parties have.
	sharedNames map[string]bool
	// partyCells remembers what each cell that names parties means.
	partyCells map[string]model.Stated[[]int]

	precincts names
	contests  names
	sites     names
	// positions[c] are the keyed positions of contest c's choices, ascending.
	positions [][]int
}

// names finds the index of a name. Names are the same when their NFC forms are,
// without the blanks around them.
type names struct {
	index map[string]int
	list  []string
}

func canonical(name string) string { return norm.NFC.String(strings.TrimSpace(name)) }

// add gives the name an index, unless it has one.
func (n *names) add(name string, index int) {
	key := canonical(name)
	if n.index == nil {
		n.index = map[string]int{}
	}
	if _, ok := n.index[key]; !ok {
		n.index[key] = index
		n.list = append(n.list, key)
	}
}

func (n *names) find(name string) (int, bool) {
	i, ok := n.index[canonical(name)]
	return i, ok
}

// sayText is the wording of a cell; an empty cell states nothing.
func sayText(cell string) model.Stated[model.Text] {
	if cell = strings.TrimSpace(cell); cell == "" {
		return model.Stated[model.Text]{}
	}
	return model.Say(model.Plain(cell))
}

// sayPrinted is like sayText, but a dash states that nothing is printed.
func sayPrinted(cell string) model.Stated[model.Text] {
	if strings.TrimSpace(cell) == nothing {
		return model.Say(model.Text(nil))
	}
	return sayText(cell)
}

// nothing in a cell says that nothing is printed; separator joins several values
// of one cell.
const (
	nothing   = "-"
	separator = "|"
)

func (b *builder) readFacts() error {
	for i, row := range b.sheets.Facts {
		if i > 0 {
			return fault(row.Place, "", "keep the row of the election whose ballots are keyed",
				"this is a second election; the first is on line %d", b.sheets.Facts[0].Line)
		}
		facts := &b.election.Facts
		facts.Name, facts.Jurisdiction = further(sayText(row.Name), row.FurtherName), sayText(row.Jurisdiction)
		if date := strings.TrimSpace(row.Date); date != "" {
			if _, err := time.Parse(time.DateOnly, date); err != nil {
				return fault(row.Place, "date", "write year, month and day, such as 2027-11-02; a spreadsheet writes it "+
					"otherwise until the column's format is Text", "%s is not a date in that form", quote(date))
			}
			facts.Date = model.Say(date)
		}
	}
	return nil
}

func (b *builder) readPrecincts() error {
	e := b.election
	type use struct {
		precinct, site int
		use            model.Use
	}
	n := len(b.sheets.Precincts)
	lines := make(map[use]int, n)
	e.Precincts, e.Origins.Precincts = slices.Grow(e.Precincts, n), slices.Grow(e.Origins.Precincts, n)
	for _, row := range b.sheets.Precincts {
		name := strings.TrimSpace(row.Precinct)
		if name == "" {
			return fault(row.Place, "precinct", "write the precinct as the official roster has it", "the row names no precinct")
		}
		p, ok := b.precincts.find(name)
		if !ok {
			p = len(e.Precincts)
			b.precincts.add(name, p)
			e.Precincts = append(e.Precincts, model.Precinct{Name: model.Plain(name)})
			e.Origins.Precincts = append(e.Origins.Precincts, model.Origin{File: row.File, Line: row.Line})
		}
		site, err := b.site(row.Site, row.Place)
		if err != nil {
			return err
		}
		u, err := readUse(row.Use, row.Place)
		if err != nil {
			return err
		}
		key := use{p, site, u}
		if line, ok := lines[key]; ok {
			return fault(row.Place, "precinct", "remove one of them, or name the precinct or site that was meant",
				"the row repeats line %d: precinct %s, with the same site and use", line, quote(name))
		}
		lines[key] = row.Line
		if site >= 0 {
			sites := &e.Precincts[p].Sites
			sites.Known = true
			sites.Value = append(sites.Value, model.SiteUse{Site: site, Use: u})
		}
	}
	b.orderSites()
	return nil
}

// orderSites numbers the sites in the order in which the precincts have them, so
// that rows of one precinct may stand apart.
func (b *builder) orderSites() {
	e := b.election
	var order []int
	number := make(map[int]int, len(e.Sites))
	for p := range e.Precincts {
		for i := range e.Precincts[p].Sites.Value {
			site := &e.Precincts[p].Sites.Value[i].Site
			if _, ok := number[*site]; !ok {
				number[*site] = len(order)
				order = append(order, *site)
			}
			*site = number[*site]
		}
	}
	before, origins := e.Sites, e.Origins.Sites
	e.Sites, e.Origins.Sites = nil, nil
	for _, site := range order {
		e.Sites = append(e.Sites, before[site])
		e.Origins.Sites = append(e.Origins.Sites, origins[site])
	}
	for name, site := range b.sites.index {
		b.sites.index[name] = number[site]
	}
}

// site returns the index of the site that a cell names, adding it if it is new; -1
// for an empty cell.
func (b *builder) site(cell string, at Place) (int, error) {
	name := strings.TrimSpace(cell)
	switch name {
	case "":
		return -1, nil
	case nothing:
		return 0, fault(at, "site", "leave the cell empty where no site is keyed", "%s is not a polling site", quote(name))
	}
	i, ok := b.sites.find(name)
	if !ok {
		i = len(b.election.Sites)
		b.sites.add(name, i)
		b.election.Sites = append(b.election.Sites, model.Site{Name: model.Plain(name)})
		b.election.Origins.Sites = append(b.election.Origins.Sites, model.Origin{File: at.File, Line: at.Line})
	}
	return i, nil
}

var uses = []model.Use{model.UseElectionDay, model.UseEarly, model.UseCentral, model.UseAccessible}

func readUse(cell string, at Place) (model.Use, error) {
	typed := strings.TrimSpace(cell)
	if typed == "" {
		return model.UseElectionDay, nil
	}
	var known []string
	for _, u := range uses {
		if strings.EqualFold(typed, string(u)) {
			return u, nil
		}
		known = append(known, string(u))
	}
	return "", fault(at, "use", "write "+list(known, "or")+", or leave the cell empty for election day",
		"%s is not a use of a site or unit", quote(typed))
}

var kinds = []model.Kind{model.KindCandidate, model.KindMeasure, model.KindRetention, model.KindParty}

func readKind(cell string, at Place) (model.Stated[model.Kind], error) {
	typed := strings.TrimSpace(cell)
	if typed == "" {
		return model.Stated[model.Kind]{}, nil
	}
	var known []string
	for _, k := range kinds {
		if strings.EqualFold(typed, string(k)) {
			return model.Say(k), nil
		}
		known = append(known, string(k))
	}
	return model.Stated[model.Kind]{}, fault(at, "kind", "write "+list(known, "or"), "%s is not a kind of contest",
		quote(typed))
}

// readNumber reads a whole number of at most six digits.
func readNumber(cell string) (int, bool) {
	if cell == "" || len(cell) > 6 {
		return 0, false
	}
	n := 0
	for i := range len(cell) {
		d := cell[i] - '0'
		if d > 9 {
			return 0, false
		}
		n = n*10 + int(d)
	}
	return n, true
}

func readPosition(cell string, at Place) (int, error) {
	typed := strings.TrimSpace(cell)
	n, ok := readNumber(typed)
	switch {
	case typed == "":
		return 0, fault(at, "position", "write 1 for the first, 2 for the next", "the row has no position")
	case !ok || n == 0:
		return 0, fault(at, "position", "write digits: 1 for the first, 2 for the next", "%s is not a position", quote(typed))
	}
	return n, nil
}

func (b *builder) readContests() error {
	e := b.election
	for _, row := range b.sheets.Contests {
		code := strings.TrimSpace(row.Contest)
		if code == "" {
			return fault(row.Place, "contest", "give it a short code of your own", "the contest has no code")
		}
		if first, ok := b.contests.find(code); ok {
			return fault(row.Place, "contest", "give each contest its own code", "the code %s already stands on line %d",
				quote(code), e.Origins.Contests[first].Line)
		}
		title := sayText(row.Title)
		if !title.Known {
			return fault(row.Place, "title", "write it as printed", "contest %s has no title", quote(code))
		}
		kind, err := readKind(row.Kind, row.Place)
		if err != nil {
			return err
		}
		var voteFor model.Stated[int]
		if typed := strings.TrimSpace(row.VoteFor); typed != "" {
			n, ok := readNumber(typed)
			if !ok {
				return fault(row.Place, "vote_for",
					"write digits, such as 2, or leave the cell empty if the ballot prints no number", "%s is not a number of votes",
					quote(typed))
			}
			voteFor = model.Say(n)
		}
		parties, err := b.parties(row.PrimaryParty, row.Place, "primary_party")
		if err != nil {
			return err
		}
		parties.Value = slices.Clone(parties.Value)
		b.contests.add(code, len(e.Contests))
		e.Contests = append(e.Contests, model.Contest{
			Title: further(title, row.FurtherTitle), Subtitle: further(sayPrinted(row.Subtitle), row.FurtherSubtitle),
			Kind: kind, VoteFor: voteFor, PrimaryParties: parties, Text: further(sayPrinted(row.Text), row.FurtherText),
			Variation: readVariation(row.Variation),
		})
		e.Origins.Contests = append(e.Origins.Contests, model.ContestOrigin{
			Origin: model.Origin{ID: code, File: row.File, Line: row.Line},
			Source: strings.TrimSpace(row.Source),
		})
	}
	return nil
}

// contest returns the index of the contest whose code a cell holds.
func (b *builder) contest(cell string, at Place) (int, error) {
	if c, ok := b.contests.find(cell); ok {
		return c, nil
	}
	code := strings.TrimSpace(cell)
	if code == "" {
		return 0, fault(at, "contest", "write the contest's code from contests.csv", "the row names no contest")
	}
	return 0, fault(at, "contest", didYouMean(code, b.contests.list, "add it to contests.csv or correct the code"),
		"%s is not the code of a contest", quote(code))
}

func (b *builder) readChoices() error {
	e := b.election
	type keyed struct {
		position int
		row      *ChoiceRow
	}
	slots := make([][]keyed, len(e.Contests))
	for i := range b.sheets.Choices {
		row := &b.sheets.Choices[i]
		c, err := b.contest(row.Contest, row.Place)
		if err != nil {
			return err
		}
		position, err := readPosition(row.Position, row.Place)
		if err != nil {
			return err
		}
		slots[c] = append(slots[c], keyed{position, row})
	}
	b.positions = make([][]int, len(e.Contests))
	for c, slot := range slots {
		if len(slot) == 0 {
			continue
		}
		b.positions[c] = make([]int, 0, len(slot))
		e.Contests[c].Choices = make([]model.Choice, 0, len(slot))
		e.Origins.Contests[c].Choices = make([]model.ChoiceOrigin, 0, len(slot))
		slices.SortStableFunc(slot, func(x, y keyed) int { return x.position - y.position })
		for i, k := range slot {
			if i > 0 && slot[i-1].position == k.position {
				return fault(k.row.Place, "position", "give each choice of a contest its own position",
					"position %d of contest %s already stands on line %d", k.position, quote(e.Origins.Contests[c].ID),
					slot[i-1].row.Line)
			}
			choice, err := b.choice(k.row)
			if err != nil {
				return err
			}
			b.positions[c] = append(b.positions[c], k.position)
			e.Contests[c].Choices = append(e.Contests[c].Choices, choice)
			e.Origins.Contests[c].Choices = append(e.Origins.Contests[c].Choices, model.ChoiceOrigin{
				Origin: model.Origin{File: k.row.File, Line: k.row.Line}, Position: k.position,
			})
		}
	}
	return nil
}

func (b *builder) choice(row *ChoiceRow) (model.Choice, error) {
	var choice model.Choice
	switch typed := strings.TrimSpace(row.WriteIn); {
	case strings.EqualFold(typed, "yes"):
		choice.WriteIn = true
	case typed != "":
		return choice, fault(row.Place, "write_in", "write yes for a write-in line, else leave the cell empty",
			"%s does not say whether this is a write-in line", quote(typed))
	}
	name, person := strings.TrimSpace(row.Name), strings.TrimSpace(row.Person)
	var err error
	if choice.Lines, err = b.parties(row.PartyLines, row.Place, "party_lines"); err != nil {
		return choice, err
	}
	choice.Lines.Value = slices.Clone(choice.Lines.Value)
	if choice.WriteIn {
		if person != "" {
			return choice, fault(row.Place, "person", "leave the cell empty, or take the yes out of write_in",
				"a write-in line is no person")
		}
		return choice, nil
	}
	if name == "" {
		return choice, fault(row.Place, "name", "write it as printed, or yes in write_in for a write-in line",
			"the choice has no name")
	}
	if person == nothing {
		return choice, fault(row.Place, "person", "give positions of one person the same mark, such as 1, and other "+
			"persons another; leave the cell empty where the name tells", "%s marks nobody", quote(person))
	}
	name = joinGroup(name)
	choice.Name = further(model.Say(model.Plain(name)), joinFurther(row.FurtherName))
	if person != "" {
		choice.Person = personMarked + norm.NFC.String(person)
	} else {
		choice.Person = personNamed + norm.NFC.String(name)
	}
	return choice, nil
}

// Prefixes of Choice.Person: a mark in the person column, and the name where
// there is none.
const (
	personMarked = "p:"
	personNamed  = "n:"
)

// joinFurther is joinGroup for each wording of a cell of further languages.
func joinFurther(cell string) string {
	for _, w := range Further(cell) {
		cell = FurtherWith(cell, w.Language, joinGroup(w.Words))
	}
	return cell
}

// readVariation is how votes count, in SP 1500-100's words (VoteVariation, whose values are
// in lower case).
func readVariation(cell string) model.Stated[string] {
	if cell = strings.ToLower(strings.TrimSpace(cell)); cell == "" {
		return model.Stated[string]{}
	}
	return model.Say(cell)
}

// joinGroup writes running mates and groups as `A / B`: a slash with a blank on
// either side has one blank on both. `A/B` stays as it is.
func joinGroup(name string) string {
	if !strings.Contains(name, "/") {
		return name
	}
	return strings.TrimSpace(groupSlash.ReplaceAllString(name, " $1$2 "))
}

var groupSlash = regexp.MustCompile(`[\s\p{Z}\x{85}]+(/+)[\s\p{Z}\x{85}]*|(/+)[\s\p{Z}\x{85}]+`)
