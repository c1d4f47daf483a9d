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

// A certified list comes in before the seal, signed by the second party; what it says of the entries is
// shown with the comparison, and nothing of it before.
func TestACertifiedListComesIntoACase(t *testing.T) {
	folder := demoCase(t)
	at := func(name, text string) string {
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), []byte(text), 0o600))
		return name
	}
	list := at("list.csv", "contest,name,vote_for\nCounty Judge,Someone Else Entirely,2\n")
	witness := func(lines, file, kind, signer string, more ...string) ran {
		return with(t, lines, folder, append([]string{"witness", demo.CaseName, file, "--kind", kind, "--document",
			"Certified list", "--as-of", "1 October 2027", "--signed-by", signer}, more...)...)
	}
	alone := witness("hearth programmer\n", list, "candidates", "HV")
	assert.Equal(t, exitUnusable, alone.status)
	assert.Contains(t, alone.err, "second party")
	oneLineError(t, witness("meridian second party\n", list, "districts", "IT"), "without --mapping, a district table has")
	oneLineError(t, witness("meridian second party\n", at("x.csv", ""), "sites", "IT"), "without --mapping")
	came := strings.Join(strings.Fields(does(t, witness("meridian second party\n", list, "candidates", "IT")).out), " ")
	assert.Contains(t, came, `To be signed in: the certified list "Certified list", 1 October 2027. list.csv`)
	assert.Contains(t, came, "It was read as 1 contest and 1 candidate.")
	assert.Contains(t, came, "held against both entries once the ballots are sealed")
	assert.NotContains(t, came, "agrees")
	oneLineError(t, witness("meridian second party\n", list, "candidates", "IT"), "in the case already")
	blind := cproofIn(t, folder, "findings", demo.CaseName)
	oneLineError(t, blind, "not sealed")

	sealBoth(t, folder)
	does(t, cproofIn(t, folder, "export-in", demo.CaseName, "--by", "HV", "export.xml"))
	now := cproofIn(t, folder, "findings", demo.CaseName)
	text := strings.Join(strings.Fields(now.out), " ")
	assert.Contains(t, text, `The certified list agrees with the second entry. "County Judge": the export lets a voter `+
		`vote for 1, and vote for 2 was keyed.`)
	assert.Contains(t, text, `no such name in the export and the second entry, "Someone Else Entirely" in the certified list `+
		`(list.csv, line 2). [list-differs]`)
	log := strings.Join(strings.Fields(does(t, cproofIn(t, folder, "log", demo.CaseName)).out), " ")
	assert.Contains(t, log, `brought in the certified list "Certified list", 1 October 2027: "list.csv"`)

	// A later version takes its place.
	list = at("list.csv", "contest,name,vote_for\nCounty Judge,Someone Else Entirely,1\n")
	again := strings.Join(strings.Fields(does(t, witness("meridian second party\n", list, "candidates", "IT")).out), " ")
	assert.Contains(t, again, `"cproof findings" shows what it says.`)
	text = strings.Join(strings.Fields(cproofIn(t, folder, "findings", demo.CaseName).out), " ")
	assert.Contains(t, text, `The certified list agrees with the export. "County Judge"`)
	assert.NotContains(t, text, `agrees with the second entry. "County Judge"`)
}

// The demo's certified documents say of each planted difference that they speak of who is wrong, as
// PLANTED.md has it, and find the one mistake that export and proof share.
func TestTheDemosCertifiedDocumentsSayWhoIsWrong(t *testing.T) {
	folder := demoCase(t)
	for _, d := range demo.Documents {
		does(t, with(t, "meridian second party\n", folder, "witness", demo.CaseName, d.File, "--kind", string(d.Kind),
			"--mapping", d.Mapping, "--document", d.Name, "--as-of", d.Version, "--signed-by", "IT"))
	}
	sealBoth(t, folder)
	does(t, cproofIn(t, folder, "export-in", demo.CaseName, "--by", "HV", "export.xml"))
	var found []struct{ Check, Contest, Message string }
	require.NoError(t, json.Unmarshal([]byte(findingsOf(t, cproofIn(t, folder, "findings", demo.CaseName, "--format",
		"json"))), &found))
	const list, table = "The certified list agrees with the ", "The district table agrees with the "
	said := map[string]string{}
	for _, f := range found {
		words, _, _ := strings.Cut(f.Message, ". ")
		if strings.HasPrefix(words, "The ") && strings.Contains(words, " agrees with the ") {
			said[f.Check+" "+f.Contest] = words
		}
		if f.Check == "district-table" {
			assert.Equal(t, `1-04: "Proposition Two Hollin Library District – Reading Room Bond" is left off the ballot, in the `+
				`export and the second entry, against the district table.`, f.Message)
		}
		assert.NotEqual(t, "list-differs", f.Check, f.Message)
	}
	assert.Len(t, found, 16)
	assert.Equal(t, map[string]string{
		"vote-for County Judge":                                     list + "second entry",
		"party-line District Attorney":                              list + "second entry",
		"choice-name Member of Town Council Town of Alder Falls":    list + "second entry",
		"contest-missing Superintendent of Highways Town of Corrie": table + "second entry",
		"wrong-style ": table + "second entry",
		"choice-order Member of Town Council Town of Brightwater": list + "second entry",
		"lookalike Superintendent of Highways Town of Dunmere":    list + "second entry",
		"choice-name Town Supervisor Town of Corrie":              list + "export",
		"vote-for Member of Town Council Town of Dunmere":         list + "export",
	}, said)
}
