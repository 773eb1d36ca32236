package batch

import (
	"errors"
	"fmt"
	"io"
	"math"
	"slices"

	"example.org/headwatch/internal/hydraulics"
	"example.org/headwatch/internal/ship"
	"example.org/headwatch/internal/units"
)

// What Run and One fail with. An error of One that is none of them is a fault
// of its reading.
var (
	ErrUnusable = errors.New("readings cannot be used")
	ErrRead     = errors.New("readings cannot be read")
	ErrWrite    = errors.New("records cannot be written")
)

// Options is what a Batch is made from.
type Options struct {
	Ship    *ship.Ship
	Plan    *ship.Plan // nil for none
	Density string     // as keyed; replaces the plan's, a row's own replaces it; "" for none
	Format  Format
	Say     func(sentence string) // is told what is odd about the columns
}

// Batch computes the records of one ship. It is safe for concurrent use.
type Batch struct {
	ship    *ship.Ship
	meters  []*hydraulics.Meter // of each pump
	liquids []hydraulics.Liquid // likewise; density 0 where none is known
	format  Format
	say     func(string)
}

// New prepares a batch. The error says what is wrong with the density.
func New(o Options) (*Batch, error) {
	b := &Batch{ship: o.Ship, format: o.Format, say: o.Say}
	cargo := b.planned(o.Plan)
	for i := range o.Ship.Pumps {
		p := &o.Ship.Pumps[i].Pump
		l := hydraulics.Liquid{VapourPressure: math.NaN(), VapourHalfWidth: math.NaN()}
		if carried, ok := cargo[p.Name]; ok {
			p, l = carried.pump, carried.liquid
		}
		if o.Density != "" {
			if err := observe(&l, o.Density); err != nil {
				return nil, err
			}
		}
		b.meters = append(b.meters, hydraulics.NewMeter(p))
		b.liquids = append(b.liquids, l)
	}
	return b, nil
}

// carried is a pump as the cargo in it makes it.
type carried struct {
	pump   *hydraulics.Pump
	liquid hydraulics.Liquid
}

// planned returns the pumps that a plan uses, by name.
func (b *Batch) planned(p *ship.Plan) map[string]carried {
	out := map[string]carried{}
	if p == nil {
		return out
	}
	for i := range p.Parcels {
		pumps, words := b.ship.ForCargo(&p.Parcels[i])
		for _, w := range words {
			b.say(w)
		}
		for _, pump := range pumps {
			out[pump.Name] = carried{&pump.Pump, p.Parcels[i].Liquid}
		}
	}
	return out
}

// observe gives a liquid the density that was observed.
func observe(l *hydraulics.Liquid, text string) error {
	k, err := units.ParseKeyed(units.Density, text, "kg/m3")
	if err == nil {
		l.Density, l.DensityHalfWidth, err = ship.ObservedDensity(k)
	}
	return err
}

// knowsDensity reports whether some pump needs no density in its row.
func (b *Batch) knowsDensity() bool {
	return slices.ContainsFunc(b.liquids, func(l hydraulics.Liquid) bool { return l.Density > 0 })
}

// One writes the record of one reading, in which a decimal comma will do. The
// table of one reading is a list of its figures. The error is the fault of the
// reading, or wraps ErrWrite.
func (b *Batch) One(row Row, out io.Writer) error {
	var r record
	if f := b.estimator().estimate(&row, &r); f != nil {
		return f
	}
	text := appendListing(nil, &r)
	if b.format != Table {
		p := b.printer(row[Time] != "", 0)
		text = append(p.record([]byte(p.head), &r), p.tail...)
	}
	return write(out, text)
}

func write(out io.Writer, text []byte) error {
	if len(text) == 0 {
		return nil
	}
	if _, err := out.Write(text); err != nil {
		return fmt.Errorf("%w: %w", ErrWrite, err)
	}
	return nil
}
