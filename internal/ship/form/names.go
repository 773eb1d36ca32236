package form

import (
	"strings"
	"unicode"
)

// Fold returns a name without case and spaces, which do not tell names apart.
func Fold(name string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) {
			return -1
		}
		return unicode.ToLower(r)
	}, name)
}

// Names is the folded names seen so far, each with its line.
type Names map[string]int

// Take returns the name that stands at v, or faults one that was seen before.
func (n Names) Take(v Value) string {
	name := v.Text()
	if name == "" {
		return ""
	}
	if line, seen := n[Fold(name)]; seen {
		v.Fault("stands in line %d already; want a different name (case and spaces do not count)", line)
		return name
	}
	n[Fold(name)] = v.node.Line
	return name
}

// OneOf returns the known name that stands at v, in its known spelling, "" when
// it is none of them. When nothing is known it faults nothing: the list that
// should have held the name is at fault then.
func (v Value) OneOf(known []string) string {
	text := v.Text()
	if text == "" || len(known) == 0 {
		return ""
	}
	for _, name := range known {
		if Fold(name) == Fold(text) {
			return name
		}
	}
	v.Fault("no such name, %s", suggest(text, known))
	return ""
}
