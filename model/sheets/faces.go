package sheets

import (
	"cmp"
	"encoding/binary"
	"fmt"
	"slices"
	"strings"

	"counterproof/model"
)

// A face is one ballot as keyed: the rows of ballots.csv with the same precinct,
// style and party. precinct is -1 where the face is keyed for its style alone.
// style and parties number the distinct labels and sets of parties; style 0 is
// the empty label.
type faceKey struct{ precinct, style, parties int32 }

type face struct {
	faceKey
	// rows are the face's rows in b.sheets.Ballots, by position.
	rows    []int32
	content int32
}

// ballots reads ballots.csv and styles.csv. Its cost grows with the rows; what
// repeats from row to row and from ballot to ballot is looked up once.
type ballots struct {
	*builder
	labels     names
	labelWords []string
	partySets  distinct[[]int]
	partyCells map[string]int32
	headings   distinct[[]model.Text]
	headingOf  map[[2]string]int32 // by cell, and by the cell of further languages
	orders     distinct[[]int]
	orderOf    map[orderCell]int32

	faces    []face
	index    map[faceKey]int32
	contests []int32 // by row
	contents map[string]int32
	placed   [][]model.Placement // by content
}

type orderCell struct {
	contest int32
	cell    string
}

// distinct numbers values that are equal by a key.
type distinct[T any] struct {
	number map[string]int32
	values []T
}

func (d *distinct[T]) add(key string, value T) int32 {
	if d.number == nil {
		d.number = map[string]int32{}
	}
	n, ok := d.number[key]
	if !ok {
		n = int32(len(d.values))
		d.number[key] = n
		d.values = append(d.values, value)
	}
	return n
}

func (b *builder) readBallots() error {
	r := ballots{
		builder: b, index: map[faceKey]int32{}, partyCells: map[string]int32{}, headingOf: map[[2]string]int32{},
		orderOf: map[orderCell]int32{}, contents: map[string]int32{},
	}
	r.label("")
	for _, step := range []func() error{r.readFaces, r.readContents, r.readStyles} {
		if err := step(); err != nil {
			return err
		}
	}
	return nil
}

func (r *ballots) label(cell string) int32 {
	if i, ok := r.labels.find(cell); ok {
		return int32(i)
	}
	i := len(r.labelWords)
	r.labels.add(cell, i)
	r.labelWords = append(r.labelWords, strings.TrimSpace(cell))
	return int32(i)
}

// partySet reads the parties whose voters get a ballot. Their order says nothing.
func (r *ballots) partySet(cell string, at Place) (int32, error) {
	if n, ok := r.partyCells[cell]; ok {
		return n, nil
	}
	parties, err := r.parties(cell, at, "party")
	if err != nil {
		return 0, err
	}
	set := slices.Sorted(slices.Values(parties.Value))
	n := r.partySets.add(fmt.Sprint(set), set)
	r.partyCells[cell] = n
	return n, nil
}

func (r *ballots) precinct(cell string, at Place) (int32, error) {
	if p, ok := r.precincts.find(cell); ok {
		return int32(p), nil
	}
	typed := strings.TrimSpace(cell)
	return 0, fault(at, "precinct", didYouMean(typed, r.precincts.list, "add it to precincts.csv or correct the name"),
		"%s is not among the precincts", quote(typed))
}

// readFaces sorts the rows into faces, in the order of their first rows, and each
// face's rows by position.
func (r *ballots) readFaces() error {
	rows := r.sheets.Ballots
	faceOf := make([]int32, len(rows))
	positions := make([]int32, len(rows))
	r.contests = make([]int32, len(rows))
	var sizes []int32
	// follows[c] is the row whose contest last followed contest c: mostly it
	// follows again.
	follows := make([]int32, len(r.election.Contests))
	for i := range rows {
		row := &rows[i]
		if i > 0 && row.Precinct == rows[i-1].Precinct && row.Style == rows[i-1].Style && row.Party == rows[i-1].Party {
			faceOf[i] = faceOf[i-1]
		} else {
			f, err := r.face(row)
			if err != nil {
				return err
			}
			if int(f) == len(sizes) {
				sizes = append(sizes, 0)
			}
			faceOf[i] = f
		}
		sizes[faceOf[i]]++

		position, err := readPosition(row.Position, row.Place)
		if err != nil {
			return err
		}
		positions[i] = int32(position)

		if i > 0 {
			before := r.contests[i-1]
			if likely := follows[before]; rows[likely].Contest == row.Contest {
				r.contests[i] = r.contests[likely]
				follows[before] = int32(i)
				continue
			}
		}
		c, err := r.contest(row.Contest, row.Place)
		if err != nil {
			return err
		}
		r.contests[i] = int32(c)
		if i > 0 {
			follows[r.contests[i-1]] = int32(i)
		}
	}

	all := make([]int32, len(rows))
	start := int32(0)
	for f, size := range sizes {
		r.faces[f].rows = all[start : start : start+size]
		start += size
	}
	for i, f := range faceOf {
		r.faces[f].rows = append(r.faces[f].rows, int32(i))
	}
	for f := range r.faces {
		order := r.faces[f].rows
		byPosition := func(x, y int32) int { return cmp.Compare(positions[x], positions[y]) }
		if !slices.IsSortedFunc(order, byPosition) {
			slices.SortStableFunc(order, byPosition)
		}
		for k := 1; k < len(order); k++ {
			if positions[order[k]] == positions[order[k-1]] {
				row := &rows[order[k]]
				return fault(row.Place, "position",
					"give each contest on a ballot its own position, or correct the precinct, style or party of one row",
					"position %d of %s already stands on %s", positions[order[k]], describeFace(row), rows[order[k-1]].other())
			}
		}
	}
	return nil
}

func describeFace(row *BallotRow) string {
	words := "the ballot"
	if row.Style != "" {
		words += " of style " + quote(strings.TrimSpace(row.Style))
	}
	if row.Party != "" {
		words += " of party " + quote(strings.TrimSpace(row.Party))
	}
	if row.Precinct != "" {
		words += " in precinct " + quote(strings.TrimSpace(row.Precinct))
	}
	return words
}

// face returns the face that a row belongs to.
func (r *ballots) face(row *BallotRow) (int32, error) {
	key := faceKey{precinct: -1, style: r.label(row.Style)}
	var err error
	if strings.TrimSpace(row.Precinct) != "" {
		if key.precinct, err = r.precinct(row.Precinct, row.Place); err != nil {
			return 0, err
		}
	} else if key.style == 0 {
		return 0, fault(row.Place, "precinct", "name the precinct, or the style that styles.csv gives to precincts",
			"the row names neither precinct nor style")
	}
	if key.parties, err = r.partySet(row.Party, row.Place); err != nil {
		return 0, err
	}
	f, ok := r.index[key]
	if !ok {
		f = int32(len(r.faces))
		r.index[key] = f
		r.faces = append(r.faces, face{faceKey: key})
	}
	return f, nil
}

// readContents reads what stands on each face and numbers the distinct contents.
func (r *ballots) readContents() error {
	rows := r.sheets.Ballots
	var key []byte
	headings, orders := []int32{}, []int32{}
	for f := range r.faces {
		face := &r.faces[f]
		keyed := slices.ContainsFunc(face.rows, func(i int32) bool {
			return strings.TrimSpace(rows[i].Heading)+rows[i].FurtherHeading != ""
		})
		key, headings, orders = key[:0], headings[:0], orders[:0]
		for _, i := range face.rows {
			row := &rows[i]
			heading, order := int32(0), int32(0)
			var err error
			if keyed {
				if heading, err = r.heading(row); err != nil {
					return err
				}
			}
			if row.ChoiceOrder != "" {
				if order, err = r.order(row, r.contests[i]); err != nil {
					return err
				}
			}
			headings, orders = append(headings, heading), append(orders, order)
			key = binary.LittleEndian.AppendUint32(key, uint32(r.contests[i]))
			key = binary.LittleEndian.AppendUint32(key, uint32(heading))
			key = binary.LittleEndian.AppendUint32(key, uint32(order))
		}
		n, ok := r.contents[string(key)]
		if !ok {
			n = int32(len(r.placed))
			r.contents[string(key)] = n
			content := make([]model.Placement, len(face.rows))
			for k, i := range face.rows {
				content[k].Contest = int(r.contests[i])
				if h := headings[k]; h > 0 {
					content[k].Headings = model.Say(r.headings.values[h-1])
				}
				if o := orders[k]; o > 0 {
					content[k].Order = model.Say(r.orders.values[o-1])
				}
			}
			r.placed = append(r.placed, content)
		}
		face.content = n
	}
	return nil
}

// heading numbers the headings above a contest, on a ballot where headings are
// keyed; from 1.
func (r *ballots) heading(row *BallotRow) (int32, error) {
	cells := [2]string{row.Heading, row.FurtherHeading}
	if n, ok := r.headingOf[cells]; ok {
		return n, nil
	}
	words, err := splitHeadings(row.Heading, row.Place)
	if err != nil {
		return 0, err
	}
	var headings []model.Text
	for _, w := range words {
		headings = append(headings, model.Plain(w))
	}
	for _, in := range Further(row.FurtherHeading) {
		words, err := splitHeadings(in.Words, row.Place)
		if err != nil {
			return 0, err
		}
		if len(words) > 0 && len(words) != len(headings) {
			return 0, fault(row.Place, "heading["+in.Language+"]", "write as many headings as in the first language, with one "+
				"| between them",
				"%s are not as many headings as %s", quote(in.Words), quote(row.Heading))
		}
		for i, w := range words {
			headings[i] = append(headings[i], model.Phrase{Language: in.Language, Words: w})
		}
	}
	var key []byte
	for _, h := range headings {
		for _, p := range h {
			key = fmt.Appendf(key, "%s\x00%s\x00", p.Language, canonical(p.Words))
		}
		key = append(key, separator...)
	}
	n := r.headings.add(string(key), headings) + 1
	r.headingOf[cells] = n
	return n, nil
}

// splitHeadings takes a cell of headings apart; none for a dash.
func splitHeadings(cell string, at Place) (out []string, err error) {
	typed := strings.TrimSpace(cell)
	if typed == "" || typed == nothing {
		return nil, nil
	}
	for _, words := range strings.Split(typed, separator) {
		if words = strings.TrimSpace(words); words == "" {
			return nil, fault(at, "heading", "write the headings with one | between them", "%s holds an empty heading",
				quote(typed))
		}
		out = append(out, words)
	}
	return out, nil
}

// order numbers the orders of choices; from 1, 0 for a blank cell.
func (r *ballots) order(row *BallotRow, contest int32) (int32, error) {
	if n, ok := r.orderOf[orderCell{contest, row.ChoiceOrder}]; ok {
		return n, nil
	}
	n := int32(0)
	if typed := strings.TrimSpace(row.ChoiceOrder); typed != "" {
		positions := r.positions[contest]
		remedy := "write all its positions in the order in which this ballot prints them"
		if len(positions) > 0 {
			words := make([]string, 0, len(positions))
			for _, p := range positions[:min(len(positions), 20)] {
				words = append(words, fmt.Sprint(p))
			}
			if len(positions) > len(words) {
				words = append(words, "…")
			}
			remedy += ": " + strings.Join(words, ", ")
		}
		code := quote(r.election.Origins.Contests[contest].ID)
		seen := make([]bool, len(positions))
		var order []int
		for _, cell := range strings.Split(typed, separator) {
			position, ok := readNumber(strings.TrimSpace(cell))
			i, found := slices.BinarySearch(positions, position)
			if !ok || !found {
				return 0, fault(row.Place, "choice_order", remedy, "%s is not a position of contest %s",
					quote(strings.TrimSpace(cell)), code)
			}
			if seen[i] {
				return 0, fault(row.Place, "choice_order", remedy, "position %d of contest %s is listed twice", position, code)
			}
			seen[i] = true
			order = append(order, i)
		}
		if i := slices.Index(seen, false); i >= 0 {
			return 0, fault(row.Place, "choice_order", remedy, "position %d of contest %s is not listed", positions[i], code)
		}
		// The order of one contest fits every contest with as many choices.
		n = r.orders.add(fmt.Sprint(order), order) + 1
	}
	r.orderOf[orderCell{contest, row.ChoiceOrder}] = n
	return n, nil
}
