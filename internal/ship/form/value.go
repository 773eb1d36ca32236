package form

import (
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"gopkg.in/yaml.v3"
)

const (
	maxScalar = 200 // characters; longer text is a mistake and would flood an error
	maxName   = 60  // characters of a name, so that a screen can show it
)

// value is what stands at one place of a file. An absent value answers every
// question with nothing (NaN, "", an empty list) and faults nothing, so that
// optional parts need no branches.
type Value struct {
	f    *faults
	name string     // how faults call it: its key, or what it is an item of
	node *yaml.Node // nil when absent
	key  *yaml.Node // nil for an item of a list
}

// Given reports whether anything stands here.
func (v Value) Given() bool { return v.node != nil }

// Name returns how faults call the value: its key, or what it is an item of.
func (v Value) Name() string { return v.name }

// Fault records that something is wrong here: what it is called, what was
// read in quotes, and what would be right.
func (v Value) Fault(format string, args ...any) {
	err := fmt.Errorf(format, args...)
	switch {
	case !v.Given(): // told already, or optional
	case v.node.Kind == yaml.ScalarNode && v.node.Value != "":
		v.f.at(v.node, "%s %q: %w", v.name, cut(v.node.Value), err)
	default:
		v.f.at(v.node, "%s: %w", v.name, err)
	}
}

// refuse records an error of package units, which quotes what it read and
// begins with the kind of quantity; often that is what the key is called too.
func (v Value) refuse(err error) {
	if rest, ok := strings.CutPrefix(err.Error(), v.name); ok && strings.IndexAny(rest, " :") == 0 {
		v.f.at(v.node, "%w", err)
		return
	}
	v.f.at(v.node, "%s: %w", v.name, err)
}

// is reports whether the value has the kind wanted, and faults it if not.
func (v Value) is(kind yaml.Kind, wanted string) bool {
	switch {
	case !v.Given():
		return false
	case isNull(v.node) || v.node.Kind == yaml.ScalarNode && v.node.Value == "":
		v.Fault("nothing stands here; want %s, or leave the key out if it is optional", wanted)
	case v.node.Kind != kind:
		v.f.at(v.node, "%s: want %s, found %s", v.name, wanted, kindOf(v.node))
	default:
		return true
	}
	return false
}

func kindOf(n *yaml.Node) string {
	switch n.Kind {
	case yaml.MappingNode:
		return "keys with values"
	case yaml.SequenceNode:
		return "a list"
	}
	return fmt.Sprintf("%q", cut(n.Value))
}

// cut makes s fit to be told: short and printable.
func cut(s string) string {
	s = strings.Map(func(r rune) rune {
		if unprintable(r) {
			return utf8.RuneError
		}
		return r
	}, s)
	if r := []rune(s); len(r) > maxName {
		return string(r[:maxName]) + "…"
	}
	return s
}

// scalar returns the text of a single figure or word.
func (v Value) scalar(wanted string) (string, bool) {
	if !v.is(yaml.ScalarNode, wanted) {
		return "", false
	}
	text := strings.TrimSpace(v.node.Value)
	if n := utf8.RuneCountInString(text); n > maxScalar {
		v.Fault("%d characters long; want %s", n, wanted)
		return "", false
	}
	return text, true
}

// Text returns a name or a note that is safe to show on a screen.
func (v Value) Text() string {
	text, ok := v.scalar("a text")
	switch n := utf8.RuneCountInString(text); {
	case !ok:
	case strings.ContainsFunc(text, unprintable):
		v.Fault("holds what cannot be printed; want letters, digits, signs and spaces")
	case n == 0 || n > maxName:
		v.Fault("%d characters long; want 1..%d", n, maxName)
	default:
		return text
	}
	return ""
}

func unprintable(r rune) bool { return !unicode.IsPrint(r) }

// Choice returns one of the options as they are written there, "" when the
// value is none of them.
func (v Value) Choice(options ...string) string {
	text, ok := v.scalar("one of " + strings.Join(options, ", "))
	if !ok {
		return ""
	}
	if slices.Contains(options, text) {
		return text
	}
	v.Fault("%s", suggest(text, options))
	return ""
}

// Flag returns a true or false, false when absent.
func (v Value) Flag() bool { return v.Choice("true", "false") == "true" }

// List returns the items of a list; faults call each item by the name given.
func (v Value) List(item string) []Value {
	if !v.is(yaml.SequenceNode, "a list") {
		return nil
	}
	if len(v.node.Content) == 0 {
		v.Fault("the list is empty; want at least one %s", item)
	}
	items := make([]Value, len(v.node.Content))
	for i, n := range v.node.Content {
		items[i] = Value{f: v.f, name: item, node: n}
	}
	return items
}

// Item returns one item of a list that was read before.
func (v Value) Item(i int) Value {
	if !v.Given() || i >= len(v.node.Content) {
		return Value{}
	}
	return Value{f: v.f, name: v.name, node: v.node.Content[i]}
}
