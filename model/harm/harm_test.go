package harm

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestWhatALabelLooksLike(t *testing.T) {
	for label, want := range map[string]Kind{
		"#REF!": Error, "#N/A": Error, "#VALUE!": Error, "#NAME?": Error, "######": Error, "Err:502": Error, "Err:5": None,
		"#": None, "#3": None,
		"1-Jan": Date, "Jan-01": Date, "2027-01-01": Date, "1/2/2027": Date, "01-Jan-27": Date, "2027-01-01 00:00:00": Date,
		"12/31/27": Date,
		"1-01":     None, "1/2": None, "1-2-27": None, "March 1": None, "1 March": None, "May": None, "May-Brook": None,
		"Jan-1st":    None,
		"13/32/2027": None, "2027-13-01": None, "45-Jan": None, "0-Jan": None,
		"1.2E+05": Scientific, "1E+05": Scientific, "1.23457E+17": Scientific,
		// A precinct may be called so, and no spreadsheet writes it so.
		"1E05": None, "1E5": None, "12E": None, "E+05": None,
		"123456789012345000": Cut, "1234567890123450": Cut, "123456789012345678": None, "100000": None,
		"0000000000000000": None,
		"7":                None, "007": None, "": None,
	} {
		assert.Equal(t, want, Form(label), label)
	}
}

func TestWhichLabelWasMadeOfWhich(t *testing.T) {
	for _, test := range []struct {
		label, whole string
		want         Kind
	}{
		{"1-Jan", "1-01", Date}, {"1-Jan", "01-01", Date}, {"2-Jan", "1-02", Date}, {"1-Feb", "1-02", Date},
		{"1-Jan", "1/1", Date},
		{"2027-01-02", "1-02", Date}, {"1/2/2027", "1-02", Date}, {"02-Jan-27", "1-02", Date}, {"Jan-45", "1-45", Date},
		{"Jan-01", "1-01", Date},
		{"1/2/2027", "1-2-27", Date}, {"1-Jan-45", "1-45", Date}, {"2027-01-02 0:00:00", "1-02", Date},
		{"1-Jan", "1-03", None}, {"1-Jan", "North 1", None}, {"1-Jan", "1-Jan", None}, {"1-01", "1-Jan", None},
		{"1/2/2027", "1-2-26", None},
		{"7", "007", Zeros}, {"1.1", "1.10", Zeros}, {"101", "0101", Zeros}, {"0", "000", Zeros}, {"7", "0070", None},
		{"007", "7", None},
		{"7", "8", None}, {"A7", "A07", None}, {"7", "7", None},
		{"1E+05", "100000", Scientific}, {"1.00E+05", "1E05", Scientific}, {"1.23E+17", "123456789012345678", Scientific},
		{"1.24E+17", "123456789012345678", None}, {"1E05", "100000", None},
		{"123456789012345000", "123456789012345678", Cut}, {"123456789012345000", "123456789012346678", None},
		{"123456789012345000", "12345678901234567", None},
		// Days since 30 December 1899, as date arithmetic gives them: 1 January 2026, 2 January 2027, 1 January 1945.
		{"46023", "1-01", Serial}, {"46389", "1-02", Serial}, {"46389", "2-1", Serial}, {"16438", "1-45", Serial},
		{"46389", "1-2-27", Serial}, {"46389", "1-2-26", None}, {"46389", "1-03", None}, {"16439", "1-02", None},
		{"46023", "46024", None}, {"46023", "North 1", None}, {"99999", "10-14", None}, {"46023", "046023", Zeros},
	} {
		assert.Equal(t, test.want, Of(test.label, test.whole), "%s of %s", test.label, test.whole)
		of, kind := NewLabels([]string{"Elm", test.whole, "Oak"}).First(test.label)
		assert.Equal(t, test.want, kind, "%s is found among others", test.label)
		assert.Equal(t, kind != None, of == test.whole)
	}
}

func FuzzOf(f *testing.F) {
	f.Add("1-Jan", "1-01")
	f.Add("1.2E+300", "9e999")
	f.Fuzz(func(t *testing.T, a, b string) {
		if Of(a, a) != None {
			t.Errorf("%q is made of itself", a)
		}
		if _, kind := NewLabels([]string{b}).First(a); kind != Of(a, b) {
			t.Errorf("%q of %q: %v, and %v among labels", a, b, Of(a, b), kind)
		}
	})
}
