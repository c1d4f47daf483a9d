package planted

import (
	"fmt"
	"math/rand/v2"
	"strings"
)

// All names of people, places and parties in this package are invented.

var givenNames = strings.Fields(`
Abel Ada Adele Agnes Alba Albert Alma Alvin Ambrose Amos Anita Anna Anne Ansel Arlo Astrid Audra Basil Beata Benita
Bernard Bertha Boyd Bruno Calvin Camille Carla Carmen Cecil Celia Chester Clara Claude Clyde Cora Cyrus Dalia Damon
Daphne Darius Della Denzel Dora Dorian Earl Edith Edgar Elena Elias Elmer Eloise Elsa Emeric Enid Enzo Esther Ethel
Eugene Fabian Fay Felix Fern Fidel Flora Floyd Gail Gideon Gilda Glenn Greta Gus Hazel Hector Helga Hiram Homer Ida
Ignatius Imogen Ines Ira Irma Ivan Ivor Jarvis Jasper Joan Joanne Joel Jon John Jonas Josephine Judith Julia Julian
Karl Kent Lars Laura Leander Lena Leon Lois Lorna Louisa Lucas Lucia Luther Mabel Magda Marcus Marian Marianne Mario
Maud Milo Mina Minerva Moira Myra Nadia Nestor Nina Noel Nora Olaf Olga Orson Oscar Otis Otto Pablo Paula Pearl Percy
Petra Phoebe Quentin Ramona Rene Rhoda Rita Roland Rosa Rufus Ruth Sabina Selma Silas Simon Sonia Stella Sylvia Tamar
Thea Theo Thelma Tobias Ursula Vera Verna Viola Wade Walter Wanda Wilma Winston Yara Yolanda Zelda Zora`)

var accentedGivenNames = strings.Fields(`
Andrés Benoît Chloé Désirée Élodie Émile Éva François Héctor Inés José Jürgen Léa María Noël Óscar Raúl René Sofía
Søren Tomás Zoë`)

var surnames = strings.Fields(`
Abbeton Aldersey Alverstoke Amberley Ansty Arkwell Ashgrove Axford Balmforth Barrowby Beckhart Bellweather Benthall
Birchall Blackmere Bolingham Brackley Bramholt Brandreth Bridgewell Broadmoor Brockway Burdekin Calloway Carrick
Castleman Catterick Chadmoor Charnley Claverdon Colebrook Copperfield Corringham Crandall Crosthwaite Culver Dalebrook
Danforth Darrowby Deverell Dillworth Dorrington Drakeford Dunmore Eastlake Eddington Elmsworth Everleigh Fairbourne
Farnaby Fenwright Fernald Fitchwood Flaxman Fothergill Foxley Garrowby Gatewood Gillingham Glanville Goldthwaite
Goodspeed Granby Greenhalgh Grimsdale Hadderley Halloran Hallorand Hambleton Harcastle Hargrave Hartwell Haverford
Hawkridge Hazelden Heatherton Heddington Hollander Holloway Huntley Ingleby Ironside Jessop Jolliffe Kellaway Kelsworth
Kendrick Kettlewell Kilbourne Kingsnorth Kirkbride Lackland Lambourne Langworth Larkspur Leatherby Lindqvist Lockhart
Loxley Lydgate Maddock Mallory Malory Manderly Marchbank Marrow Massingham Mayfield Merriweather Middlebrook Millhouse
Moffatt Monkton Morrowby Mossgrave Netherby Nettlefold Newbold Nightingale Northcote Oakhanger Oldcastle Ormsby
Osterley Otterbourne Overton Packwood Palfrey Pemberley Pennyfather Peverell Pickersgill Plumstead Polwarth Prentiss
Quarrington Quillfeather Radnor Ravenhill Redfern Redmayne Ridgely Rokeby Rosewarne Rothwell Rushbrook Saltmarsh
Sandringham Satterfield Scarborough Selwood Shadwell Shelby Sherbourne Silverton Somerby Southwick Springfield Stanhope
Stillwater Stockdale Strangeways Summerhayes Sutterby Swinburne Tallantyre Tamworth Tarleton Templeton Thackeray
Thistlewood Thornbury Thorneycroft Tilbury Tolliver Tranmere Trevelyan Underhill Uppingham Vandermeer Vickery Wadsworth
Wainwright Walsingham Warboys Waverley Weatherby Westbrook Whitcombe Wildgoose Windermere Winterbourne Wolverton Woodhouse
Wragby Wyndham Yardley Yelverton`)

// Surnames that a keyboard or a wordlist gets wrong.
var trickySurnames = []string{
	"O'Dunmore", "O'Harrowby", "D'Ambrosia-Vell", "McAllerton", "MacAllerton", "de la Peñarosa", "Núñez-Vale",
	"Müllerbach",
	"Ångsten", "Lefèvre-Royd", "Señorán", "Åkerholm", "Thorn-Bury", "St. Aldwyn", "Van der Meerle", "Çelikar",
	"Ó Donnavan",
	"Zelenić", "Fernández-Mora", "Garçonet",
}

var townNames = strings.Fields(`
Harrow Millbrook Ashford Easterby Penrith Kelmscott Stonebridge Larchmere Oakfield Wexcombe Brindle Foxhollow Greenvale
Highmoor Ivybridge Jasperton Kingsmere Lowfell Marlowe Netherton Orchard Pinehurst Quarry Ravensworth Saltwick Thornlea
Underwood Vinehall Westerby Yarrow Zephyr Birchwood Coldwater Dunelm Elmstead`)

var partyNames = []struct{ code, name string }{
	{"CIV", "Civic Union"}, {"GRA", "Grange Party"}, {"HAR", "Harbor Alliance"}, {"WRK", "Workshop League"},
	{"COM", "Commonweal"}, {"IND", "Independent Lantern"},
}

var siteNames = strings.Fields(`
School Library Firehouse Gymnasium Armory Chapel Annex Pavilion Lodge Arcade Academy Cannery Depot Granary Museum`)

// person is a candidate as the ballot names them.
type person struct {
	given, surname, suffix string
}

func (p person) String() string {
	s := p.given + " " + p.surname
	if p.suffix != "" {
		s += p.suffix
	}
	return s
}

// namer hands out candidates. No two have the same printed name, many have
// nearly the same: brothers, fathers and sons, Ann and Anne.
type namer struct {
	rand  *rand.Rand
	given map[string]bool
	used  []person
}

func newNamer(r *rand.Rand) *namer { return &namer{rand: r, given: map[string]bool{}} }

func (n *namer) fresh() person {
	for {
		p := person{given: pick(n.rand, givenNames), surname: pick(n.rand, surnames)}
		if n.rand.IntN(9) == 0 {
			p.given = pick(n.rand, accentedGivenNames)
		}
		if n.rand.IntN(7) == 0 {
			p.surname = pick(n.rand, trickySurnames)
		}
		switch n.rand.IntN(12) {
		case 0, 1, 2:
			p.given += fmt.Sprintf(" %c.", 'A'+rune(n.rand.IntN(26)))
		case 3:
			p.given += fmt.Sprintf(" %q", pick(n.rand, givenNames))
		}
		switch n.rand.IntN(14) {
		case 0:
			p.suffix = ", Jr."
		case 1:
			p.suffix = " III"
		}
		if n.take(p) {
			return p
		}
	}
}

// kin returns somebody whose name is nearly that of an earlier candidate.
func (n *namer) kin(of person) person {
	for {
		p := of
		switch n.rand.IntN(3) {
		case 0: // a brother or sister
			p.given, p.suffix = pick(n.rand, givenNames), ""
		case 1: // a parent or child
			p.suffix = pick(n.rand, []string{"", ", Jr.", ", Sr.", " III"})
		default: // a cousin with the same initial
			for _, g := range givenNames {
				if g[0] == of.given[0] && n.rand.IntN(4) == 0 {
					p.given = g
				}
			}
		}
		if n.take(p) {
			return p
		}
		of = pick(n.rand, n.used)
	}
}

func (n *namer) take(p person) bool {
	if n.given[p.String()] {
		return false
	}
	n.given[p.String()] = true
	n.used = append(n.used, p)
	return true
}

func pick[T any](r *rand.Rand, list []T) T { return list[r.IntN(len(list))] }
