package main

import (
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/assets/demo"
	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// What the window collected is said, and settles nothing.
func TestTheListToBeSignedIsSaid(t *testing.T) {
	folder := open(t, "export.xml")
	before := standingOf(t, folder)
	c, err := casefile.Open(filepath.Join(folder, demo.CaseName), casefile.Options{})
	require.NoError(t, err)
	s, err := review.New(c).Now()
	require.NoError(t, err)
	require.NoError(t, review.New(c).Collect("", review.Verdict{Findings: []string{s.Items[0].ID},
		Outcome: casefile.OutcomeRefer, Reason: "unclear"}))
	require.NoError(t, c.Close())
	require.Equal(t, before.Findings, standingOf(t, folder).Findings)
	said := strings.Join(strings.Fields(cproofIn(t, folder, "findings", demo.CaseName).out), " ")
	assert.Contains(t, said, "On the window's list to be signed: 1 decision. Nobody has signed yet")
	log := strings.Join(strings.Fields(does(t, cproofIn(t, folder, "log", demo.CaseName)).out), " ")
	assert.Contains(t, log, "put on the list to be signed, by nobody yet: refer: "+s.Items[0].ID+"; unclear")
	does(t, cproofIn(t, folder, "verify", demo.CaseName))
}

// A pair that disagrees refers with one signature. What was referred is decided with the supervisor's.
func TestOneOfThePairRefersAndTheSupervisorDecides(t *testing.T) {
	folder := open(t, "export.xml")
	var id string
	for _, f := range standingOf(t, folder).Findings {
		if f.Check == "vote-for" && strings.Contains(f.Message, "County Judge") {
			id = f.ID
		}
	}
	require.NotEmpty(t, id)
	decide := func(lines, who, outcome string, more ...string) ran {
		return with(t, lines, folder, append([]string{"decide", demo.CaseName, id, "--outcome", outcome, "--reason",
			"we read the list differently", "--signed-by", who}, more...)...)
	}
	document := []string{"--document", "Certified list, 1 October"}
	oneLineError(t, decide(secondLine, "IT", "fix-configuration", document...), "programmer")
	assert.Contains(t, does(t, decide(secondLine, "IT", "refer")).out, "referred to the supervisor")
	oneLineError(t, decide(pairLines, "HV,IT", "fix-configuration", document...), "supervisor, who signs")
	does(t, decide(pairLines+supervisorLine, "HV,IT,NC", "fix-configuration", document...))
	oneLineError(t, decide(secondLine, "IT", "refer"), "both of them refer it")
	log := does(t, cproofIn(t, folder, "log", demo.CaseName)).out
	assert.Contains(t, log, "signed by Imre Tallow (IT)\n")
}
