package machines

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"

	"counterproof/app/desk"
	"counterproof/checks/finding"
	"counterproof/checks/loading"
	"counterproof/model/cards"
)

// asked are the fields in the order in which a unit is done, with what is asked for.
var asked = []struct {
	field      cards.Field
	asks, hint string
}{
	{cards.SealRemoved, "Seal found on the %s", "its number, or - where there is none"},
	{cards.Header, "Header", "each precinct that the screen names, then Enter; Enter alone ends it"},
	{cards.Election, "Election", "its name, as the screen shows it"},
	{cards.Date, "Date of the election", "as 7/4/2031, or 2031-07-04"},
	{cards.Label, "Card", "the label on the card"},
	{cards.Clock, "Clock", "day and time, as 7/4/2031 9:05 am; Enter while the screen shows it"},
	{cards.Key, "Key: %s", "y if it turns, n if not"},
	{cards.Zero, "Zero report", "y if all is zero, n if not"},
	{cards.Initials, "Initials on the zero report", "of both, as HV IT"},
	{cards.Counter, "Counter: %s", "its number"},
	{cards.LoadTime, "Load time", "from switching on to ready, as 1:35 or in seconds"},
	{cards.SealApplied, "Seal applied to the %s", "its number, as it is read"},
}

// step makes the steps of the unit in view.
func (k *Work) step() {
	k.steps = nil
	u := k.Unit()
	if u == nil {
		return
	}
	v := k.of.Visit(u.Name)
	agreements := map[loading.Key]loading.Agreement{}
	if v != nil {
		for _, a := range k.of.Warehouse.Agreements(v) {
			agreements[a.Key] = a
		}
	}
	faults := loading.SealFaults(k.of.Visits)
	for _, a := range asked {
		names := []string{""}
		switch a.field {
		case cards.Key:
			names = k.of.Warehouse.Rules.Keys
		case cards.Counter:
			names = k.of.Warehouse.Rules.Counters
		case cards.SealRemoved, cards.SealApplied:
			names = k.of.Warehouse.Rules.Seals
		}
		for _, name := range names {
			s := Step{Key: loading.Key{Field: a.field, Name: name}, Asks: a.asks, Hint: a.hint}
			if name != "" {
				s.Asks = fmt.Sprintf(a.asks, name)
			}
			if v != nil {
				s.fill(v, agreements)
			}
			if s.Done {
				s.Fault = k.sealFault(faults, s.Record)
			}
			k.steps = append(k.steps, s)
		}
	}
}

// fill takes over what was read on a visit.
func (s *Step) fill(v *loading.Visit, agreements map[loading.Key]loading.Agreement) {
	r, read := v.Get(s.Field, s.Name)
	if s.Field == cards.SealRemoved || s.Field == cards.SealApplied {
		for _, seal := range v.Seals {
			if seal.Field == s.Field && seal.Name == s.Name {
				r, read = seal, true
			}
		}
	}
	if !read {
		return
	}
	_, now := v.Read[s.Key]
	s.Record, s.Done, s.Open = r, true, r.Open
	s.Earlier = !now && s.Field != cards.SealRemoved && s.Field != cards.SealApplied
	if a, known := agreements[s.Key]; known && a.Compared {
		s.Must, s.Agrees = a.Must, a.Agrees
	}
	s.Shown = loading.ReadingWords(r.Reading)
}

// Typed is what is typed for the reading of a step.
func (s *Step) Typed() string {
	r := s.Record
	switch {
	case s.Field == cards.Key && r.Value == cards.Turns, s.Field == cards.Zero && r.Value == cards.AllZero:
		return "y"
	case s.Field == cards.Key, s.Field == cards.Zero:
		return "n"
	case s.Field == cards.Header && len(r.List) == 0, s.Field == cards.SealRemoved && r.Value == "":
		return none
	}
	return s.Shown
}

// none is what is typed where a machine shows none.
const none = "-"

// reading makes a reading of what is typed at a step. The error says what cannot be read of it.
func (k *Work) reading(s *Step, text string) (r cards.Reading, err error) {
	r = cards.Reading{Unit: k.unit, Field: s.Field, Name: s.Name, Value: text}
	if s.Field == cards.Header {
		return k.header(r, s, text)
	}
	if text == "" {
		return r, errNothing
	}
	switch s.Field {
	case cards.SealRemoved, cards.SealApplied:
		switch {
		case s.Field == cards.SealRemoved && text == none:
			r.Value = ""
		case !strings.ContainsFunc(text, func(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) }):
			return r, fmt.Errorf("%s is no number of a seal; key what is printed on it", finding.Quote(text))
		}
	case cards.Date:
		day, ok := desk.Day(text, k.DayFirst)
		if !ok {
			return r, fmt.Errorf("%s is no day; key it like 7/4/2031", finding.Quote(text))
		}
		r.Value = day.Format(time.DateOnly)
	case cards.Clock:
		at, ok := dayAndTime(text, k.DayFirst)
		if !ok {
			return r, fmt.Errorf("%s is no day and time; key it like 7/4/2031 9:05 am", finding.Quote(text))
		}
		r.Value, r.Read = at, k.Now().UTC().Format(time.RFC3339)
	case cards.Key:
		r.Value, err = yesNo(text, cards.Turns, cards.Fails)
	case cards.Zero:
		r.Value, err = yesNo(text, cards.AllZero, cards.NotZero)
	case cards.Initials:
		plain := strings.NewReplacer(",", " ", "/", " ", "+", " ").Replace(text)
		r.Value, r.List = "", strings.Fields(strings.ToUpper(plain))
	case cards.Counter:
		r.Value = strings.ReplaceAll(text, ",", "")
	case cards.LoadTime:
		r.Value, err = seconds(text)
	}
	return r, err
}

func yesNo(text, yes, no string) (string, error) {
	switch strings.ToLower(text) {
	case "y", "yes", yes:
		return yes, nil
	case "n", "no", no:
		return no, nil
	}
	return "", fmt.Errorf("key y or n, not %s", finding.Quote(text))
}

// header adds what is typed to the precincts that were read. A name that no precinct has is asked for
// once more, and then recorded as it was read. Names with blanks between them are several precincts where
// each is one; where only some are, the others are never recorded as part of one name.
func (k *Work) header(r cards.Reading, s *Step, text string) (cards.Reading, error) {
	r.Value = ""
	if !s.Earlier {
		r.List = slices.Clone(s.Record.List)
	}
	if text == "" || text == none {
		if len(r.List) == 0 && text == "" {
			return r, fmt.Errorf("key the precincts of the header; where the screen names none, key -")
		}
		return r, nil
	}
	r.Open = true
	for _, name := range strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == ';' || r == '\n' }) {
		if name = strings.TrimSpace(name); name == "" {
			continue
		}
		if k.isPrecinct(name) {
			r.List = append(r.List, name)
			continue
		}
		words := strings.Fields(name)
		other := slices.DeleteFunc(slices.Clone(words), k.isPrecinct)
		switch {
		case len(other) == 0:
			r.List = append(r.List, words...)
		case len(other) < len(words):
			return r, fmt.Errorf("no precinct is called %s; key one precinct, then Enter", finding.Quote(other[0]))
		case k.doubt != text:
			k.doubt = text
			return r, fmt.Errorf("no precinct is called %s; if the screen shows it so, press Enter again",
				finding.Quote(name))
		default:
			r.List = append(r.List, name)
		}
	}
	return r, nil
}

func (k *Work) isPrecinct(name string) bool {
	_, known := k.of.Warehouse.Plan.Precinct(name)
	return known
}

// dayAndTime reads what a screen shows: a day in any form, then the time, with am or pm or in 24 hours.
func dayAndTime(text string, dayFirst bool) (string, bool) {
	text = strings.ToLower(strings.Join(strings.Fields(text), " "))
	text = strings.NewReplacer("a.m.", "am", "p.m.", "pm").Replace(text)
	for _, half := range []string{"am", "pm"} {
		if rest, cut := strings.CutSuffix(text, half); cut {
			text = strings.TrimSpace(rest) + half
		}
	}
	cut := strings.LastIndexAny(text, " t")
	if cut < 0 {
		return "", false
	}
	day, ok := desk.Day(strings.TrimSpace(text[:cut]), dayFirst)
	if !ok {
		return "", false
	}
	for _, form := range []string{"15:04", "15:04:05", "1504", "3:04pm", "3:04:05pm", "304pm"} {
		if at, err := time.Parse(form, text[cut+1:]); err == nil {
			layout := cards.ClockLayout
			if at.Second() > 0 {
				layout += ":05"
			}
			return time.Date(day.Year(), day.Month(), day.Day(), at.Hour(), at.Minute(), at.Second(), 0, time.UTC).
				Format(layout), true
		}
	}
	return "", false
}

// seconds reads a load time: 95, 1:35, 1 m 35 s.
func seconds(text string) (string, error) {
	if m, s, ok := strings.Cut(text, ":"); ok {
		minutes, err1 := strconv.Atoi(strings.TrimSpace(m))
		rest, err2 := strconv.Atoi(strings.TrimSpace(s))
		if err1 == nil && err2 == nil && minutes >= 0 && minutes < 24*60 && rest >= 0 && rest < 60 {
			return strconv.Itoa(minutes*60 + rest), nil
		}
	} else if n, err := strconv.Atoi(text); err == nil && n >= 0 {
		return text, nil
	}
	return "", fmt.Errorf("%s is no time; key 1:35 for a minute and 35 seconds, or seconds", finding.Quote(text))
}
