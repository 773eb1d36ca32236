package round

import (
	"slices"
	"strings"

	"example.org/headwatch/internal/journal"
	"example.org/headwatch/internal/ship"
	"example.org/headwatch/internal/units"
	"example.org/headwatch/internal/watch"
)

// Kind says what a place is.
type Kind uint8

// The kinds of places.
const (
	Pump Kind = iota
	Manifold
	Tank
)

// Place is where figures are read, and which.
type Place struct {
	Kind   Kind
	Name   string
	Parcel int // index in a picture
	Index  int // in the parcel
	Fields []Field
}

// Field is one figure of a place.
type Field struct {
	Key       string // in the log
	Dimension units.Dimension
	Unit      string // when none is typed
}

// MostFields is how many figures a place has at most.
const MostFields = 3

// places returns what is read on a round: pumps, manifolds, tanks.
func places(pic *watch.Picture, u ship.Gauging) []Place {
	var pumps, manifolds, tanks []Place
	for i := range pic.Parcels {
		parcel := &pic.Parcels[i]
		for k := range parcel.Pumps {
			p := &parcel.Pumps[k]
			pumps = append(pumps, Place{Pump, p.Name, i, k, []Field{
				{"speed", units.Speed, u.Speed}, {"suction", units.Pressure, p.SuctionUnit}, {"discharge", units.Pressure, p.DischargeUnit}}})
		}
		for k := range parcel.Manifolds {
			m := &parcel.Manifolds[k]
			manifolds = append(manifolds, Place{Manifold, m.Name, i, k, []Field{{"pressure", units.Pressure, m.Unit}}})
		}
		for k := range parcel.Tanks {
			tanks = append(tanks, Place{Tank, parcel.Tanks[k].Name, i, k, []Field{{"ullage", units.Length, u.Length}}})
		}
	}
	return append(append(pumps, manifolds...), tanks...)
}

// figures returns the figures of a place in a picture, in the order of its fields.
func (pl Place) figures(pic *watch.Picture) [MostFields]watch.Figure {
	parcel := &pic.Parcels[pl.Parcel]
	switch pl.Kind {
	case Pump:
		p := &parcel.Pumps[pl.Index]
		return [MostFields]watch.Figure{p.Speed, p.Suction, p.Discharge}
	case Manifold:
		return [MostFields]watch.Figure{parcel.Manifolds[pl.Index].Pressure}
	}
	return [MostFields]watch.Figure{parcel.Tanks[pl.Index].Ullage}
}

// body returns cells as the data of an entry, nil when none has a figure.
func (pl Place) body(cells [MostFields]Cell) journal.Body {
	var texts [MostFields]string
	var unchanged []string
	read := false
	for i, f := range pl.Fields {
		if c := cells[i]; c.Text != "" {
			texts[i], read = f.complete(c.Text), true
			if c.Unchanged {
				unchanged = append(unchanged, f.Key)
			}
		}
	}
	switch {
	case !read:
		return nil
	case pl.Kind == Pump:
		return journal.Reading{Pump: pl.Name, Speed: texts[0], Suction: texts[1], Discharge: texts[2], Unchanged: unchanged}
	case pl.Kind == Manifold:
		return journal.Reading{Manifold: pl.Name, Pressure: texts[0], Unchanged: unchanged}
	}
	return journal.Ullage{Tank: pl.Name, Ullage: texts[0]}
}

// figuresOf is the inverse of body: the place by kind and name, and its texts.
func figuresOf(body journal.Body) (k Kind, name string, texts [MostFields]string, unchanged []string) {
	switch b := body.(type) {
	case journal.Reading:
		if b.Manifold != "" {
			return Manifold, b.Manifold, [MostFields]string{b.Pressure}, b.Unchanged
		}
		return Pump, b.Pump, [MostFields]string{b.Speed, b.Suction, b.Discharge}, b.Unchanged
	case journal.Ullage:
		return Tank, b.Tank, [MostFields]string{b.Ullage}, nil
	}
	return 0, "", texts, nil
}

// complete returns a figure as it is logged: as keyed, with the unit that was
// meant when none was typed.
func (f Field) complete(text string) string {
	text = strings.TrimSpace(text)
	if _, err := units.ParseKeyed(f.Dimension, text, ""); err == nil {
		return text
	}
	if _, err := units.ParseKeyed(f.Dimension, text, f.Unit); err != nil {
		return text // not a figure: it stays as it is
	}
	return text + " " + f.Unit
}

// Ends reports whether a figure is complete as typed and what comes next can't
// belong to its unit.
func (f Field) Ends(text, next string) bool {
	if _, err := units.ParseKeyed(f.Dimension, text, f.Unit); err != nil {
		return false
	}
	if _, err := units.ParseKeyed(f.Dimension, text, ""); err == nil {
		return true // it has its unit
	}
	return !slices.ContainsFunc(units.Units(f.Dimension), func(unit string) bool { return strings.HasPrefix(unit, next) })
}

// bare is the inverse of complete.
func (f Field) bare(text string) string {
	if short := strings.TrimSuffix(text, " "+f.Unit); f.complete(short) == text {
		return short
	}
	return text
}

// names returns what is read at a place, in the order of a line.
func (pl Place) names() string {
	var names []string
	for _, f := range pl.Fields {
		names = append(names, f.Key)
	}
	return strings.Join(names, ", ")
}
