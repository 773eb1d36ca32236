package batch

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"strings"

	"example.org/headwatch/internal/hydraulics"
	"example.org/headwatch/internal/units"
)

// Column is a column of the readings.
type Column uint8

// The columns. Time and Density may be absent; Time passes through as it
// stands.
const (
	Time Column = iota
	Pump
	Speed
	Suction
	Discharge
	Density
	columns
)

var columnNames = [columns]string{"time", "pump", "speed", "suction", "discharge", "density"}

// String returns the name that the header and faults call the column by.
func (c Column) String() string { return columnNames[c] }

// Row is one reading as text, by Column.
type Row [columns]string

// fault says what is wrong with a row.
type fault struct {
	row    int    // line of the file; 0 without a file
	column string // "" when it is not of one column
	err    error
}

func (f *fault) Error() string {
	text := f.err.Error()
	if f.column != "" && !strings.HasPrefix(text, f.column+" ") { // a speed in the column speed
		text = f.column + ": " + text
	}
	switch {
	case f.row == 0:
		return text
	case f.column == "":
		return fmt.Sprintf("row %d: %s", f.row, text)
	}
	return fmt.Sprintf("row %d, %s", f.row, text)
}

// estimator turns rows into records for one goroutine.
type estimator struct {
	*Batch
	pumps map[string]int // the pump that a spelling means
}

func (b *Batch) estimator() *estimator { return &estimator{b, map[string]int{}} }

// estimate fills r from a row.
func (e *estimator) estimate(row *Row, r *record) *fault {
	*r = record{time: row[Time], pump: row[Pump]}
	i, err := e.pump(row[Pump])
	if err != nil {
		return &fault{column: Pump.String(), err: err}
	}
	p := &e.ship.Pumps[i]
	r.pump = p.Name
	speed, f1 := keyed(row, Speed, units.Speed, e.ship.Units.Speed, 1e5)
	suction, f2 := keyed(row, Suction, units.Pressure, p.SuctionUnit, 1e9)
	discharge, f3 := keyed(row, Discharge, units.Pressure, p.DischargeUnit, 1e9)
	liquid, f4 := e.liquid(i, row[Density])
	if f := cmp.Or(f1, turning(speed), f2, f3, f4); f != nil {
		return f
	}
	r.speed = speed.SI
	r.Estimate, err = e.meters[i].Estimate(hydraulics.Reading{
		Speed: speed.SI, SpeedHalf: speed.Half,
		Suction: suction.SI, SuctionHalf: suction.Half,
		Discharge: discharge.SI, DischargeHalf: discharge.Half,
	}, liquid)
	if err != nil {
		return &fault{err: err}
	}
	return nil
}

// keyed reads one figure of a row. No gauge shows more than most (SI): that is a
// slip, and near the largest float64 it would make infinities. What is merely off
// a gauge's scale is for the flags to say.
func keyed(row *Row, c Column, d units.Dimension, unit string, most float64) (units.Keyed, *fault) {
	k, err := units.ParseKeyed(d, row[c], unit)
	if err == nil && math.Abs(k.SI) > most {
		err = fmt.Errorf("%v %q: want no more than %s", d, k.Text, units.Format(d, most, unit, 0))
	}
	if err != nil {
		return k, &fault{column: c.String(), err: err}
	}
	return k, nil
}

// turning refuses the speed of a pump whose flow can't be read.
func turning(speed units.Keyed) *fault {
	switch {
	case speed.SI < 0:
		return &fault{column: Speed.String(), err: fmt.Errorf("speed %q: want a speed above 0", speed.Text)}
	case speed.SI == 0:
		return &fault{column: Speed.String(), err: fmt.Errorf("speed %q: the pump stands still, there is no flow to read", speed.Text)}
	}
	return nil
}

// liquid returns what pump i moves, with the density of its row if it has one.
func (e *estimator) liquid(i int, density string) (l hydraulics.Liquid, f *fault) {
	l = e.liquids[i]
	var err error
	if density != "" {
		err = observe(&l, density)
	} else if l.Density == 0 {
		err = errors.New("density not given, and the pump belongs to no parcel of the plan")
	}
	if err != nil {
		return l, &fault{column: Density.String(), err: err}
	}
	return l, nil
}

// pump returns the index of the pump that name means.
func (e *estimator) pump(name string) (int, error) {
	if i, ok := e.pumps[name]; ok {
		return i, nil
	}
	found, ok := e.ship.FindPump(name)
	var known []string
	for i := range e.ship.Pumps {
		p := &e.ship.Pumps[i]
		if ok && p == found {
			if len(e.pumps) < 100 { // nobody spells three names in more ways
				e.pumps[strings.Clone(name)] = i
			}
			return i, nil
		}
		known = append(known, p.Name)
	}
	if near := units.Nearest(name, known); len(near) > 0 {
		return 0, fmt.Errorf("no such pump %.60q, nearest: %s", name, strings.Join(near, ", "))
	}
	return 0, fmt.Errorf("no such pump %.60q, want one of %s", name, strings.Join(known, ", "))
}
