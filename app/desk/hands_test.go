package desk

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"counterproof/model/casefile"
)

// entered is what was keyed, in one line for each contest: title, subtitle, kind, votes, text, choices
// with their lines, document.
func entered(r *casefile.Keying) string {
	var out []string
	t := r.Tables()
	for row := 1; row < t.Next(casefile.Contests); row++ {
		v := func(column string) string { return t.Value(casefile.Contests, row, column) }
		line := fmt.Sprintf("%s/%s/%s/%s", v("title"), v("subtitle"), v("kind"), v("vote_for"))
		if text := v("text"); text != "" {
			line += "/" + text
		}
		for c := 1; c < t.Next(casefile.Choices); c++ {
			if t.Ref(casefile.Choices, c, "contest") != row {
				continue
			}
			name := t.Value(casefile.Choices, c, "name")
			if t.Value(casefile.Choices, c, "write_in") != "" {
				name = "[" + name + "]"
			}
			line += " | " + strings.TrimSpace(name+" "+t.Value(casefile.Choices, c, "party_lines"))
		}
		if source := v("source"); source != "" {
			line += " <" + source + ">"
		}
		out = append(out, line)
	}
	return strings.Join(out, "\n")
}

// What people type, as they type it: Enter after everything, Tab in its place, marks in capitals or as
// printed, keys ahead of the screen. Whatever they do, what is entered is what they meant, or it is
// missing and shows as missing; nothing else.
func TestWhatHandsTypeIsWhatIsEntered(t *testing.T) {
	const judge = "Judge//candidate/1 | Ada ALD | Bo BRK <Proof>"
	for i, c := range []struct{ name, typed, want string }{
		{"Enter after everything", "A⏎Judge⏎⏎c⏎1⏎Ada⏎ALD⏎Bo⏎BRK⏎⏎Proof⏎", judge},
		{"Tab in place of Enter", "A⇥Judge⇥⇥c⇥1⇥Ada⇥ALD⇥Bo⇥BRK⇥⏎Proof⇥", judge},
		{"capital C", "A⏎Judge⏎⏎C⏎1⏎Ada⏎ALD⏎Bo⏎BRK⏎⏎Proof⏎", judge},
		{"the kind in full", "A⏎Judge⏎⏎candidate⏎1⏎Ada⏎ALD⏎Bo⏎BRK⏎⏎Proof⏎", judge},
		{"codes in small letters, once keyed", "A⏎Judge⏎⏎c⏎1⏎Ada⏎ALD⏎Bo⏎BRK⏎⏎Proof⏎Clerk⏎⏎c⏎1⏎Cy⏎ald⏎⏎⏎",
			judge + "\nClerk//candidate/1 | Cy ALD <Proof>"},
		{"several lines with commas and blanks", "A⏎Judge⏎⏎c⏎1⏎Ada⏎ALD, BRK⏎⏎Proof⏎",
			"Judge//candidate/1 | Ada ALD|BRK <Proof>"},
		{"a dash, then the habitual Enter", "A⏎Judge⏎⏎c⏎1⏎Ada⏎-⏎Bo⏎-⏎⏎Proof⏎",
			"Judge//candidate/1 | Ada - | Bo - <Proof>"},
		{"nonpartisan: no party is asked for from the third on", "A⏎Judge⏎⏎c⏎1⏎Ada⏎-⏎Bo⏎-⏎Cy⏎Di⏎⏎Proof⏎",
			"Judge//candidate/1 | Ada - | Bo - | Cy - | Di - <Proof>"},
		{"nonpartisan, and the dash typed all the same", "A⏎Judge⏎⏎c⏎1⏎Ada⏎-⏎Bo⏎-⏎Cy⏎-⏎Di⏎-⏎⏎Proof⏎",
			"Judge//candidate/1 | Ada - | Bo - | Cy - | Di - <Proof>"},
		{"a measure asks for no party", "A⏎Tax⏎⏎m⏎1⏎Shall it?⏎Yes⏎No⏎⏎Proof⏎",
			"Tax//measure/1/Shall it? | Yes | No <Proof>"},
		{"a measure, and dashes typed all the same", "A⏎Tax⏎⏎m⏎1⏎Shall it?⏎Yes⏎-⏎No⏎-⏎⏎Proof⏎",
			"Tax//measure/1/Shall it? | Yes | No <Proof>"},
		{"a retention question", "A⏎Keep Ro?⏎⏎R⏎1⏎⏎Yes⏎No⏎⏎Proof⏎", "Keep Ro?//retention/1 | Yes | No <Proof>"},
		{"a subtitle", "A⏎Council⏎District 1⏎c⏎2⏎Ada⏎ALD⏎⏎Proof⏎", "Council/District 1/candidate/2 | Ada ALD <Proof>"},
		{"no subtitle printed", "A⏎Council⏎-⏎c⏎2⏎Ada⏎ALD⏎⏎Proof⏎", "Council/-/candidate/2 | Ada ALD <Proof>"},
		{"the same person on two lines", "A⏎Judge⏎⏎c⏎1⏎Ada⏎ALD⏎\"⏎BRK⏎⏎Proof⏎",
			"Judge//candidate/1 | Ada ALD | Ada BRK <Proof>"},
		{"the name above that", "A⏎Judge⏎⏎c⏎1⏎Ada⏎ALD⏎Bo⏎BRK⏎\"\"⏎GRO⏎⏎Proof⏎",
			"Judge//candidate/1 | Ada ALD | Bo BRK | Ada GRO <Proof>"},
		{"a curly mark", "A⏎Judge⏎⏎c⏎1⏎Ada⏎ALD⏎“⏎BRK⏎⏎Proof⏎", "Judge//candidate/1 | Ada ALD | Ada BRK <Proof>"},
		{"a mark with nothing above", "A⏎Judge⏎⏎c⏎1⏎\"⏎✗Ada⏎ALD⏎⏎Proof⏎", "Judge//candidate/1 | Ada ALD <Proof>"},
		{"a write-in by its mark", "A⏎Judge⏎⏎c⏎1⏎Ada⏎ALD⏎_⏎⏎Proof⏎",
			"Judge//candidate/1 | Ada ALD | [Write-in] <Proof>"},
		{"a write-in as printed, confirmed", "A⏎Judge⏎⏎c⏎1⏎Ada⏎ALD⏎Write-in⏎⏎⏎Proof⏎",
			"Judge//candidate/1 | Ada ALD | [Write-in] <Proof>"},
		{"a write-in as printed in capitals", "A⏎Judge⏎⏎c⏎1⏎Ada⏎ALD⏎WRITE-IN⏎⏎⏎Proof⏎",
			"Judge//candidate/1 | Ada ALD | [WRITE-IN] <Proof>"},
		{"a choice that is called so", "A⏎Judge⏎⏎c⏎1⏎Ada⏎ALD⏎Write-in⏎⌃ALD⏎⏎Proof⏎",
			"Judge//candidate/1 | Ada ALD | Write-in ALD <Proof>"},
		{"two write-ins at once", "A⏎Judge⏎⏎c⏎2⏎Ada⏎ALD⏎__⏎⏎Proof⏎",
			"Judge//candidate/2 | Ada ALD | [Write-in] | [Write-in] <Proof>"},
		{"two write-ins", "A⏎Judge⏎⏎c⏎2⏎Ada⏎ALD⏎_⏎_⏎⏎Proof⏎",
			"Judge//candidate/2 | Ada ALD | [Write-in] | [Write-in] <Proof>"},
		{"votes that are no number are typed again", "A⏎Judge⏎⏎c⏎two⏎✗2⏎Ada⏎ALD⏎⏎Proof⏎",
			"Judge//candidate/2 | Ada ALD <Proof>"},
		{"votes as the ballot prints them", "A⏎Judge⏎⏎c⏎Vote for any two⏎Ada⏎ALD⏎⏎Proof⏎",
			"Judge//candidate/2 | Ada ALD <Proof>"},
		{"a range in words", "A⏎Judge⏎⏎c⏎1⏎Ada⏎ALD⏎⏎Proof⏎⏎1-01 to 1-02⏎B⏎ju⏎⏎",
			"Judge//candidate/1 | Ada ALD <Proof>"},
		{"a kind that is none is typed again", "A⏎Judge⏎⏎x⏎✗c⏎1⏎Ada⏎ALD⏎⏎Proof⏎", "Judge//candidate/1 | Ada ALD <Proof>"},
		{"an Enter too many after the title", "A⏎Judge⏎⏎⏎⏎Ada⏎ALD⏎⏎Proof⏎", "Judge/// | Ada ALD <Proof>"},
		{"an Enter too many before the first choice", "A⏎Judge⏎⏎c⏎1⏎⏎Ada⏎ALD⏎⏎Proof⏎",
			"Judge//candidate/1 | Ada ALD <Proof>"},
		{"a contest keyed before is put on another face", "A⏎Judge⏎⏎c⏎1⏎Ada⏎ALD⏎⏎Proof⏎⏎1-01⏎B⏎ju⏎⏎1-02⏎",
			"Judge//candidate/1 | Ada ALD <Proof>"},
		{"the whole title typed again on another face", "A⏎Judge⏎⏎c⏎1⏎Ada⏎ALD⏎⏎Proof⏎⏎1-01⏎B⏎Judge⏎⏎1-02⏎",
			"Judge//candidate/1 | Ada ALD <Proof>"},
		{"a contest whose title begins like another", "A⏎Judge⏎⏎c⏎1⏎Ada⏎ALD⏎⏎Proof⏎Judge of Probate⏎⏎c⏎1⏎Bo⏎BRK⏎⏎⏎",
			"Judge//candidate/1 | Ada ALD <Proof>\nJudge of Probate//candidate/1 | Bo BRK <Proof>"},
		{"Tab from a new title", "A⏎Judge⇥⇥c⏎1⏎Ada⏎ALD⏎⏎Proof⏎", "Judge//candidate/1 | Ada ALD <Proof>"},
		{"a dash where a title is asked for", "A⏎-⏎Judge⏎⏎c⏎1⏎Ada⏎ALD⏎⏎Proof⏎", "Judge//candidate/1 | Ada ALD <Proof>"},
	} {
		t.Run(c.name, func(t *testing.T) {
			require.GreaterOrEqual(t, i, 0)
			k, r := open(t, "1-01", "1-02")
			for _, key := range c.typed {
				switch key {
				case '⏎':
					k.Enter()
				case '⌃':
					k.EnterAsTyped()
				case '⇥':
					k.Step(1)
				case '✗': // what was refused is taken out
					require.NotEmpty(t, k.Message(), "it says why")
					k.Type("")
				default:
					k.Type(k.Text() + string(key))
				}
			}
			require.NoError(t, k.Flush())
			assert.Equal(t, c.want, entered(r))
		})
	}
}

func TestADayIsTypedAsPeopleWriteIt(t *testing.T) {
	for typed, want := range map[string]string{"11/03/2026": "2026-11-03", "11/3/2026": "2026-11-03",
		"11/3/26": "2026-11-03", "Tuesday, November 3rd, 2026": "2026-11-03", "Nov. 3, 2026": "2026-11-03",
		"NOVEMBER 3, 2026": "2026-11-03", "3 Nov. 2026": "2026-11-03", "11-3-2026": "2026-11-03", "February 30, 2026": "",
		"November 3, 2026": "2026-11-03", "Nov 3, 2026": "2026-11-03", "2026-11-03": "2026-11-03", "13/11/2026": "",
		"tomorrow": ""} {
		k, r := open(t, "1-01")
		k.Open(Page{Kind: PageElection})
		k.GoTo(Stop{Kind: FactDate, Row: 1})
		k.Type(typed)
		if want != "" {
			assert.Equal(t, "Tuesday, November 3, 2026", k.Next(), "as understood, before Enter")
		}
		k.Enter()
		require.NoError(t, k.Flush())
		assert.Equal(t, want, r.Get(casefile.Facts, 1, "date"), typed)
		assert.Equal(t, want == "", k.Message() != "", typed)
	}
}

func TestADayIsReadAsTheCountryWritesIt(t *testing.T) {
	for typed, want := range map[string]string{"03/11/2026": "2026-11-03", "3.11.2026": "2026-11-03",
		"2026-11-03": "2026-11-03", "11/23/2026": ""} {
		day, ok := Day(typed, true)
		assert.Equal(t, want != "", ok, typed)
		if ok {
			assert.Equal(t, want, day.Format("2006-01-02"), typed)
		}
	}
	day, ok := Day("03/11/2026", false)
	require.True(t, ok)
	assert.Equal(t, "Wednesday, March 11, 2026", DayWords(day), "shown in full, so that the other order is seen")
}

func TestANumberOfVotesIsTypedAsItIsPrinted(t *testing.T) {
	for typed, want := range map[string]string{"2": "2", "02": "2", "Vote for 2": "2", "VOTE FOR ANY TWO": "2",
		"(Vote for not more than 3)": "3", "２": "2", "٣": "3", "-1": "", "two or three": "", "1.5": ""} {
		k, r := open(t, "1-01")
		keys(k, "A⏎Judge⏎⏎c⏎")
		k.Type(typed)
		next := k.Next()
		k.Enter()
		require.NoError(t, k.Flush())
		assert.Equal(t, want, r.Get(casefile.Contests, 1, "vote_for"), typed)
		if want != "" && want != typed {
			assert.Equal(t, "vote for "+want, next, "as understood, before Enter")
		}
	}
}

func TestNothingActsBeforeEnter(t *testing.T) {
	for _, typed := range []string{"-", "_", `"`, "c", "m", "*", "Write-in"} {
		k, r := open(t, "1-01")
		keys(k, "A⏎Judge⏎⏎c⏎1⏎Ada⏎ALD⏎")
		require.NoError(t, k.Flush())
		for _, s := range k.Stops() {
			before, stops := entered(r), len(k.Stops())
			k.GoTo(s.Stop)
			at := k.Focus()
			k.Type(typed)
			require.NoError(t, k.Flush())
			assert.Equal(t, before, entered(r), "%q at %v", typed, s.Stop)
			assert.Equal(t, at, k.Focus())
			assert.LessOrEqual(t, len(k.Stops()), stops+1)
			k.Escape()
		}
	}
}

// A party line that was passed by is not where keying goes on, after a restart or a correction; what
// passing it by means stands beside the field.
func TestAPartyLinePassedByIsNotComeBackTo(t *testing.T) {
	k, r := open(t, "1-01", "1-02")
	keys(k, "A⏎Judge⏎⏎c⏎1⏎Ada⏎")
	require.Equal(t, ChoiceLines, k.Focus().Kind)
	require.Contains(t, k.Next(), "nothing compared")
	keys(k, "⏎Bo⏎⏎⏎Proof⏎")
	require.Equal(t, NextContest, k.Focus().Kind)
	k = OpenKeying(r, Options{})
	require.Equal(t, NextContest, k.Focus().Kind)
	k.GoTo(Stop{Kind: Subtitle, Row: 1, Place: 1})
	keys(k, "Ward 1⏎")
	require.NotEqual(t, ChoiceLines, k.Focus().Kind)
}

func TestThePartysFullNameIsItsCode(t *testing.T) {
	k, r := open(t, "1-01")
	k.Open(Page{Kind: PageElection})
	keys(k, "General⏎11/02/2027⏎Tarnwick⏎SAL⏎Saltmarsh Party⏎⏎A⏎Judge⏎⏎c⏎1⏎Ada⏎saltmarsh party⏎")
	require.Equal(t, "SAL", r.Get(casefile.Choices, 1, "party_lines"))
}
