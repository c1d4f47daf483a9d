package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/assets/demo"
)

const bothSign = "hearth programmer\nmeridian second party\n"

// flat is what a command wrote, on one line.
func flat(r ran) string { return strings.Join(strings.Fields(r.out), " ") }

// A warehouse from the rules to the decisions, and a team, by the terminal alone.
func TestCardsAtTheMachine(t *testing.T) {
	if testing.Short() {
		t.Skip("each signature takes a second, because passphrases are made slow to guess")
	}
	folder := demoCase(t)
	both := func(arguments ...string) ran {
		return with(t, bothSign, folder, append(arguments, "--signed-by", "HV,IT", "--passphrase-fd", "0")...)
	}
	cards := func(arguments ...string) ran {
		return cproofIn(t, folder, append([]string{"cards", arguments[0], demo.CaseName}, arguments[1:]...)...)
	}
	oneLineError(t, cards("plan"), "not sealed")
	sealBoth(t, folder)
	does(t, cproofIn(t, folder, "export-in", demo.CaseName, "--by", "HV", "corrected.xml"))
	oneLineError(t, cards("at", "TW-1101", "--by", "IT", "--card", "C-1"), "what its machines are")
	oneLineError(t, both("cards", "rules", demo.CaseName, "--zone", "Eastern", "--no-changes-itself"), "no time zone")
	rules := does(t, both("cards", "rules", demo.CaseName, "--zone", "America/New_York", "--no-changes-itself", "--key",
		"power", "--seal", "memory door", "--counter", "public"))
	assert.Contains(t, flat(rules), "County time is")

	ledger := "label,unit,export,made,by\nC-1101,TW-1101,corrected.xml,2027-10-11,HV\n" +
		"C-1102,tw-1102,corrected.xml,2027-10-11,HV\n"
	write := func(name, text string) {
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), []byte(text), 0o600))
	}
	write("cards.csv", ledger)
	assert.Contains(t, flat(does(t, cards("ledger", "--by", "HV", "cards.csv"))), "2 cards entered by Hollis Varga (HV)")
	write("x.csv", strings.ReplaceAll(ledger, "TW-1101", "9"))
	oneLineError(t, cards("ledger", "--by", "HV", "x.csv"), `no voting unit is called "9"`)
	assert.Contains(t, flat(does(t, cards("plan"))), "TW-1102, election-day: 1-01 to 1-03; 4 districts; card C-1102")
	assert.Contains(t, does(t, cards("plan", "--format", "csv")).out,
		"TW-1101,Alder Falls Fire Hall,election-day,1-01|1-02|1-03")

	// 13:00 in Greenwich on 12 October 2027 is 09:00 in New York; daylight saving time ends after the election.
	shown := flat(does(t, cards("at", "TW-1101", "--by", "IT", "--header", "1-01,1-02", "--card", "C-1102", "--election",
		"GENERAL ELECTION", "--date", "2027-11-02", "--clock", "2027-10-12 08:00", "--read-at", "2027-10-12T13:00:00Z")))
	assert.Contains(t, shown, "the election: agrees")
	assert.Contains(t, shown, "the header: shows 1-01, 1-02, must show 1-01, 1-02, 1-03")
	assert.Contains(t, shown, "the clock is 1 hour behind: it shows 08:00 and must show 09:00.")
	assert.Contains(t, shown, "which is unit TW-1102's")
	assert.Contains(t, shown, "Left to do here: the key power was not tried;")
	oneLineError(t, both("cards", "sign", demo.CaseName, "TW-1101"), "was not tried")
	oneLineError(t, cards("at", "TW-1101", "--by", "IT", "--card", "C-1101"), "correct that")
	oneLineError(t, cards("at", "TW-1101", "--by", "IT", "--turns", "nokey"),
		`no key is called "nokey"; the office's rules have power`)
	oneLineError(t, cards("at", "TW-1101", "--by", "IT", "--counter", "foo=1"), `no counter is called "foo"`)
	oneLineError(t, cards("at", "TW-1101", "--by", "IT", "--applied", "nowhere=5"),
		`no place of a seal is called "nowhere"; the office's rules have memory door`)
	oneLineError(t, cards("at", "TW-1101", "--by", "IT", "--applied", "memory door=--"), "neither a digit nor a letter")
	oneLineError(t, cards("at", "TW-1101", "--by", "IT", "--clock", "2027-10-12 09:05", "--read-at",
		"1999-12-31T23:59:59Z"), "no clock was read in 1999")
	oneLineError(t, cards("at", "TW-1101", "--by", "IT"), "nothing that the unit shows is given")
	oneLineError(t, cards("at", "TW-1101", "--by", "IT", "--card", "x", "--date", "2027-11-02", "--corrects", "3"),
		"alone")
	var entry string
	log := flat(does(t, cproofIn(t, folder, "log", demo.CaseName)))
	assert.Contains(t, log, "unit TW-1101: the card: C-1102, keyed by Imre Tallow (IT)")
	before, _, _ := strings.Cut(log, " unit TW-1101: the card:")
	fields := strings.Fields(before)
	entry = fields[len(fields)-4] // NUMBER DATE TIME UTC
	corrected := flat(does(t, cards("at", "TW-1101", "--by", "IT", "--card", "C-1101", "--corrects", entry, "--reason",
		"misheard")))
	assert.Contains(t, corrected, "the card: agrees")
	assert.NotContains(t, corrected, "which is unit")

	rest := []string{"--turns", "power", "--zero", "all-zero", "--initials", "HV,IT", "--counter", "public=0",
		"--load", "140", "--applied", "memory door=004417"}
	assert.Contains(t, flat(does(t, cards(append([]string{"at", "TW-1101", "--by", "IT"}, rest...)...))),
		"Everything is read here.")
	does(t, both("cards", "sign", demo.CaseName, "TW-1101"))
	assert.Equal(t, "TW-1101, memory door: 004417", flat(does(t, cards("seals", "TW-1101"))))
	assert.Contains(t, flat(does(t, cards("plan"))), "card C-1101; loaded in 2:20")

	words := flat(cards("findings"))
	assert.Equal(t, 11, strings.Count(words, "is not done: "))
	assert.Equal(t, 1, strings.Count(words, "Only a unit that is not used may be accepted"), "advice stands once")
	found := cards("findings", "--format", "json")
	assert.Equal(t, exitFindings, found.status)
	var object struct {
		Format   string `json:"format"`
		Findings []struct {
			ID, Check, Unit, Status string
		} `json:"findings"`
	}
	require.NoError(t, json.Unmarshal([]byte(found.out), &object))
	assert.Equal(t, "counterproof-units/1", object.Format)
	var codes []string
	for _, f := range object.Findings {
		if f.Unit == "TW-1101" {
			codes = append(codes, f.Check)
		}
	}
	assert.Equal(t, []string{"card-header", "clock-off"}, codes)
	assert.Contains(t, flat(does(t, both("cards", "decide", demo.CaseName, "clock-off", "--outcome", "set-clock",
		"--reason", "an hour behind"))), "waiting for a visit that shows it")

	if os.Getenv("CI") != "true" {
		return // a team's case is the same commands again, and each opening takes its time
	}
	does(t, cards("team", "North", "TW-1102", "--by", "HV", "--out", "north.counterproof"))
	oneLineError(t, cproofIn(t, folder, "cards", "at", "north.counterproof", "TW-1101", "--by", "IT", "--card", "x"),
		"not the work of team North")
	does(t, cproofIn(t, folder, append([]string{"cards", "at", "north.counterproof", "TW-1102", "--by", "IT", "--card",
		"C-1102"}, rest...)...))
	assert.Contains(t, flat(does(t, cards("join", "--by", "HV", "north.counterproof"))),
		"What team North recorded is joined")
	assert.Contains(t, flat(cards("findings")), "Unit TW-1102 at Alder Falls Fire Hall, memory door: seal 004417 was "+
		"applied, and that number was used before: unit TW-1101, memory door.")
	for _, name := range []string{demo.CaseName, "north.counterproof"} {
		does(t, cproofIn(t, folder, "verify", name))
		does(t, cproofIn(t, folder, "log", name))
	}
}
