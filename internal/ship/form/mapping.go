package form

import (
	"fmt"
	"slices"
	"strings"

	"example.org/headwatch/internal/units"
	"gopkg.in/yaml.v3"
)

// Mapping is the keys of one mapping with their values. What its reader asks
// for is what is known; whatever else stands there is a fault.
type Mapping struct {
	Value
	entries []Value // in file order, named by their keys
	known   []string
	missing []string
}

// Mapping lets read take what it wants from the keys that stand here, and
// then faults what it did not ask for. Of an absent value read finds every
// key absent.
func (v Value) Mapping(read func(m *Mapping)) {
	if !v.is(yaml.MappingNode, "keys with values") {
		read(&Mapping{})
		return
	}
	m := &Mapping{Value: v, entries: v.entries()}
	read(m)
	m.close()
}

// entries returns the keys and values of a mapping node, each key once.
func (v Value) entries() []Value {
	var entries []Value
	lines := map[string]int{}
	for i := 0; i+1 < len(v.node.Content); i += 2 {
		key := v.node.Content[i]
		if line, seen := lines[key.Value]; seen {
			v.f.at(key, "%s: key %q stands here a second time, the first is in line %d", v.name, cut(key.Value), line)
			continue
		}
		lines[key.Value] = key.Line
		entries = append(entries, Value{f: v.f, name: cut(key.Value), node: v.node.Content[i+1], key: key})
	}
	return entries
}

// Opt returns the value of a key that may be left out.
func (m *Mapping) Opt(key string) Value {
	m.known = append(m.known, key)
	for _, e := range m.entries {
		if e.name == key {
			return e
		}
	}
	return Value{}
}

// Must returns the value of a key that may not be left out.
func (m *Mapping) Must(key string) Value {
	v := m.Opt(key)
	if !v.Given() {
		m.missing = append(m.missing, key)
	}
	return v
}

// All returns every entry of a mapping whose keys are names of the writer's.
func (m *Mapping) All() []Value {
	if len(m.entries) == 0 {
		m.Fault("empty; want at least one name with its values")
	}
	for _, e := range m.entries {
		m.known = append(m.known, e.name)
	}
	return m.entries
}

// close faults unknown and missing keys. A key that is missing because it was
// misspelt is one fault, not two.
func (m *Mapping) close() {
	unused := slices.DeleteFunc(slices.Clone(m.known), func(key string) bool {
		return slices.ContainsFunc(m.entries, func(e Value) bool { return e.name == key })
	})
	for _, e := range m.entries {
		if slices.Contains(m.known, e.name) {
			continue
		}
		near := units.Nearest(e.name, unused)
		if len(near) == 0 {
			near = units.Nearest(e.name, m.known)
		}
		if len(near) == 1 {
			m.missing = slices.DeleteFunc(m.missing, func(key string) bool { return key == near[0] })
		}
		m.f.at(e.key, "%s: unknown key %q, %s", m.name, e.name, rightWord(near, m.known))
	}
	for _, key := range m.missing {
		m.Fault("key %q is missing", key)
	}
}

// suggest says what would be right instead of got: the nearest options if any
// is near, else all of them.
func suggest(got string, options []string) string {
	return rightWord(units.Nearest(got, options), options)
}

func rightWord(near, all []string) string {
	switch {
	case len(near) > 0:
		return fmt.Sprintf("did you mean %s?", strings.Join(near, " or "))
	case len(all) == 1:
		return "want " + all[0]
	}
	return "want one of " + strings.Join(all, ", ")
}
