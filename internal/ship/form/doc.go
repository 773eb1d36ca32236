// Package form reads YAML files that people fill in, strictly and patiently:
// every key and figure is checked, and all faults of a file come back at once,
// each a *PosError with its line and column, what was read and what would be
// right.
//
// Read walks a file by asking for its keys. What a reader asks for is what the
// format knows, so that a new key is one line:
//
//	form.Read("ship.yaml", "ship/1", data, func(m *form.Mapping) {
//		name = m.Must("name").Text()
//		length = m.Opt("length").Quantity(lengths)
//	})
//
// Lives here: what any such file needs, from bytes to SI figures; what YAML can
// do and such a file must not.
// Not here: the keys of a file and what they mean (package ship and others).
// May import: units, yaml.v3, the standard library.
package form
