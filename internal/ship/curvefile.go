package ship

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"example.org/headwatch/internal/curves"
	"example.org/headwatch/internal/hydraulics"
	"example.org/headwatch/internal/ship/form"
)

// curveSet is one entry of curves: the curves of all pumps of one make.
type curveSet struct {
	family                   *curves.Family // nil when it is faulty
	headTolerance, readError float64
	note                     string // on what was taken for granted; "" when nothing
}

// row is one list of a sheet: its key, what its figures are and their unit.
type row struct {
	key    string
	what   form.Plausible
	wanted bool   // on each sheet: the set names a unit for it
	unit   string // "" when there is none
}

func newRow(key string, what form.Plausible, unit form.Value) row {
	return row{key, what, unit.Given(), unit.Unit(what.Dimension())}
}

// layout is how the sheets of one set are written.
type layout struct {
	flow, head, efficiency, npshr row
	density                       float64 // of the test liquid, kg/m³
}

// readCurves reads one entry of curves.
func readCurves(v form.Value) curveSet {
	var c curveSet
	v.Mapping(func(m *form.Mapping) {
		density := c.readTest(m.Opt("tested-with"))
		law := curves.Interpolate
		if m.Must("law").Choice("interpolate", "affinity") == "affinity" {
			law = curves.Affinity
		}
		if c.readError = m.Opt("read-error").Quantity(smallShareRange); absent(c.readError) {
			c.readError = 0
		}
		lay := readLayout(m, density)
		var sheets []curves.Sheet
		var places []sheetPlaces
		for _, item := range m.Must("speeds").List("speed") {
			sheet, at := lay.readSheet(item)
			sheets, places = append(sheets, sheet), append(places, at)
		}
		if len(sheets) > 0 {
			var err error
			c.family, err = curves.NewFamily(law, sheets)
			placeFaults(err, v, sheets, places)
		}
	})
	return c
}

// readTest reads how the maker tested the pump, and returns the density.
func (c *curveSet) readTest(v form.Value) (density float64) {
	v.Mapping(func(m *form.Mapping) {
		density = m.Opt("density").Quantity(densityRange)
		m.Opt("viscosity").Quantity(viscosityRange)
		grade := m.Opt("grade").Choice(gradeNames()...)
		given := grade != ""
		if !given {
			grade = unknownGrade
		}
		percent, oneSided := headTolerance(grade)
		c.headTolerance = percent / 100
		switch {
		case !given:
			c.note = fmt.Sprintf("no acceptance grade is named: %s is taken, head ±%g %% (ISO 9906:2012)", grade, percent)
		case oneSided:
			c.note = fmt.Sprintf("grade %s allows +%g/-0 %% of head (ISO 9906:2012): ±%g %% is taken", grade, percent, percent)
		}
	})
	return density
}

// readLayout reads what the lists of the sheets hold.
func readLayout(m *form.Mapping, density float64) layout {
	lay := layout{density: density, flow: newRow("q", curveFlowRange, m.Must("flow"))}
	needDensity := func(v form.Value) {
		if v.Given() && absent(density) {
			v.Fault("needs the density of the test liquid; add it to tested-with")
		}
	}
	head, pressure, is := m.Opt("head"), m.Opt("pressure"), m.Opt("is")
	lay.head = newRow("h", curveHeadRange, head)
	lay.flow.wanted, lay.head.wanted = true, true
	if head.Given() == pressure.Given() {
		m.Fault("want either head or pressure, the unit of the points")
	} else if pressure.Given() {
		lay.head = newRow("p", curvePressureRange, pressure)
		needDensity(pressure)
	}
	is.Choice("total") // the rise from suction to discharge; no other pressure gives a head
	if pressure.Given() && !is.Given() {
		pressure.Fault("want \"is: total\" beside it; only the rise from suction to discharge gives a head")
	}
	efficiency, power := m.Opt("efficiency"), m.Opt("power")
	lay.efficiency = newRow("efficiency", curveEfficiencyRange, efficiency)
	if efficiency.Given() && power.Given() {
		power.Fault("want either efficiency or power, not both")
	} else if power.Given() {
		lay.efficiency = newRow("power", curvePowerRange, power)
		needDensity(power)
	}
	lay.npshr = newRow("npshr", curveNPSHRange, m.Opt("npshr"))
	return lay
}

// sheetPlaces says where the parts of one sheet stand, by the name that
// package curves gives them.
type sheetPlaces map[string]form.Value

// readSheet reads the lists of one speed.
func (lay *layout) readSheet(v form.Value) (sheet curves.Sheet, at sheetPlaces) {
	v.Mapping(func(m *form.Mapping) {
		at = sheetPlaces{"speed": m.Must("speed")}
		sheet.Speed = at["speed"].Quantity(speedRange)
		read := func(name string, r row) []float64 {
			if !r.wanted {
				m.Opt(r.key).Fault("no unit is named for it; add %s beside flow", r.key)
				return nil
			}
			at[name] = m.Must(r.key)
			list := at[name].Column(r.what, r.unit)
			if list == nil { // told here; its length must not be told again
				list = slices.Repeat([]float64{math.NaN()}, len(sheet.Q))
			}
			return list
		}
		sheet.Q = read("flow", lay.flow)
		sheet.H = read("head", lay.head)
		sheet.Efficiency = read("efficiency", lay.efficiency)
		sheet.NPSHr = read("npshr", lay.npshr)
	})
	if lay.head.key == "p" {
		for i, p := range sheet.H {
			sheet.H[i] = p / (lay.density * hydraulics.Gravity)
		}
	}
	if lay.efficiency.key == "power" {
		lay.efficiencyFromPower(&sheet, at["efficiency"])
	}
	for _, list := range [][]float64{sheet.Efficiency, sheet.NPSHr} {
		for i, x := range list {
			if absent(x) { // told already; it must not hide a fault of flow or head
				list[i] = 0
			}
		}
	}
	return sheet, at
}

// efficiencyFromPower turns powers into efficiencies, η = ρ g Q H/P.
func (lay *layout) efficiencyFromPower(sheet *curves.Sheet, v form.Value) {
	for i, power := range sheet.Efficiency {
		if i >= len(sheet.Q) || i >= len(sheet.H) {
			return // lists of different length; told by package curves
		}
		eta := lay.density * hydraulics.Gravity * sheet.Q[i] * sheet.H[i] / power
		if eta > 1 {
			v.Item(i).Fault("less than the power in the liquid; check the units and the test density")
			eta = math.NaN()
		}
		sheet.Efficiency[i] = eta
	}
}

// placeFaults tells what package curves refuses at the place of the figure.
// What could not be read is NaN by now and told already.
func placeFaults(err error, set form.Value, sheets []curves.Sheet, places []sheetPlaces) {
	if err == nil {
		return
	}
	for _, e := range form.Each(err) {
		var p *curves.PointError
		if !errors.As(e, &p) || p.Sheet < 0 {
			set.Fault("%w", e)
			continue
		}
		if unread(&sheets[p.Sheet], p) {
			continue
		}
		at := places[p.Sheet][p.Quantity]
		if p.Point >= 0 {
			at = at.Item(p.Point)
		}
		at.Fault("%w", p.Err)
	}
}

// unread reports whether the fault is about a figure that could not be read.
func unread(s *curves.Sheet, p *curves.PointError) bool {
	if p.Quantity == "speed" {
		return absent(s.Speed)
	}
	list := map[string][]float64{"flow": s.Q, "head": s.H, "efficiency": s.Efficiency, "npshr": s.NPSHr}[p.Quantity]
	return len(list) == 0 || p.Point >= 0 && absent(list[p.Point])
}
