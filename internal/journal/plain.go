package journal

import "strings"

// Readings and ullages are nearly all of a log, and all of them are decoded when
// it is opened: they have a short way round encoding/json, in a fifth of the time
// (BenchmarkBody). It covers the data as this package writes it, without anything
// escaped; whatever else goes the long way.

func decodeReading(data []byte) (Body, error) {
	var r Reading
	if !plain(string(data), r.field, &r.Unchanged) {
		return decode[Reading](data)
	}
	if err := r.check(); err != nil {
		return nil, err
	}
	return r, nil
}

func decodeUllage(data []byte) (Body, error) {
	var u Ullage
	if !plain(string(data), u.field, nil) {
		return decode[Ullage](data)
	}
	if err := u.check(); err != nil {
		return nil, err
	}
	return u, nil
}

// plain reads an object of strings into the places that field returns, and an
// array of strings under "unchanged" into list. It reports false for anything
// else, and then what it set is worth nothing.
func plain(s string, field func(key string) *string, list *[]string) bool {
	s, ok := strings.CutPrefix(s, "{")
	for ok {
		var key string
		if key, s, ok = cutString(s); !ok || !strings.HasPrefix(s, ":") {
			return false
		}
		s = s[1:]
		if place := field(key); place != nil && *place == "" {
			*place, s, ok = cutString(s)
		} else if key == "unchanged" && list != nil && *list == nil {
			*list, s, ok = cutStrings(s)
		} else {
			ok = false
		}
		if !ok || s == "}" {
			return ok
		}
		s, ok = strings.CutPrefix(s, ",")
	}
	return false
}

// cutStrings returns the array that s begins with and what follows it.
func cutStrings(s string) (list []string, rest string, ok bool) {
	s, ok = strings.CutPrefix(s, "[")
	for ok {
		var item string
		if item, s, ok = cutString(s); !ok {
			return nil, s, false
		}
		list = append(list, item)
		if rest, ok := strings.CutPrefix(s, "]"); ok {
			return list, rest, true
		}
		s, ok = strings.CutPrefix(s, ",")
	}
	return nil, s, false
}

// cutString returns the string that s begins with and what follows it. The
// string is of ASCII and has nothing escaped.
func cutString(s string) (value, rest string, ok bool) {
	if s, ok = strings.CutPrefix(s, `"`); !ok {
		return "", s, false
	}
	for i := range len(s) {
		switch c := s[i]; {
		case c == '"':
			return s[:i], s[i+1:], true
		case c < ' ' || c == '\\' || c > '~':
			return "", s, false
		}
	}
	return "", s, false
}
