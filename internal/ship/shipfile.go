package ship

import (
	"errors"
	"io/fs"
	"maps"
	"math"
	"slices"
	"strings"

	"example.org/headwatch/internal/cargo"
	"example.org/headwatch/internal/hydraulics"
	"example.org/headwatch/internal/ship/form"
	"example.org/headwatch/internal/units"
)

const (
	shipFormat   = "ship/1"
	steamTurbine = "steam turbine"
	shutLimit    = 30.0 // s against a shut valve where the maker names none (common practice, no source)
)

// LoadShip reads a ship file; name is what its faults call it. The tank tables
// that it names are read from tables, beside the ship file; with nil they are
// not read. The error joins a *PosError for every fault, in the order of the
// file; the ship is then nil.
func LoadShip(name string, data []byte, tables fs.FS) (*Ship, error) {
	if tables == nil {
		return loadShip(name, data, nil)
	}
	return loadShip(name, data, func(path string) ([]byte, error) { return form.ReadFile(tables, path) })
}

func loadShip(name string, data []byte, readTable func(path string) ([]byte, error)) (*Ship, error) {
	r := shipReader{readTable: readTable, curves: map[string]curveSet{}}
	err := form.Read(name, shipFormat, data, r.read)
	if err = errors.Join(append(form.Each(err), r.tableFaults...)...); err != nil {
		return nil, err
	}
	r.ship.Missing = r.ship.missing()
	return &r.ship, nil
}

type shipReader struct {
	readTable   func(path string) ([]byte, error) // nil: tables are not read
	tableFaults []error
	ship        Ship
	curves      map[string]curveSet
}

func (r *shipReader) note(what, format string, args ...any) {
	r.ship.Notes = append(r.ship.Notes, note(what, format, args...))
}

func (r *shipReader) read(m *form.Mapping) {
	s := &r.ship
	m.Must("ship").Mapping(func(m *form.Mapping) {
		s.Name = m.Must("name").Text()
		s.Fictional = m.Opt("fictional").Flag()
		s.Length = m.Opt("length").Quantity(shipLengthRange)
	})
	m.Must("units").Mapping(func(m *form.Mapping) {
		s.Units = Gauging{
			Pressure:    m.Must("pressure").Unit(units.Pressure),
			Flow:        m.Must("flow").Unit(units.Flow),
			Length:      m.Must("length").Unit(units.Length),
			Temperature: m.Must("temperature").Unit(units.Temperature),
			Speed:       m.Must("speed").Unit(units.Speed),
		}
	})
	m.Must("curves").Mapping(func(m *form.Mapping) {
		for _, v := range m.All() {
			r.curves[v.Name()] = readCurves(v)
			if note := r.curves[v.Name()].note; note != "" {
				r.note("curves "+v.Name(), "%s", note)
			}
		}
	})
	pumps, manifolds, tanks := form.Names{}, form.Names{}, form.Names{}
	for _, v := range m.Must("pumps").List("pump") {
		v.Mapping(func(m *form.Mapping) { s.Pumps = append(s.Pumps, r.pump(m, pumps)) })
	}
	for _, v := range m.Must("manifolds").List("manifold") {
		v.Mapping(func(m *form.Mapping) { s.Manifolds = append(s.Manifolds, r.manifold(m, manifolds)) })
	}
	m.Opt("bring-on-line").Mapping(func(m *form.Mapping) { s.BringOnLine = readBringOnLine(m) })
	for _, v := range m.Opt("tanks").List("tank") {
		v.Mapping(func(m *form.Mapping) { s.Tanks = append(s.Tanks, r.tank(m, tanks)) })
	}
	m.Opt("pump-room").Mapping(func(m *form.Mapping) { s.PumpRoomAlong = m.Must("along").Quantity(alongRange) })
}

func (r *shipReader) pump(m *form.Mapping, seen form.Names) Pump {
	var p Pump
	p.Name = seen.Take(m.Must("name"))
	c := r.curveSet(m.Must("curves"))
	p.Curves, p.HeadTolerance, p.ReadError = c.family, c.headTolerance, c.readError
	m.Must("rated").Mapping(func(m *form.Mapping) {
		p.Rated = hydraulics.Duty{
			Speed: m.Must("speed").Quantity(speedRange),
			Flow:  m.Must("flow").Quantity(flowRange),
			Head:  m.Must("head").Quantity(headRange),
		}
	})
	m.Must("speed").Mapping(func(m *form.Mapping) { p.MinSpeed, p.MaxSpeed = m.Rising("min", "max", speedRange) })
	m.Must("flow").Mapping(func(m *form.Mapping) { p.MinFlow, p.NominalFlow = m.Rising("min", "max", flowRange) })
	m.Must("suction").Mapping(func(m *form.Mapping) { p.Suction, p.SuctionUnit = r.gauge(m, p.Name+" suction") })
	m.Must("discharge").Mapping(func(m *form.Mapping) { p.Discharge, p.DischargeUnit = r.gauge(m, p.Name+" discharge") })
	p.Tachometer = m.Must("tachometer").Quantity(smallShareRange)
	p.Centre = m.Opt("centre").Quantity(heightRange)
	m.Opt("loss").Mapping(func(m *form.Mapping) {
		p.SuctionLoss = m.Opt("suction").Loss()
		p.RiserLoss = m.Opt("riser").Loss()
	})
	m.Opt("valve").Mapping(func(m *form.Mapping) {
		r := m.Must("rangeability")
		p.Valve = hydraulics.Valve{Loss: m.Must("loss").Loss(), Rangeability: r.Number()}
		if p.Valve.Rangeability <= 1 || p.Valve.Rangeability > 1000 {
			r.Fault("want more than 1, 1000 at most; 50 is common")
		}
	})
	m.Opt("closed-valve").Mapping(func(m *form.Mapping) {
		p.ClosedValve = hydraulics.ClosedValve{
			Seconds: m.Opt("limit").Quantity(shutTimeRange),
			Heat:    m.Opt("heat-limit").Quantity(shutHeatRange),
			Volume:  m.Opt("volume").Quantity(casingRange),
		}
	})
	if absent(p.ClosedValve.Seconds) {
		p.ClosedValve.Seconds = shutLimit
		r.note(p.Name, "no closed-valve limit is given: %g s is taken (common practice, no source)", shutLimit)
	}
	m.Opt("drive").Mapping(func(m *form.Mapping) {
		p.Drive.Kind = m.Must("kind").Choice(steamTurbine, "electric motor", "diesel engine", "hydraulic motor")
		p.Drive.NoLoad = m.Opt("no-load").Quantity(shareRange)
		p.RatedPower = m.Opt("rated-power").Quantity(ratedPowerRange)
	})
	r.checkRated(&p)
	return p
}

// curveSet returns the curves that a pump names. A set that is itself faulty
// is there, without a family.
func (r *shipReader) curveSet(v form.Value) curveSet {
	return r.curves[v.OneOf(slices.Sorted(maps.Keys(r.curves)))]
}

// checkRated notes a rated duty that is not on the pump's curves: often the
// curves of another pump, or pressures taken for heads.
func (r *shipReader) checkRated(p *Pump) {
	if p.Curves == nil || absent(p.Rated.Speed+p.Rated.Flow+p.Rated.Head) {
		return
	}
	head, inside := p.Curves.At(p.Rated.Speed).Head(p.Rated.Flow)
	switch {
	case !inside:
		r.note(p.Name, "its rated flow lies beyond the end of its curve at rated speed")
	case math.Abs(head-p.Rated.Head) > (p.HeadTolerance+p.ReadError)*p.Rated.Head:
		r.note(p.Name, "its curves give %.1f m at the rated flow and speed, its rated head is %.1f m", head, p.Rated.Head)
	}
}

// gauge reads a pressure gauge and the unit that it reads.
func (r *shipReader) gauge(m *form.Mapping, what string) (g hydraulics.Gauge, unit string) {
	g.Height = m.Must("height").Quantity(heightRange)
	g.Bore = m.Must("bore").Quantity(boreRange)
	return g, r.scale(m, &g, what)
}

// scale reads what a gauge shows and how well, and returns its unit.
func (r *shipReader) scale(m *form.Mapping, g *hydraulics.Gauge, what string) (unit string) {
	span := m.Must("span")
	ends := span.Span(gaugeEndRange)
	g.Lo, g.Hi = ends.Lo, ends.Hi
	g.Class = class(m.Must("class")) / 100
	g.Absolute = m.Opt("reads").Choice("gauge", "absolute") == "absolute"
	if g.Absolute && g.Lo < 0 {
		span.Fault("want 0 or more; a gauge that reads absolute shows nothing below")
	}
	if zero := m.Opt("zero"); zero.Given() {
		g.Zero = zero.Quantity(gaugeZeroRange)
	}
	own := m.Opt("unit")
	if !own.Given() {
		unit = r.ship.Units.Pressure
		if ends.Unit != unit && ends.Unit != "" && unit != "" {
			r.note(what, "its scale is given in %s, but readings are taken in %s; name its unit if they are not", ends.Unit, unit)
		}
		return unit
	}
	return own.Unit(units.Pressure)
}

func (r *shipReader) manifold(m *form.Mapping, seen form.Names) Manifold {
	f := Manifold{Name: seen.Take(m.Must("name"))}
	f.Height = m.Must("height").Quantity(heightRange)
	f.Bore = m.Opt("bore").Quantity(boreRange)
	if arms := m.Opt("arms"); arms.Given() {
		f.Arms = arms.Count(20)
	}
	f.Gauge = hydraulics.Gauge{Height: f.Height, Bore: f.Bore}
	f.Unit = r.scale(m, &f.Gauge, "manifold "+f.Name)
	return f
}

func readBringOnLine(m *form.Mapping) BringOnLine {
	return BringOnLine{
		OpenAtHead:  m.Must("open-at-head").Quantity(headRange),
		Margin:      m.Must("margin").Quantity(headMarginRange),
		Crack:       m.Must("crack").Quantity(shareRange),
		JoinAtSpeed: m.Must("join-at-speed").Quantity(speedRange),
		FullIn:      m.Must("full-in-not-less-than").Quantity(rampTimeRange),
		AlikeWithin: m.Must("pumps-alike-within").Quantity(shareRange),
	}
}

func (r *shipReader) tank(m *form.Mapping, seen form.Names) Tank {
	t := Tank{
		Name:      seen.Take(m.Must("name")),
		Reference: m.Must("reference").Quantity(heightRange),
		Along:     m.Opt("along").Quantity(alongRange),
		Pump:      m.Opt("pump").OneOf(r.ship.pumpNames()),
	}
	if table := m.Opt("table"); table.Given() {
		t.Table = table.Text()
		t.Volumes = r.table(table, t.Table)
	}
	return t
}

// table reads the tank table that stands at a path.
func (r *shipReader) table(v form.Value, path string) *cargo.Table {
	switch {
	case path == "": // told already
		return nil
	case strings.Contains(path, `\`) || !fs.ValidPath(path) || path == ".":
		v.Fault("want a file in the folder of the ship file, as in tanks/1c.csv")
		return nil
	case r.readTable == nil:
		return nil
	}
	data, err := r.readTable(path)
	if err != nil {
		v.Fault("%w", err)
		return nil
	}
	table, err := cargo.ParseTable(path, data)
	if err != nil {
		for _, e := range form.Each(err) {
			r.tableFaults = append(r.tableFaults, placed(e, path))
		}
	}
	return table
}

// placed turns an error of package cargo, which has a type of its own for
// places, into ours.
func placed(err error, path string) error {
	var at *cargo.PosError
	if errors.As(err, &at) {
		return &form.PosError{File: at.File, Line: at.Line, Column: at.Column, Err: at.Err}
	}
	return &form.PosError{File: path, Err: err}
}
