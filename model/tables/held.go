package tables

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"hash"
	"slices"
	"strconv"
	"strings"

	"counterproof/model"
)

// maxHeld bounds what is held of a whole export, in bytes; what is beyond is held as one digest.
const maxHeld = 64 << 20

// holder keeps what no column of ours took.
type holder struct {
	hold   bool
	counts map[string]int
	// list is what belongs to some row; loose what belongs to none.
	list  []model.Held
	loose []model.Held
	size  int
	rest  hash.Hash
}

// spare are the columns of a table that no source reads.
type spare struct {
	columns []int
	member  []string // what each is called
	counts  []int
	// from is the first column beyond the header.
	from int
}

// spareColumns finds them.
func spareColumns(h *header, plans []*plan, fill []int) *spare {
	s := &spare{from: len(h.names)}
	for i, name := range h.names {
		if slices.ContainsFunc(plans, func(p *plan) bool { return slices.Contains(p.uses, i) }) || slices.Contains(fill,
			i) {
			continue
		}
		if name == "" {
			name = "column " + columnName(i) + " without a name"
		}
		s.columns, s.member = append(s.columns, i), append(s.member, name)
	}
	s.counts = make([]int, len(s.columns))
	return s
}

// count adds what the tables hold in spare columns.
func (h *holder) count(g *grid, s *spare) {
	for i, n := range s.counts {
		if n > 0 {
			h.counts[g.name()+", "+s.member[i]] += n
		}
	}
}

// row holds the spare cells of a row; it returns them as indexes into list, if the row is about
// a thing.
func (h *holder) row(g *grid, s *spare, cells []string, about bool) (out []int32) {
	for i, c := range s.columns {
		if c < len(cells) && cells[c] != "" {
			s.counts[i]++
			out = h.add(out, about, s.member[i], cells[c])
		}
	}
	for c := s.from; c < len(cells); c++ {
		if cells[c] != "" {
			member := "column " + columnName(c) + " without a name"
			h.counts[g.name()+", "+member]++
			out = h.add(out, about, member, cells[c])
		}
	}
	return out
}

// whole holds a row of which no row of a sheet is made.
func (h *holder) whole(g *grid, what string, cells []string) {
	h.counts[g.name()+", "+what]++
	if h.hold {
		h.add(nil, false, what, strings.Join(cells, "\x1f"))
	}
}

// above holds what stands above the header and no template names.
func (h *holder) above(g *grid, l line, plans []*plan) {
	for c := range l.cells {
		name := fmt.Sprintf("@%s%d", columnName(c), l.row)
		if slices.ContainsFunc(plans, func(p *plan) bool { return p.names(name) }) {
			l.cells[c] = ""
		}
	}
	if trim(l.cells) {
		h.whole(g, "rows above the header", l.cells)
	}
}

func (h *holder) add(to []int32, about bool, member, words string) []int32 {
	if !h.hold {
		return to
	}
	words = shortened(words)
	if h.size += len(member) + len(words) + 64; h.size > maxHeld {
		if h.rest == nil {
			h.rest = sha256.New()
		}
		fmt.Fprintf(h.rest, "%q%q", member, words)
		return to
	}
	if !about {
		h.loose = append(h.loose, model.Held{Member: member, Words: words})
		return to
	}
	h.list = append(h.list, model.Held{Member: member, Words: words})
	return append(to, int32(len(h.list)-1))
}

// shortened keeps the beginning of long words, and their digest.
func shortened(words string) string {
	const most = 200
	if len(words) <= most {
		return words
	}
	sum := sha256.Sum256([]byte(words))
	return strings.ToValidUTF8(words[:most], "") + "… " + hex.EncodeToString(sum[:8])
}

// attach puts what is held on the things of the election that the rows became.
func (g *gathered) attach(e *model.Election) {
	o := &e.Origins
	o.Uncompared = g.held.counts
	if !g.held.hold {
		return
	}
	for i := range g.piles["parties"].rows {
		g.give(&o.Parties[i].Held, &g.piles["parties"].rows[i])
	}
	contests := map[string]int{}
	for i := range g.piles["contests"].rows {
		row := &g.piles["contests"].rows[i]
		contests[canonical(row.cells[0])] = i
		g.give(&o.Contests[i].Held, row)
	}
	g.attachFirst("precincts", func(i int) *[]model.Held { return &o.Precincts[i].Held })
	g.attachFirst("units", func(i int) *[]model.Held { return &o.Units[i].Held })
	choices := g.piles["choices"]
	byContest := map[int][]*made{}
	for i := range choices.rows {
		c := contests[canonical(choices.cell(choices.rows[i].cells, "contest"))]
		byContest[c] = append(byContest[c], &choices.rows[i])
	}
	for c, rows := range byContest {
		slices.SortStableFunc(rows, func(a, b *made) int {
			x, _ := strconv.Atoi(choices.cell(a.cells, "position"))
			y, _ := strconv.Atoi(choices.cell(b.cells, "position"))
			return x - y
		})
		for j, row := range rows {
			g.give(&o.Contests[c].Choices[j].Held, row)
		}
	}
	o.Held = append(o.Held, g.held.loose...)
	if g.held.rest != nil {
		o.Held = append(o.Held, model.Held{Member: "What is beyond 64 MB", Words: hex.EncodeToString(g.held.rest.Sum(nil))})
	}
	o.Held = sorted(o.Held)
}

// attachFirst is for sheets whose rows are several for one thing, which come in the order of
// their first rows: units by name and use, precincts by name.
func (g *gathered) attachFirst(sheet string, held func(int) *[]model.Held) {
	p := g.piles[sheet]
	number := map[string]int{}
	for i := range p.rows {
		key := p.cell(p.rows[i].cells, strings.TrimSuffix(sheet, "s"))
		if sheet == "units" {
			use := strings.ToLower(p.cell(p.rows[i].cells, "use"))
			if use == string(model.UseElectionDay) {
				use = ""
			}
			key += "\x00" + use
		}
		n, ok := number[canonical(key)]
		if !ok {
			n = len(number)
			number[canonical(key)] = n
		}
		g.give(held(n), &p.rows[i])
	}
}

func (g *gathered) give(to *[]model.Held, row *made) {
	for _, i := range row.held {
		*to = append(*to, g.held.list[i])
	}
	*to = sorted(*to)
}

// sorted orders what is held, each once: how often a table repeats it says nothing.
func sorted(list []model.Held) []model.Held {
	slices.SortFunc(list, func(a, b model.Held) int {
		return strings.Compare(a.Member+"\x00"+a.Words, b.Member+"\x00"+b.Words)
	})
	return slices.Compact(list)
}
