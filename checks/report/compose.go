package report

import (
	"encoding/base64"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/dustin/go-humanize/english"

	"counterproof/checks"
	"counterproof/checks/review"
	"counterproof/model/casefile"
)

// compose lays the report out as blocks.
func (r *Report) compose() (*document, error) {
	digest, err := r.Digest()
	if err != nil {
		return nil, err
	}
	d := &document{title: "Comparison report: " + r.Election.Name, foot: "Journal head " + groups(r.Head)}
	c := &composer{Report: r, digest: digest, d: d}
	c.front()
	c.coverage()
	c.findings()
	c.ballots()
	c.keys()
	return d, nil
}

type composer struct {
	*Report
	digest casefile.Digest
	d      *document
}

func (c *composer) add(b ...block) { c.d.blocks = append(c.d.blocks, b...) }

func (c *composer) front() {
	c.add(cover{c.Election.Jurisdiction, c.Election.Name, day(c.Election.Date)})
	if c.Superseded != "" {
		c.add(paragraph{stress("Superseded. " + c.Superseded + " It stays valid for what it covered."), warning})
	}
	c.add(paragraph{say(c.Result), lead})
	n := c.Counts
	c.add(tally{[]number{
		{count(n.Precincts), english.PluralWord(n.Precincts, "precinct", "")}, {count(n.Contests), english.PluralWord(n.Contests, "contest", "")},
		{count(n.Styles), english.PluralWord(n.Styles, "ballot style", "")}, {count(n.Units), english.PluralWord(n.Units, "voting unit", "")},
		{count(n.Findings), english.PluralWord(n.Findings, "finding", "")}, {count(n.Cleared), "cleared"}, {count(n.Settled), "stay as certified"},
		{count(n.Open + n.Waiting), "open"}, {count(n.Noted), english.PluralWord(n.Noted, "note", "")},
	}})
	var exceptions, left []words
	for _, m := range c.Missing {
		if m.Exception != "" {
			exceptions = append(exceptions, words{{m.Words + " ", plain}, {"Signed in spite of it: " + m.Exception, strong}})
		} else {
			left = append(left, say(m.Words))
		}
	}
	if len(exceptions) > 0 {
		c.add(heading{"Exceptions", false}, bullets{exceptions, true})
	}
	if len(left) > 0 {
		c.add(heading{"Not finished: what is left to do", false}, bullets{left, true})
	}
	rows := []fact{}
	var files []words
	for _, list := range [][]File{c.Primary.Files, c.Primary.Cards} {
		for _, f := range list {
			files = append(files, fileWords(f)...)
		}
	}
	rows = append(rows, fact{"Export compared", files})
	var entered []words
	for _, w := range c.Second.Keyers {
		entered = append(entered, words{{w.Name, strong}, {", " + w.Party, plain}})
	}
	for _, s := range c.Second.Seals {
		entered = append(entered, say(fmt.Sprintf("%s sealed %s by %s", capital(s.Scope), moment(s.At), names(s.By))))
	}
	rows = append(rows, fact{"Second entry keyed by", entered})
	for _, seat := range casefile.Seats {
		var who []words
		for _, p := range c.People {
			if p.Seat == string(seat) && p.Until == 0 {
				who = append(who, words{{p.Name, strong}, {", " + p.Party, plain}})
			}
		}
		if len(who) > 0 {
			rows = append(rows, fact{seatWord(string(seat)), who})
		}
	}
	rows = append(rows,
		fact{"Case", []words{code(c.Case)}},
		fact{"Journal", []words{say(fmt.Sprintf("%s, the last on %s", english.Plural(int(c.Entries), "entry", "entries"), moment(c.Made))), code(groups(c.Head))}},
		fact{"This report", []words{code(c.digest.Groups()), say("SHA-256 of report.json, which is what is signed")}},
	)
	for _, e := range c.Earlier {
		rows = append(rows, fact{"Supersedes", []words{say("the report signed on " + moment(e.At) + " by " + names(e.By)), code(groups(e.SHA256))}})
	}
	c.add(heading{"What was compared", false}, facts{rows})
	c.add(heading{"Signatures", false}, c.panel())
	var cautions, blind []words
	for _, x := range c.Cautions {
		cautions = append(cautions, say(x))
	}
	for _, x := range c.CannotSee {
		blind = append(blind, say(x))
	}
	c.add(heading{"Cautions", false}, bullets{cautions, false})
	c.add(heading{"What this check cannot see", false}, bullets{blind, false})
}

func (c *composer) panel() panel {
	var p panel
	for _, id := range c.Signers {
		x := c.person(id)
		if x == nil {
			continue
		}
		p.rows = append(p.rows, panelRow{x.Name, seatWord(x.Seat) + ", " + x.Party, c.digital(id)})
	}
	for _, s := range c.Signatures {
		if x := c.person(s.Person); x != nil && !slices.Contains(c.Signers, s.Person) {
			p.rows = append(p.rows, panelRow{x.Name, seatWord(x.Seat) + ", " + x.Party, c.digital(s.Person)})
		}
	}
	return p
}

func (c *composer) digital(id string) words {
	for _, s := range c.Signatures {
		if s.Person != id {
			continue
		}
		if !c.holds(s) {
			return stress("A digital signature is there and DOES NOT HOLD.")
		}
		text := "Signed digitally"
		if s.At != "" {
			text += " on " + moment(s.At)
		}
		return words{{text + ". Key ", plain}, {short(c.person(id).Fingerprint), digits}}
	}
	return say("Not signed digitally.")
}

func (c *composer) coverage() {
	c.add(section{"Coverage"})
	v := c.Coverage
	c.add(paragraph{say(fmt.Sprintf("%s were keyed independently; %s not. What was not keyed is listed and never counted as agreeing.",
		english.Plural(v.KeyedFields, "field", ""), english.Plural(v.NotKeyedFields, "field was", "fields were"))), body})
	if len(c.Second.Documents) > 0 {
		var docs []words
		for _, x := range c.Second.Documents {
			docs = append(docs, quote(x))
		}
		c.add(heading{"Documents it was keyed from", false}, bullets{docs, false})
	}
	c.add(heading{"The county at a glance", true})
	names := []string{}
	for i := range c.Contests {
		names = append(names, contestName(&c.Contests[i]))
	}
	c.add(paragraph{say("A row is a ballot style, a column a contest. The first column is the ballot as a whole: the order of its contests, its label, its headings, and whether it was keyed."), small})
	for _, g := range glances(names, c.Overview.Rows) {
		c.add(g)
	}
	c.add(heading{"Not independently keyed", true})
	if len(v.NotKeyed) == 0 {
		c.add(paragraph{say("Nothing: each field that the export states was keyed."), body})
	} else {
		var list []words
		for _, x := range v.NotKeyed {
			list = append(list, say(x))
		}
		c.add(bullets{list, false})
	}
	t := table{"Contests", []string{"Contest", "Document", "Fields keyed", "Not keyed"}, []float64{5, 4, 1.4, 3}, nil}
	for _, x := range v.Contests {
		t.rows = append(t.rows, []words{quote(x.Name), say(orDash(x.Source)), say(strconv.Itoa(x.Keyed)), say(orDash(strings.Join(x.NotKeyed, "; ")))})
	}
	c.add(heading{"What was keyed", true}, t)
	t = table{"Precincts", []string{"Precincts", "Keyed", "Not keyed"}, []float64{6, 4, 3}, nil}
	for _, x := range v.Precincts {
		t.rows = append(t.rows, []words{say(fmt.Sprintf("%s (%s)", ranges(x.Names), count(len(x.Names)))), say(orDash(strings.Join(x.Keyed, ", "))), say(orDash(strings.Join(x.NotKeyed, ", ")))})
	}
	c.add(t)
	if len(v.Units) > 0 {
		t = table{"Voting units", []string{"Unit", "Fields keyed", "Not keyed"}, []float64{6, 2, 5}, nil}
		for _, x := range v.Units {
			t.rows = append(t.rows, []words{quote(x.Name), say(strconv.Itoa(x.Keyed)), say(orDash(strings.Join(x.NotKeyed, ", ")))})
		}
		c.add(t)
	}
}

func (c *composer) findings() {
	c.add(section{"Findings"})
	if len(c.Findings) == 0 {
		c.add(paragraph{say("There is no finding, and there was none."), body})
	} else {
		c.add(paragraph{say("Every difference and fault that was found, those that are cleared included. Letters that differ are underlined."), body})
	}
	for _, x := range c.Causes {
		c.add(paragraph{words{{"One cause: ", strong}, {x.Message, plain}, {" (" + c.numbered(x.Findings) + ")", plain}}, body})
	}
	for i := range c.Findings {
		c.add(c.finding(&c.Findings[i]))
	}
	c.add(heading{"Corrections of the second entry", true})
	if len(c.Corrections) == 0 {
		c.add(paragraph{say("None."), body})
	}
	for _, x := range c.Corrections {
		rows := []fact{}
		for _, f := range x.Changes {
			was, now := differing("choice-name", f.Was, f.Now)
			rows = append(rows, fact{capital(f.What), []words{append(words{{"was ", plain}}, was...), append(words{{"is now ", plain}}, now...)}})
		}
		c.add(entry{title: fmt.Sprintf("Entry %d", x.Entry), rows: append(rows, act(x.Document, x.Reason, x.By, x.At)...)})
	}
	c.add(heading{"Amendments", true})
	if len(c.Amendments) == 0 {
		c.add(paragraph{say("None."), body})
	}
	for _, x := range c.Amendments {
		rows := []fact{{"Reopened", each(x.Contests)}, {"Ordered on", []words{say(day(x.Date))}}}
		if x.MailedStand {
			rows = append(rows, fact{"Mailed ballots", []words{say("stay valid, so that two versions of a style may stand")}})
		}
		c.add(entry{title: fmt.Sprintf("Entry %d", x.Entry), rows: append(rows, act(x.Document, x.Reason, x.By, x.At)...)})
	}
	if len(c.Mappings)+len(c.Compared) > 0 {
		c.add(heading{"What the pair laid down", true})
	}
	for _, x := range c.Mappings {
		c.add(entry{title: fmt.Sprintf("Entry %d: one %s under two names", x.Entry, x.Kind), rows: append([]fact{
			{"Export", []words{quote(x.Primary)}}, {"Second entry", []words{quote(x.Second)}}}, act("", x.Reason, x.By, x.At)...)})
	}
	for _, x := range c.Compared {
		rows := []fact{}
		if len(x.Elections) > 0 {
			rows = append(rows, fact{"Elections", each(x.Elections)})
		}
		if x.Language != "" {
			rows = append(rows, fact{"Language", []words{say(x.Language)}})
		}
		if x.UnitLimit > 0 {
			rows = append(rows, fact{"Unit limit", []words{say(strconv.Itoa(x.UnitLimit))}})
		}
		c.add(entry{title: fmt.Sprintf("Entry %d: how exports are compared", x.Entry), rows: append(rows, act("", x.Reason, x.By, x.At)...)})
	}
	c.add(heading{"Exports in sequence", true})
	for i, x := range c.Exports {
		var files []words
		for _, list := range [][]File{x.Files, x.Cards} {
			for _, f := range list {
				files = append(files, fileWords(f)...)
			}
		}
		rows := []fact{{"Files", files}}
		if i > 0 {
			asked, unasked := each(x.Asked), each(x.Unasked)
			rows = append(rows, fact{"Changed, asked for", none(asked)}, fact{"Changed, unasked", none(unasked)})
		}
		c.add(entry{number: strconv.Itoa(i + 1), title: x.Name, rows: rows})
	}
}

func none(list []words) []words {
	if len(list) == 0 {
		return []words{say("nothing")}
	}
	return list
}

func each(list []string) []words {
	out := []words{}
	for _, x := range list {
		out = append(out, say(x))
	}
	return out
}

func act(document, reason string, by []Who, at string) []fact {
	rows := []fact{}
	if document != "" {
		rows = append(rows, fact{"Document", []words{say(document)}})
	}
	if reason != "" {
		rows = append(rows, fact{"Reason", []words{say(reason)}})
	}
	return append(rows, fact{"By", []words{say(names(by)), say(moment(at))}})
}

func (c *composer) numbered(ids []string) string {
	var list []string
	for _, f := range c.Findings {
		if slices.Contains(ids, f.ID) {
			list = append(list, strconv.Itoa(f.Number))
		}
	}
	return english.PluralWord(len(list), "finding", "") + " " + strings.Join(list, ", ")
}

func (c *composer) finding(f *Finding) entry {
	status := review.Status(f.Status)
	e := entry{number: strconv.Itoa(f.Number), title: capital(strings.ReplaceAll(f.Check, "-", " ")), word: status.Words(), cell: CellOpen}
	switch status {
	case review.StatusSettled, review.StatusCleared:
		e.cell = CellSettled
	case review.StatusNoted:
		e.cell = CellAgreed
	}
	var where []string
	for _, x := range []string{f.Contest, f.Choice, f.Style, f.Unit, f.Site} {
		if x != "" {
			where = append(where, x)
		}
	}
	if f.Party != "" {
		where = append(where, f.Party)
	}
	if len(where) > 0 {
		e.title += ": " + strings.Join(where, ", ")
	}
	message := f.Message
	if status == review.StatusCleared {
		message = ""
		if x := checks.Find(f.Check); x != nil {
			message = "When it was decided: " + x.Purpose + "."
		}
	}
	if message != "" {
		e.message = say(message)
	}
	p, s := differing(f.Check, f.Primary, f.Second)
	e.rows = append(e.rows, fact{"Export", []words{p}}, fact{"Second entry", []words{s}})
	if len(f.Precincts) > 0 {
		text := ranges(f.Precincts)
		if len(f.Precincts) > 3 {
			text += " (" + count(len(f.Precincts)) + ")"
			if len(f.Precincts) == c.Counts.Precincts {
				text = "all " + count(len(f.Precincts))
			}
		}
		e.rows = append(e.rows, fact{"Precincts", []words{say(text)}})
	}
	e.rows = append(e.rows, fact{"Grade", []words{{{f.Grade + "  ", plain}, {f.ID, digits}}}})
	for _, d := range f.Decisions {
		lines := []words{stress(outcome(d.Outcome))}
		if d.Correction > 0 {
			lines[0] = append(lines[0], run{fmt.Sprintf(" (correction: entry %d)", d.Correction), plain})
		}
		if d.Reason != "" {
			lines = append(lines, say("Reason: "+d.Reason))
		}
		if d.Document != "" {
			lines = append(lines, say("Document: "+d.Document))
		}
		lines = append(lines, say(names(d.By)), say(moment(d.At)))
		e.rows = append(e.rows, fact{"Decision", lines})
	}
	return e
}

func outcome(o string) string {
	switch casefile.Outcome(o) {
	case casefile.OutcomeKeyingSlip:
		return "Keying slip: the second entry was corrected"
	case casefile.OutcomeFixConfiguration:
		return "The configuration is to be fixed"
	case casefile.OutcomeAsCertified:
		return "Stays as certified"
	case casefile.OutcomeRefer:
		return "Referred to the supervisor"
	}
	return o
}

func (c *composer) ballots() {
	c.add(section{"Ballot styles and voting units"})
	c.add(paragraph{say("As the last export has them. Hold these pages beside the machine when cards are loaded."), body})
	if len(c.Units) > 0 {
		t := table{"Voting units and their card headers", []string{"Unit", "Polling site", "Use", "Precincts in the card header"}, []float64{2, 4, 1.8, 5}, nil}
		for _, u := range c.Units {
			t.rows = append(t.rows, []words{stress(u.Name), quote(orDash(u.Site)), say(orDash(u.Use)), say(orDash(ranges(u.Precincts)))})
		}
		c.add(heading{"Voting units", true}, t)
	}
	for i := range c.Styles {
		c.add(c.ballot(&c.Styles[i]))
	}
}

func (c *composer) ballot(s *Style) ballot {
	b := ballot{title: s.Label}
	var under []string
	if len(s.Parties) > 0 {
		under = append(under, strings.Join(s.Parties, ", "))
	}
	if len(s.Precincts) == 0 {
		under = append(under, "no precinct")
	} else {
		under = append(under, fmt.Sprintf("%s: %s", english.Plural(len(s.Precincts), "precinct", ""), ranges(s.Precincts)))
	}
	b.under = strings.Join(under, " · ")
	if len(s.Findings) > 0 {
		var list []string
		for _, n := range s.Findings {
			list = append(list, strconv.Itoa(n))
		}
		b.notes = append(b.notes, stress("The two entries differ on this ballot: see "+english.PluralWord(len(list), "finding", "")+" "+strings.Join(list, ", ")+"."))
	}
	for _, p := range s.Places {
		x := &c.Contests[p.Contest]
		k := ballotContest{headings: p.Headings, title: contestTitle(x), text: x.Text}
		var info []string
		if x.VoteFor != "" {
			info = append(info, "vote for "+x.VoteFor)
		}
		if len(x.Parties) > 0 {
			info = append(info, strings.Join(x.Parties, ", ")+" primary")
		}
		k.info = strings.Join(info, " · ")
		order := p.Order
		if len(order) == 0 {
			for j := range x.Choices {
				order = append(order, j)
			}
		}
		for _, j := range order {
			ch := &x.Choices[j]
			name := ch.Name
			if ch.WriteIn {
				name = "Write-in"
			}
			k.choices = append(k.choices, [2]string{name, strings.Join(ch.Lines, ", ")})
		}
		b.contests = append(b.contests, k)
	}
	if len(s.Closing) > 0 {
		b.contests = append(b.contests, ballotContest{headings: s.Closing})
	}
	return b
}

func contestTitle(c *Contest) string {
	return strings.TrimSpace(c.Title + " " + c.Subtitle)
}

func contestName(c *Contest) string {
	n := contestTitle(c)
	if len(c.Parties) > 0 {
		n += " (" + strings.Join(c.Parties, ", ") + ")"
	}
	return n
}

func (c *composer) keys() {
	c.add(section{"Keys, and how to check this report"})
	c.add(facts{[]fact{
		{"Journal head", []words{code(groups(c.Head)), say(fmt.Sprintf("entry %d, %s", c.Entries, moment(c.Made)))}},
		{"SHA-256 of report.json", []words{code(c.digest.Groups())}},
	}})
	c.add(heading{"Public keys", true})
	for _, p := range c.People {
		word := "since entry " + strconv.FormatInt(p.Since, 10)
		if p.Until > 0 {
			word = fmt.Sprintf("entries %d to %d, then replaced", p.Since, p.Until)
		}
		rows := []fact{
			{"Fingerprint", []words{code(groups(p.Fingerprint))}},
			{"Key (" + p.ID + ".pem)", []words{code(spki(p.PublicKey))}},
		}
		for _, s := range c.Signatures {
			if s.Person == p.ID {
				rows = append(rows, fact{"Signature (" + p.ID + ".sig)", []words{code(base64.StdEncoding.EncodeToString(s.Signature))}})
			}
		}
		c.add(entry{title: p.Name + ", " + p.Party, word: strings.ToLower(seatWord(p.Seat)) + ", " + word, rows: rows})
	}
	c.add(heading{"How to check it without this program", true})
	c.add(paragraph{say("With the evidence folder these files are there already; from paper they can be typed. The tools are sha256sum, openssl (3.0 or later) and sqlite3, as any Linux system has them."), body})
	c.add(bullets{[]words{say("The signed file is report.json. Its digest must be the one above:")}, false}, commands{[]string{"sha256sum report.json"}})
	c.add(bullets{[]words{say("Save a public key as p1.pem, in three lines:")}, false}, commands{[]string{"-----BEGIN PUBLIC KEY-----", "(the key above)", "-----END PUBLIC KEY-----"}})
	c.add(bullets{[]words{say("It must be the person's key: this prints the fingerprint, without its spaces. Compare it with a printed page that the person kept.")}, false},
		commands{[]string{"openssl pkey -pubin -in p1.pem -outform DER | tail -c 32 | sha256sum"}})
	c.add(bullets{[]words{say("Save the signature, and check it. The answer must be: Signature Verified Successfully")}, false},
		commands{[]string{"echo '(the signature above)' | base64 -d > p1.sig", "openssl pkeyutl -verify -pubin -inkey p1.pem -rawin -in report.json -sigfile p1.sig"}})
	c.add(bullets{[]words{say("The case holds the journal. This prints its head at the entry above:")}, false},
		commands{[]string{fmt.Sprintf("sqlite3 NAME.counterproof 'select lower(hex(hash)) from journal where seq = %d'", c.Entries)}})
	c.add(paragraph{say("report.json holds everything that these pages say, as text."), body})
}

// spki is an Ed25519 public key as the base64 of its SubjectPublicKeyInfo (RFC 8410).
func spki(key []byte) string {
	return base64.StdEncoding.EncodeToString(append([]byte{0x30, 0x2a, 0x30, 0x05, 0x06, 0x03, 0x2b, 0x65, 0x70, 0x03, 0x21, 0x00}, key...))
}

func fileWords(f File) []words {
	line := f.Name + ", " + count(int(f.Size)) + " bytes, received " + moment(f.Received)
	if f.By != "" {
		line += " by " + f.By
	}
	if f.Announced != "" {
		line += "; its digest was made known " + moment(f.Announced)
	}
	return []words{say(line), code(groups(f.SHA256))}
}

func seatWord(s string) string {
	switch casefile.Seat(s) {
	case casefile.SeatProgrammer:
		return "Programmer"
	case casefile.SeatSecond:
		return "Second party"
	case casefile.SeatSupervisor:
		return "Supervisor"
	}
	return s
}

func names(list []Who) string {
	var out []string
	for _, w := range list {
		n := w.Name
		if w.Seat != "" {
			n += " (" + w.Party + ", " + strings.ToLower(seatWord(w.Seat)) + ")"
		}
		out = append(out, n)
	}
	return english.WordSeries(out, "and")
}

// groups writes a digest's digits in groups of four.
func groups(digest string) string {
	d, err := casefile.ParseDigest(digest)
	if err != nil {
		return digest
	}
	return d.Groups()
}

func short(digest string) string {
	return strings.Join(strings.Fields(groups(digest))[:min(4, len(strings.Fields(groups(digest))))], " ") + " …"
}

func moment(at string) string {
	t, err := time.Parse(time.RFC3339, at)
	if err != nil {
		return at
	}
	return t.UTC().Format("2 January 2006, 15:04:05 UTC")
}

func day(date string) string {
	t, err := time.Parse(time.DateOnly, date)
	if err != nil {
		return date
	}
	return t.Format("2 January 2006")
}

func capital(s string) string {
	if s == "" {
		return s
	}
	r := []rune(s)
	return strings.ToUpper(string(r[:1])) + string(r[1:])
}

func orDash(s string) string {
	if s == "" {
		return "–"
	}
	return s
}
