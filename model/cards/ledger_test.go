package cards_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"counterproof/model/cards"
)

func TestALedgerIsRead(t *testing.T) {
	list, err := cards.ReadLedger("ledger.csv", []byte("\ufeffUnit,label,made,by,export\r\n"+
		"1042, C-12 ,2027-10-11 14:30,OF,ab\r\n,,,,\r\n"))
	require.NoError(t, err)
	require.Equal(t, []cards.Card{{Label: "C-12", Unit: "1042", Export: "ab", Made: "2027-10-11 14:30", By: "OF"}}, list)
	list, err = cards.ReadLedger("ledger.csv", []byte("label;unit;export;made;by\nC-12;1042;ab;2027-10-11;OF\n"))
	require.NoError(t, err)
	require.Equal(t, []cards.Card{{Label: "C-12", Unit: "1042", Export: "ab", Made: "2027-10-11", By: "OF"}}, list)
	for says, text := range map[string]string{
		"no header row":             "",
		`column "serial"`:           "label,unit,export,made,by,serial\n",
		`column "label"`:            "label,unit,export,made,by,label\n",
		"a column is missing":       "label,unit\n",
		"line 2: 2 values":          "label,unit,export,made,by\na,b\n",
		"there is a quotation mark": "label,unit,export,made,by\na\"b,c,d,e,f\n",
		"there is a NUL byte":       "label,unit,export,made,by\na\x00,c,d,e,f\n",
		"is not UTF-8":              "label,unit,export,made,by\na\xff,c,d,e,f\n",
	} {
		_, err := cards.ReadLedger("ledger.csv", []byte(text))
		require.ErrorContains(t, err, says)
		require.ErrorContains(t, err, "ledger.csv")
	}
}

func FuzzLedger(f *testing.F) {
	f.Add([]byte("label,unit,export,made,by\na,b,c,d,e\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		list, err := cards.ReadLedger("ledger.csv", data)
		if err != nil && len(list) > 0 {
			t.Fatal("rows beside an error")
		}
	})
}
