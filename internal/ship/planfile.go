package ship

import (
	"cmp"
	"fmt"
	"math"
	"strings"
	"time"

	"example.org/headwatch/internal/cargo"
	"example.org/headwatch/internal/ship/form"
	"example.org/headwatch/internal/units"
)

const (
	planFormat = "plan/1"
	plannedBy  = 0.005 // half width of a planned density, a fraction
	observedBy = 0.001 // of an observed one, at least
	rvpBy      = 0.06  // of a vapour pressure from RVP: how far formula and table of its source differ at most
)

// LoadPlan reads a plan file for a ship; name is what its faults call it. With
// a nil ship the names of pumps, manifolds and tanks are taken as they stand.
// The error joins a *PosError for every fault, in the order of the file; the
// plan is then nil.
func LoadPlan(name string, data []byte, s *Ship) (*Plan, error) {
	r := planReader{ship: s, pumps: owners{}, tanks: owners{}}
	if err := form.Read(name, planFormat, data, r.read); err != nil {
		return nil, err
	}
	r.plan.Missing = r.plan.missing()
	return &r.plan, nil
}

type planReader struct {
	ship         *Ship // may be nil
	plan         Plan
	pumps, tanks owners
}

// owners is the parcel that each pump or tank belongs to, by folded name.
type owners map[string]string

func (r *planReader) note(what, format string, args ...any) {
	r.plan.Notes = append(r.plan.Notes, note(what, format, args...))
}

func (r *planReader) read(m *form.Mapping) {
	p := &r.plan
	p.Fictional = m.Opt("fictional").Flag()
	p.Voyage = m.Must("voyage").Text()
	p.Port = m.Must("port").Text()
	p.Berth = m.Must("berth").Text()
	p.Zone = zone(m.Must("time-zone"))
	seen := form.Names{}
	for _, v := range m.Must("parcels").List("parcel") {
		v.Mapping(func(m *form.Mapping) { p.Parcels = append(p.Parcels, r.parcel(m, seen)) })
	}
	every := m.Must("readings-every").Quantity(readingsEveryRange)
	p.ReadingsEvery = time.Duration(math.Round(every)) * time.Second
	if clause := m.Opt("pumping-clause"); clause.Given() {
		clause.Mapping(func(m *form.Mapping) {
			p.Clause = &Clause{
				Time:      m.Must("hours").Quantity(clauseHoursRange),
				Pressure:  m.Must("pressure").Quantity(manifoldLimitRange),
				FirstLine: m.Must("first-line").Choice("lines-excluded", "held-excluded", "lines-zero", "hourly-excluded", "hourly-zero"),
			}
		})
	}
}

func (r *planReader) parcel(m *form.Mapping, seen form.Names) Parcel {
	p := Parcel{
		Name:        seen.Take(m.Must("name")),
		Grade:       m.Must("grade").Text(),
		Temperature: m.Must("temperature").Quantity(temperatureRange),
		Viscosity:   m.Opt("viscosity").Quantity(viscosityRange),
	}
	m.Must("density").Mapping(func(m *form.Mapping) { p.readDensity(m) })
	m.Opt("vapour-pressure").Mapping(func(m *form.Mapping) { r.readVapour(m, &p) })
	r.readNames(m, &p)
	p.Quantity = m.Must("quantity").Quantity(volumeRange)
	remainder := m.Must("stripping-remainder")
	p.StrippingRemainder = remainder.Quantity(volumeRange)
	if p.StrippingRemainder >= p.Quantity {
		remainder.Fault("want less than the quantity")
	}
	m.Must("limits").Mapping(func(m *form.Mapping) { r.readLimits(m, &p) })
	m.Must("shore").Mapping(func(m *form.Mapping) {
		p.Shore = Shore{
			Static:     m.Must("static").Quantity(staticHeadRange),
			Loss:       m.Must("loss").Loss(),
			LevelRise:  m.Must("level-rise").Quantity(levelRiseRange),
			TimeToStop: m.Must("time-to-stop").Quantity(stopTimeRange),
			LineLength: m.Opt("line-length").Quantity(lineLengthRange),
			LineBore:   m.Opt("line-bore").Quantity(boreRange),
			Closing:    m.Opt("closing").Quantity(stopTimeRange),
		}
		m.Opt("booster").Mapping(func(m *form.Mapping) { p.Shore.Booster = m.Must("adds").Quantity(headRange) })
	})
	p.UllagePressure = m.Must("ullage-pressure").Quantity(ullagePressureRange)
	m.Must("basis").Mapping(func(m *form.Mapping) {
		p.Basis = m.Must("shore").Choice("m3 observed", "m3 at 15", "t in air")
	})
	return p
}

// readDensity reads the density planned at 15 °C or observed. It needs the
// temperature.
func (p *Parcel) readDensity(m *form.Mapping) {
	at15, observed, group := m.Opt("at-15"), m.Opt("observed"), m.Opt("group")
	p.Density15 = at15.Quantity(densityRange)
	p.Liquid.Density, p.Liquid.DensityHalfWidth = math.NaN(), math.NaN()
	if name := group.Choice("crude", "products", "lubes"); name != "" {
		p.Group, _ = cargo.ParseGroup(name)
		p.GroupKnown = true
	}
	switch {
	case at15.Given() == observed.Given():
		m.Fault("want either at-15 with its group, or observed")
	case observed.Given():
		p.ObservedDensity = true
		p.Liquid.Density = observed.Quantity(densityRange)
		p.Liquid.DensityHalfWidth = observedHalf(p.Liquid.Density, observed.Half(units.Density))
	case !group.Given():
		m.Fault("want the group that at-15 belongs to: crude, products or lubes")
	case p.GroupKnown && !absent(p.Density15+p.Temperature):
		rho, err := cargo.DensityAt(p.Group, p.Density15, p.Temperature)
		if err != nil {
			at15.Fault("%w", err)
			return
		}
		p.Liquid.Density, p.Liquid.DensityHalfWidth = rho, plannedBy*rho
	}
}

// readVapour reads the true vapour pressure, or works it out from the Reid
// vapour pressure of a crude oil.
func (r *planReader) readVapour(m *form.Mapping, p *Parcel) {
	p.Liquid.VapourPressure, p.Liquid.VapourHalfWidth = math.NaN(), math.NaN()
	rvp, known := m.Opt("rvp"), m.Opt("true")
	reid := rvp.Quantity(vapourPressureRange)
	switch {
	case m.Given() && rvp.Given() == known.Given():
		m.Fault("want either rvp or true")
	case known.Given():
		p.Liquid.VapourPressure = known.Quantity(vapourPressureRange)
		p.Liquid.VapourHalfWidth = known.Half(units.Pressure)
	case absent(reid + p.Temperature):
	case !p.GroupKnown || p.Group != cargo.Crude:
		r.note("parcel "+p.Name, "rvp gives the true vapour pressure of group crude only; give the true one")
	default:
		tvp, err := cargo.TrueVapourPressure(reid, p.Temperature)
		if err != nil {
			r.note("parcel "+p.Name, "%v", err)
		}
		p.Liquid.VapourPressure, p.Liquid.VapourHalfWidth = tvp, rvpBy*tvp
	}
}

// readNames reads the pumps, manifolds and tanks of a parcel. A pump or tank
// belongs to one parcel only.
func (r *planReader) readNames(m *form.Mapping, p *Parcel) {
	ship := cmp.Or(r.ship, &Ship{})
	read := func(v form.Value, item string, known []string, owners owners) []string {
		var list []string
		for _, v := range v.List(item) {
			name := r.shipName(v, known)
			if name == "" {
				continue
			}
			if owner, taken := owners[form.Fold(name)]; taken {
				v.Fault("belongs to parcel %s already", owner)
			}
			owners[form.Fold(name)] = p.Name
			list = append(list, name)
		}
		return list
	}
	p.Pumps = read(m.Must("pumps"), "pump", ship.pumpNames(), r.pumps)
	p.Manifolds = read(m.Must("manifolds"), "manifold", ship.manifoldNames(), owners{})
	p.Tanks = read(m.Opt("tanks"), "tank", ship.tankNames(), r.tanks)
}

// shipName returns a name that the ship must know.
func (r *planReader) shipName(v form.Value, known []string) string {
	switch {
	case r.ship == nil:
		return v.Text()
	case len(known) == 0:
		v.Fault("the ship file names no %s", v.Name())
		return ""
	}
	return v.OneOf(known)
}

// readLimits reads what was agreed with the shore. Rates may be t/h: the
// density is known by then.
func (r *planReader) readLimits(m *form.Mapping, p *Parcel) {
	first := m.Must("first-rate")
	p.Limits = Limits{
		Manifold:  m.Must("manifold").Quantity(manifoldLimitRange),
		Rate:      m.Must("rate").Flow(flowRange, p.Liquid.Density),
		FirstRate: first.Flow(flowRange, p.Liquid.Density),
	}
	if p.Limits.FirstRate > p.Limits.Rate {
		first.Fault("want no more than rate")
	}
	for _, name := range p.Manifolds {
		if r.ship == nil {
			return
		}
		if mf, ok := r.ship.FindManifold(name); ok && p.Limits.Manifold > mf.Gauge.Hi {
			r.note("parcel "+p.Name, "the manifold limit lies beyond the scale of the gauge of %s", name)
		}
	}
}

// zone returns the fixed offset of "+01:00", nil when there is none.
func zone(v form.Value) *time.Location {
	text := v.Text()
	if text == "" {
		return nil
	}
	t, err := time.Parse("-07:00", text)
	_, offset := t.Zone()
	if err != nil || offset < -12*3600 || offset > 14*3600 {
		v.Fault("want an offset from UTC between -12:00 and +14:00, as in \"+01:00\"")
		return nil
	}
	return time.FixedZone(text, offset)
}

// missing says in a sentence each what is switched off for want of an optional
// part of the plan.
func (p *Plan) missing() []string {
	var out []string
	say := func(part, consequence string, lacks func(*Parcel) bool) {
		if names := namesOf(p.Parcels, lacks, func(p *Parcel) string { return p.Name }); len(names) > 0 {
			out = append(out, fmt.Sprintf("no %s for parcel %s: %s", part, strings.Join(names, ", "), consequence))
		}
	}
	say("vapour pressure", "suction margin is not shown", func(p *Parcel) bool { return absent(p.Liquid.VapourPressure) })
	say("viscosity", "nothing is corrected for it", func(p *Parcel) bool { return absent(p.Viscosity) })
	say("tanks", "levels, volumes and the rate by ullage are not shown", func(p *Parcel) bool { return len(p.Tanks) == 0 })
	if p.Clause == nil {
		out = append(out, "no pumping-clause: averages for the charter are not shown")
	}
	return out
}
