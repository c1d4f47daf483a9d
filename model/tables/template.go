package tables

import (
	"errors"
	"fmt"
	"strings"
)

// A template is text with columns in braces, `{Office}, {District}`. What stands in brackets is
// left out where a column in it is empty: `{Office}[, {District}]`. Doubled braces and brackets
// stand for themselves. Names that begin with @ are not columns: see places.
type template []part

type part struct {
	text   string
	column string // empty for text and groups
	group  template
}

// Names in templates that are no columns. Any other name that begins with @ is a cell above the
// header: @B1.
const (
	atFile   = "@file"   // the file's name without its ending
	atSheet  = "@sheet"  // the name of the sheet, in a CSV file as @file
	atRow    = "@row"    // the number of the row
	atHeader = "@header" // what the * of "repeat" stands for
	atValue  = "@value"  // the cell of the repeated column, or a part of it
)

func parseTemplate(text string) (template, error) {
	t, rest, err := parseParts(text, false)
	if err == nil && rest != "" {
		err = errors.New("a bracket is closed that was not opened")
	}
	if err != nil {
		return nil, fmt.Errorf("the template %q cannot be read: %w", text, err)
	}
	return t, nil
}

func parseParts(text string, inGroup bool) (out template, rest string, err error) {
	var plain strings.Builder
	flush := func() {
		if plain.Len() > 0 {
			out = append(out, part{text: plain.String()})
			plain.Reset()
		}
	}
	for text != "" {
		c := text[0]
		switch {
		case strings.IndexByte("{}[]", c) >= 0 && len(text) > 1 && text[1] == c:
			plain.WriteByte(c)
			text = text[2:]
		case c == '{':
			flush()
			name, after, closed := strings.Cut(text[1:], "}")
			if name = headerName(name); !closed || name == "" || strings.Contains(name, "{") {
				return nil, "", errors.New("a column stands in braces, such as {Office}")
			}
			out = append(out, part{column: name})
			text = after
		case c == '}':
			return nil, "", errors.New("a brace is closed that was not opened")
		case c == '[' && !inGroup:
			flush()
			group, after, err := parseParts(text[1:], true)
			if err != nil {
				return nil, "", err
			}
			if after == "" {
				return nil, "", errors.New("a bracket is not closed")
			}
			out = append(out, part{group: group})
			text = after[1:]
		case c == '[':
			return nil, "", errors.New("brackets do not stand in brackets")
		case c == ']':
			flush()
			return out, text, nil
		default:
			plain.WriteByte(c)
			text = text[1:]
		}
	}
	flush()
	return out, "", nil
}

// names are the columns of a template, those beginning with @ included.
func (t template) names() (out []string) {
	for _, p := range t {
		if p.column != "" {
			out = append(out, p.column)
		}
		out = append(out, p.group.names()...)
	}
	return out
}

// fill writes the template; value says what a column holds.
func (t template) fill(to []byte, value func(column string) string) (out []byte, empty bool) {
	for i := range t {
		p := &t[i]
		switch {
		case p.group != nil:
			before := len(to)
			filled, lacks := p.group.fill(to, value)
			if to = filled; lacks {
				to = to[:before]
			}
		case p.column != "":
			v := value(p.column)
			empty = empty || v == ""
			to = append(to, v...)
		default:
			to = append(to, p.text...)
		}
	}
	return to, empty
}

// headerName is how names of columns are compared: blanks and line ends in them are one blank.
func headerName(cell string) string { return strings.Join(strings.Fields(cell), " ") }

// matches reports whether a name fits a glob, in which * stands for anything, and what a single
// * stood for.
func matches(glob, name string) (star string, ok bool) {
	before, after, wild := strings.Cut(glob, "*")
	if !wild {
		return "", glob == name
	}
	if len(name) < len(before) || name[:len(before)] != before {
		return "", false
	}
	rest := name[len(before):]
	if !strings.Contains(after, "*") {
		star, ok = strings.CutSuffix(rest, after)
		return star, ok
	}
	// Every further part at its first place: enough, since * takes anything.
	parts := strings.Split(after, "*")
	for i, p := range parts {
		if i == len(parts)-1 {
			return "", strings.HasSuffix(rest, p)
		}
		at := strings.Index(rest, p)
		if at < 0 {
			return "", false
		}
		rest = rest[at+len(p):]
	}
	return "", true
}
