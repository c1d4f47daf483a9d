package findings

import "bytes"

// elementAround returns the bounds of the element or object that has its start tag or its
// identifier between two places of a file: the element of XML, the object of JSON, the line of
// anything else.
func elementAround(data []byte, begin, end int) (from, to int) {
	text := bytes.TrimLeft(data, "\ufeff \t\r\n")
	switch {
	case bytes.HasPrefix(text, []byte("<")):
		return xmlElement(data, begin, end)
	case bytes.HasPrefix(text, []byte("{")):
		return jsonObject(data, begin, end)
	}
	return begin, end
}

// xmlElement finds the tag at or before a place, and where its element ends. Tags inside of comments
// and quotes are not told apart: what is shown is for reading only.
func xmlElement(data []byte, begin, end int) (from, to int) {
	from = begin
	if at := bytes.IndexByte(data[begin:end], '<'); at >= 0 {
		from = begin + at
	} else if at := bytes.LastIndexByte(data[:begin], '<'); at >= 0 {
		from = at
	}
	depth := 0
	for to = from; to < len(data); {
		next := bytes.IndexByte(data[to:], '<')
		if next < 0 {
			break
		}
		to += next
		closes := bytes.IndexByte(data[to:], '>')
		if closes < 0 {
			break
		}
		tag := data[to : to+closes+1]
		to += closes + 1
		switch {
		case bytes.HasPrefix(tag, []byte("<!")), bytes.HasPrefix(tag, []byte("<?")):
		case bytes.HasPrefix(tag, []byte("</")):
			depth--
		case !bytes.HasSuffix(tag, []byte("/>")):
			depth++
		}
		if depth <= 0 {
			return from, to
		}
	}
	return from, max(end, from)
}

// jsonObject finds the innermost object that holds a place, and where it ends.
func jsonObject(data []byte, begin, end int) (from, to int) {
	var open []int
	inString := false
	for n := 0; n < len(data); n++ {
		switch c := data[n]; {
		case inString && c == '\\':
			n++
		case c == '"':
			inString = !inString
		case inString:
		case c == '{':
			if n > end {
				continue
			}
			open = append(open, n)
		case c == '}':
			if len(open) == 0 {
				return begin, end
			}
			last := open[len(open)-1]
			open = open[:len(open)-1]
			if n >= end && last <= end {
				return last, n + 1
			}
		}
	}
	return begin, end
}
