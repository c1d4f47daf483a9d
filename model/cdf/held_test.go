package cdf

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/model"
)

// reportWith is a small report with further elements of the report.
func reportWith(further string) []byte {
	return []byte(`<ElectionReport xmlns="http://itl.nist.gov/ns/voting/1500-100/v2" ` +
		`xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">` + further +
		`<Party ObjectId="p1"><Name><Text Language="en">Orchard Party</Text></Name></Party>` +
		`<Party ObjectId="p2"><Name><Text Language="en">Brook Party</Text></Name></Party>` +
		`<Election><Name><Text Language="en">Town Election</Text></Name></Election></ElectionReport>`)
}

func heldOf(t *testing.T, data []byte) []model.Held {
	t.Helper()
	e, _, err := Read([]Part{{"export.xml", data}}, Options{WithoutStyles: true, Hold: true})
	require.NoError(t, err)
	return e.Origins.Held
}

func TestAReferenceIsHeldAsItsTargetNotAsItsIdentifier(t *testing.T) {
	const office = `<Office ObjectId="%s"><Name><Text Language="en">Clerk</Text></Name></Office>` +
		`<Person ObjectId="x"><FullName><Text Language="en">Ada Lund</Text></FullName><OfficeIds>%[1]s</OfficeIds></Person>`
	a, b := heldOf(t, reportWith(fmt.Sprintf(office, "o1"))), heldOf(t, reportWith(fmt.Sprintf(office, "o2")))
	require.Equal(t, a, b)
	require.Contains(t, fmt.Sprint(a), "Office [en] Clerk")
}

func TestPartiesAreHeldInTheOrderOfTheirNames(t *testing.T) {
	const note = `<Person ObjectId="x"><PartyIds>%s</PartyIds></Person>`
	name := []string{"Orchard Party", "Brook Party"}
	for _, ids := range []string{"p1 p2", "p2 p1"} {
		held := heldOf(t, reportWith(fmt.Sprintf(note, ids)))
		require.Len(t, held, 1)
		said := model.EachParty(held[0].Words, func(i int) string { return name[i] })
		require.Equal(t, "PartyIds Brook Party, Orchard Party", said)
	}
}

// Objects that refer to each other without a name lead round in circles.
func TestObjectsThatReferToEachOtherAreHeld(t *testing.T) {
	require.NotEmpty(t, heldOf(t, reportWith(`<Office ObjectId="a"><OfficeIds>b</OfficeIds></Office>`+
		`<Office ObjectId="b"><OfficeIds>a</OfficeIds></Office>`)))
}

// A reference to a large object is worked out once, however many there are: two thousand to an
// object of a megabyte would be two gigabytes of text otherwise.
func TestManyReferencesToALargeObjectCostNoMoreThanOne(t *testing.T) {
	var list bytes.Buffer
	list.WriteString(`<Office ObjectId="large"><Description>` + strings.Repeat("x", 1<<20) + `</Description></Office>`)
	for i := range 2000 {
		fmt.Fprintf(&list, `<Person ObjectId="p-%d"><OfficeIds>large</OfficeIds></Person>`, i)
	}
	held := heldOf(t, reportWith(list.String()))
	require.Len(t, held, 2001)
	for _, h := range held {
		require.Less(t, len(h.Words), 600)
	}
}

func TestWhatIsBeyondTheBoundIsSeenByItsDigest(t *testing.T) {
	if testing.Short() {
		t.Skip("reads 70 MB three times: long; run without -short")
	}
	var notes bytes.Buffer
	for i := range 70 {
		fmt.Fprintf(&notes, "<Notes>%d %s</Notes>", i, strings.Repeat("n", 1<<20))
	}
	beyond := func(list []model.Held) string {
		for _, h := range list {
			if h.Member == "What is beyond 64 MB" {
				return h.Words
			}
		}
		return ""
	}
	first := beyond(heldOf(t, reportWith(notes.String())))
	require.NotEmpty(t, first)
	require.Equal(t, first, beyond(heldOf(t, reportWith(notes.String()))))
	require.NotEqual(t, first, beyond(heldOf(t, reportWith(strings.Replace(notes.String(), "<Notes>69 n", "<Notes>69 m",
		1)))))
	require.Empty(t, beyond(heldOf(t, reportWith("<Notes>short</Notes>"))))
}
