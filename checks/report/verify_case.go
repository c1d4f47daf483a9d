package report

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"slices"

	"github.com/go-json-experiment/json/jsontext"

	"counterproof/checks/review"
	"counterproof/checks/wording"
	"counterproof/model/casefile"
)

// reportsOf checks every signed report of a case: its signatures against the roster of the case,
// and its contents by making it again from the case as it was then.
func (c *Checked) reportsOf(of *casefile.Case, signed []*Report) (err error) {
	state := of.State()
	for i, a := range state.SignOffs {
		r := signed[i]
		where := fmt.Sprintf("the report signed in entry %d", a.Seq)
		checked := c.signatures(where, r)
		checked.Entry = a.Seq
		for _, s := range a.Terms.Reported {
			signer, onCase := state.Person(s.Person)
			onReport := r.person(string(s.Person))
			if !onCase || onReport == nil || signer.Fingerprint.String() != onReport.Fingerprint {
				c.fault(where, "the key of %s on it is not that of the case's roster", s.Person)
			}
		}
		if r.Case != state.ID || r.Entries != a.Seq-1 || r.Head != a.Head.String() {
			c.fault(where, "it is of another case, or of entry %d with another head than the journal has there", r.Entries)
			continue
		}
		if checked.Remade, err = c.again(of, r, where); err != nil {
			return err
		}
		if checked.Remade && !slices.Equal(a.Terms.Exceptions, r.exceptions()) {
			c.fault(where, "its exceptions are not those that the case records")
		}
	}
	return nil
}

// exceptions returns the exceptions of a signed report, in the form in which review.MaySign words
// them for the record.
func (r *Report) exceptions() []string {
	var list []string
	for _, m := range r.Missing {
		if m.Exception != "" {
			list = append(list, fmt.Sprintf("%s Signed in spite of it: %s", m.Words, m.Exception))
		}
	}
	return list
}

// again makes a report again from the case as it was then, and reports whether it is the same.
func (c *Checked) again(of *casefile.Case, r *Report, where string) (same bool, err error) {
	if r.Rendering >= 1 && r.Rendering < Rendering {
		c.Notes = append(c.Notes,
			Fault{where, fmt.Sprintf("it was made by an earlier version of this program (rendering %d, and this is %d). "+
				"Its digest and its signatures were checked; only that version makes it again from the case", r.Rendering,
				Rendering)})
		return false, nil
	}
	if r.Rendering < 1 || r.Rendering > Rendering {
		c.Unchecked = append(c.Unchecked, Fault{where, fmt.Sprintf("it was made by a version of this program that makes "+
			"reports otherwise (rendering %d, this is %d), so it was not made again from the case; that version does",
			r.Rendering, Rendering)})
		return false, nil
	}
	then, err := of.At(r.Entries)
	if err != nil {
		return false, err
	}
	defer then.Close() // only read
	exceptions := map[string]string{}
	for _, m := range r.Missing {
		if m.Exception != "" {
			exceptions[m.ID] = m.Exception
		}
	}
	made, err := makeWith(context.Background(), review.New(then), exceptions, nonNil(r.Clock), r.Program)
	if err != nil {
		c.fault(where, "it cannot be made again from the case as it stood then: %v", err)
		return false, nil
	}
	want, err := made.JSON()
	if err != nil {
		return false, err
	}
	got, err := r.JSON()
	if err != nil {
		return false, err
	}
	if same = bytes.Equal(got, want); same {
		return true, nil // and so is the annex, whose digest it states
	}
	what := "it says"
	if made.Annex != r.Annex && r.annex != nil {
		what, got, want = "its annex says", r.annex.raw, made.annex.raw
	}
	c.fault(where, "made again from the case, %s something else, first %s; either another version of this program "+
		"made it, or it was not made of this case", what, firstDifference(got, want))
	return false, nil
}

// firstDifference says where two JSON texts first differ.
func firstDifference(a, b []byte) string {
	da, db := jsontext.NewDecoder(bytes.NewReader(a)), jsontext.NewDecoder(bytes.NewReader(b))
	for {
		ta, errA := da.ReadToken()
		tb, errB := db.ReadToken()
		if errA != nil || errB != nil {
			if errors.Is(errA, io.EOF) && errors.Is(errB, io.EOF) {
				return "nowhere"
			}
			return "at its end"
		}
		if ta.Kind() != tb.Kind() || ta.String() != tb.String() {
			at := string(da.StackPointer())
			if at == "" {
				at = string(db.StackPointer())
			}
			return fmt.Sprintf("at %s (%s, and made again %s)", wording.Visible(at), shortly(ta.String()), shortly(tb.String()))
		}
	}
}

// shortly quotes the beginning of a value.
func shortly(text string) string {
	const most = 60
	if r := []rune(text); len(r) > most {
		text = string(r[:most]) + " …"
	}
	return fmt.Sprintf("%q", wording.Visible(text))
}
