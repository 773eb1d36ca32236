package ship

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"example.org/headwatch/internal/cargo"
)

// without removes each line that holds text, which must be there.
func without(t *testing.T, file, text string) string {
	t.Helper()
	var kept []string
	lines := strings.Split(file, "\n")
	for _, line := range lines {
		if !strings.Contains(line, text) {
			kept = append(kept, line)
		}
	}
	if len(kept) == len(lines) {
		t.Fatalf("the file holds no %q", text)
	}
	return strings.Join(kept, "\n")
}

// replaced replaces every occurrence of old, which must be there.
func replaced(t *testing.T, file, old, new string) string {
	t.Helper()
	if !strings.Contains(file, old) {
		t.Fatalf("the file holds no %q", old)
	}
	return strings.ReplaceAll(file, old, new)
}

func loadShipText(t *testing.T, text string) *Ship {
	t.Helper()
	s, err := LoadShip("ship.yaml", []byte(text), nil)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func loadPlanText(t *testing.T, text string) *Plan {
	t.Helper()
	p, err := LoadPlan("plan.yaml", []byte(text), loadShipText(t, example(t, "ship.yaml")))
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// Each optional part of the ship file left out alone: the rest still loads,
// and one sentence says what is switched off.
func TestShipWithout(t *testing.T) {
	good := example(t, "ship.yaml")
	cut := func(text string) func(*testing.T) string {
		return func(t *testing.T) string { return without(t, good, text) }
	}
	change := func(old, new string) func(*testing.T) string {
		return func(t *testing.T) string { return replaced(t, good, old, new) }
	}
	const pumps, trim = "COP 1, COP 2, COP 3", "no length, pump-room or place of a tank: levels over the pumps are not corrected for trim"
	for _, c := range []struct {
		name, missing string
		text          func(*testing.T) string
		gone          func(*Ship) float64 // NaN then
	}{
		{"length", trim, cut("length: 233 m"), func(s *Ship) float64 { return s.Length }},
		{"pump room", trim, cut("pump-room:"), func(s *Ship) float64 { return s.PumpRoomAlong }},
		{"place of a tank", trim, change("along: 176 m, ", ""), func(s *Ship) float64 { return s.Tanks[0].Along }},
		{"efficiency", "no efficiency or power curve for " + pumps + ": efficiency, power and fuel are not shown", cut("efficiency:"), efficiencyAtRated},
		{"npshr", "no NPSH-required curve for " + pumps + ": suction margin is not shown", cut("npshr:"), npshrAtRated},
		{"centre", "no impeller centre for " + pumps + ": suction margin is not shown", cut("centre:"), func(s *Ship) float64 { return s.Pumps[0].Centre }},
		{"suction loss", "no suction loss for COP 1, COP 2, COP 3: forecast and advice are not given", change("suction: 1.6 m at 2500 m3/h, ", ""), func(s *Ship) float64 { return s.Pumps[2].SuctionLoss }},
		{"riser loss", "no riser loss for COP 1, COP 2, COP 3: forecast and advice are not given", change(", riser: 4.5 m at 2500 m3/h", ""), func(s *Ship) float64 { return s.Pumps[2].RiserLoss }},
		{"heat limit", "no heat limit and casing volume for COP 1, COP 2, COP 3: heating behind a shut valve is not shown", change("heat-limit: 15 K, ", ""), func(s *Ship) float64 { return s.Pumps[1].ClosedValve.Heat }},
		{"casing volume", "no heat limit and casing volume for COP 1, COP 2, COP 3: heating behind a shut valve is not shown", change(", volume: 0.9 m3", ""), func(s *Ship) float64 { return s.Pumps[1].ClosedValve.Volume }},
		{"rated power", "no rated power of the drive for COP 1, COP 2, COP 3: power is not held against a limit", change(", rated-power: 1150 kW", ""), func(s *Ship) float64 { return s.Pumps[1].RatedPower }},
		{"no-load share", "no drive for COP 1, COP 2, COP 3: fuel is not compared", change("no-load: 18 %, ", ""), func(s *Ship) float64 { return s.Pumps[1].Drive.NoLoad }},
		{"bore", "no bore and arms for M2: the velocity head at its gauge is left out", change("bore: 400 mm, arms", "arms"), func(s *Ship) float64 { return s.Manifolds[0].Bore }},
		{"arms", "no bore and arms for M2: the velocity head at its gauge is left out", change("arms: 3, ", ""), func(s *Ship) float64 { return 0 / float64(s.Manifolds[0].Arms) }},
		{"table", "no table for tank 1C: volumes and the rate by ullage are not shown", change("table: tanks/1c.csv, ", ""), nil},
		{"tanks", "no tanks: levels, volumes and the rate by ullage are not shown", func(t *testing.T) string { return without(t, without(t, good, ".csv"), "tanks:") }, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := loadShipText(t, c.text(t))
			if !slices.Equal(s.Missing, []string{c.missing}) {
				t.Errorf("missing: got %q, want only %q", s.Missing, c.missing)
			}
			if c.gone != nil && !math.IsNaN(c.gone(s)) {
				t.Errorf("what is not given is %v, want NaN", c.gone(s))
			}
		})
	}
}

func efficiencyAtRated(s *Ship) float64 {
	pt, _ := s.Pumps[0].Curves.At(1480).At(2500.0 / 3600)
	return pt.Efficiency
}

func npshrAtRated(s *Ship) float64 {
	pt, _ := s.Pumps[0].Curves.At(1480).At(2500.0 / 3600)
	return pt.NPSHr
}

// Whole parts left out, which switch off more than one thing.
func TestShipWithoutParts(t *testing.T) {
	good := example(t, "ship.yaml")
	s := loadShipText(t, without(t, good, "drive:"))
	equal(t, "drive", s.Missing, []string{
		"no rated power of the drive for COP 1, COP 2, COP 3: power is not held against a limit",
		"no drive for COP 1, COP 2, COP 3: fuel is not compared"})
	equal(t, "drive kind", s.Pumps[0].Drive.Kind, "")
	near(t, "no load", s.Pumps[0].Drive.NoLoad, math.NaN())

	s = loadShipText(t, without(t, good, "    loss:"))
	equal(t, "losses", len(s.Missing), 2)

	s = loadShipText(t, without(t, good, "closed-valve:"))
	near(t, "seconds against a shut valve", s.Pumps[0].ClosedValve.Seconds, 30) // common practice, no source
	equal(t, "note on it", s.Notes[0], "COP 1: no closed-valve limit is given: 30 s is taken (common practice, no source)")

	from, to := strings.Index(good, "bring-on-line:"), strings.Index(good, "tanks:  ")
	s = loadShipText(t, good[:from]+good[to:])
	equal(t, "bring-on-line", s.Missing, []string{"no bring-on-line figures: the start-up guide is not shown"})
	near(t, "crack", s.BringOnLine.Crack, math.NaN())

	s = loadShipText(t, without(t, good, "read-error:"))
	near(t, "read error", s.Pumps[0].ReadError, 0)
	s = loadShipText(t, without(t, good, "fictional:"))
	equal(t, "fictional", s.Fictional, false)
}

// ISO 9906:2012, Table 8, head, from memory: 1U +6/0, 1E ±3, 1B ±3, 2B ±5,
// 2U +10/0, 3B ±7 %.
func TestGrades(t *testing.T) {
	good := example(t, "ship.yaml")
	for _, c := range []struct {
		grade string
		half  float64
		note  string
	}{
		{`, grade: "1U"`, 0.06, "curves cop: grade 1U allows +6/-0 % of head (ISO 9906:2012): ±6 % is taken"},
		{`, grade: "1E"`, 0.03, ""},
		{`, grade: "1B"`, 0.03, ""},
		{`, grade: "2B"`, 0.05, ""},
		{`, grade: "2U"`, 0.10, "curves cop: grade 2U allows +10/-0 % of head (ISO 9906:2012): ±10 % is taken"},
		{`, grade: "3B"`, 0.07, ""},
		{``, 0.07, "curves cop: no acceptance grade is named: 3B is taken, head ±7 % (ISO 9906:2012)"}, // own rule
	} {
		s := loadShipText(t, replaced(t, good, `, grade: "2B"`, c.grade))
		near(t, c.grade, s.Pumps[0].HeadTolerance, c.half)
		equal(t, c.grade, strings.Join(s.Notes, "\n"), c.note)
	}
}

func TestGauges(t *testing.T) {
	good := example(t, "ship.yaml")
	s := loadShipText(t, strings.Replace(good, "span: -1..5 bar,", "span: 0..6 kgf/cm2, unit: kgf/cm2, reads: absolute, zero: 0.02 bar,", 1))
	g := s.Pumps[0].Suction
	equal(t, "unit", s.Pumps[0].SuctionUnit, "kgf/cm2")
	equal(t, "reads", g.Absolute, true)
	near(t, "zero", g.Zero, 2000)
	near(t, "end of scale", g.Hi, 6*98066.5) // 1 kgf/cm2 = 98066.5 Pa, NIST SP 811
	equal(t, "others", s.Pumps[1].SuctionUnit, "bar")
	equal(t, "notes", s.Notes, []string(nil))

	s = loadShipText(t, strings.Replace(good, "span: 0..16 bar", "span: 0..16 kgf/cm2", 1))
	equal(t, "unit", s.Manifolds[0].Unit, "bar")
	equal(t, "notes", s.Notes, []string{"manifold M2: its scale is given in kgf/cm2, but readings are taken in bar; name its unit if they are not"})
}

func TestRatedDuty(t *testing.T) {
	good := example(t, "ship.yaml")
	for _, c := range []struct{ old, new, note string }{
		{"head: 125 m}", "head: 110 m}", "COP 1: its curves give 125.0 m at the rated flow and speed, its rated head is 110.0 m"},
		{"flow: 2500 m3/h, head", "flow: 3100 m3/h, head", "COP 1: its rated flow lies beyond the end of its curve at rated speed"},
	} {
		s := loadShipText(t, strings.Replace(good, c.old, c.new, 1))
		equal(t, c.new, s.Notes, []string{c.note})
	}
}

// The same curve keyed as pressure and power gives the same family: p = ρ g H
// and P = ρ g Q H/η with 998 kg/m3 and 9.80665 m/s2. 150, 125 and 100 m are
// 1468.056, 1223.380 and 978.704 kPa; at 1800 m3/h, 125 m and 80 % it takes
// 764.612 kW, at 3600 m3/h, 100 m and 70 % 1398.148 kW.
func TestPressureAndPower(t *testing.T) {
	good := example(t, "ship.yaml")
	from, to := strings.Index(good, "    law:"), strings.Index(good, "pumps:\n")
	s := loadShipText(t, good[:from]+`    law: affinity
    flow: m3/h
    pressure: kPa
    is: total
    power: kW
    speeds:
      - speed: 1480 rpm
        q:     [0, 1800, 3600]
        p:     [1468.056, 1223.380, 978.704]
        power: [400, 764.612, 1398.148]
`+good[to:])
	line := s.Pumps[0].Curves.At(1480)
	for _, want := range []struct{ q, head, efficiency float64 }{{0, 150, 0}, {0.5, 125, 0.8}, {1, 100, 0.7}} {
		pt, inside := line.At(want.q)
		if !inside || math.Abs(pt.Head-want.head) > 1e-3 || math.Abs(pt.Efficiency-want.efficiency) > 1e-5 {
			t.Errorf("at %g m3/s: %+v, want %+v", want.q, pt, want)
		}
	}
}

func TestPlanWithout(t *testing.T) {
	good := example(t, "plan.yaml")
	p := loadPlanText(t, without(t, good, "vapour-pressure:"))
	near(t, "vapour pressure", p.Parcels[0].Liquid.VapourPressure, math.NaN())
	equal(t, "missing", p.Missing, []string{"no vapour pressure for parcel A: suction margin is not shown"})

	p = loadPlanText(t, without(t, good, "viscosity:"))
	near(t, "viscosity", p.Parcels[0].Viscosity, math.NaN())
	equal(t, "missing", p.Missing, []string{"no viscosity for parcel A: nothing is corrected for it"})

	p = loadPlanText(t, without(t, good, "    tanks:"))
	equal(t, "missing", p.Missing, []string{"no tanks for parcel A: levels, volumes and the rate by ullage are not shown"})

	p = loadPlanText(t, good[:strings.Index(good, "pumping-clause:")])
	if p.Clause != nil {
		t.Errorf("clause %+v from nowhere", p.Clause)
	}
	equal(t, "missing", p.Missing, []string{"no pumping-clause: averages for the charter are not shown"})
}

// Without a ship the names stand as they are, but still once only.
func TestPlanAlone(t *testing.T) {
	good := example(t, "plan.yaml")
	p, err := LoadPlan("plan.yaml", []byte(good), nil)
	if err != nil {
		t.Fatal(err)
	}
	equal(t, "pumps", p.Parcels[0].Pumps, []string{"COP 1", "COP 2", "COP 3"})
	_, err = LoadPlan("plan.yaml", []byte(replaced(t, good, "COP 3", "cop1")), nil)
	equal(t, "error", fmt.Sprint(err), `plan.yaml:15:27: pump "cop1": belongs to parcel A already`)
}

// A ship without tanks has none that a plan could name.
func TestPlanOfShipWithoutTanks(t *testing.T) {
	s := loadShipText(t, without(t, without(t, example(t, "ship.yaml"), ".csv"), "tanks:"))
	_, err := LoadPlan("plan.yaml", []byte(replaced(t, example(t, "plan.yaml"), "[1C, 2C, 3C, 4C, 5C, 6C]", "[1C]")), s)
	equal(t, "error", fmt.Sprint(err), `plan.yaml:17:13: tank "1C": the ship file names no tank`)
}

func TestTwoParcels(t *testing.T) {
	good := example(t, "plan.yaml")
	text := strings.NewReplacer("COP 2, COP 3", "cop2", "5C, 6C]", "5c]", "readings-every:", secondParcel+"readings-every:").Replace(good)
	p := loadPlanText(t, text)
	a, b := p.Parcels[0], p.Parcels[1]
	equal(t, "spelling of the ship", a.Pumps, []string{"COP 1", "COP 2"})
	equal(t, "tanks", a.Tanks, []string{"1C", "2C", "3C", "4C", "5C"})
	equal(t, "observed", b.ObservedDensity, true)
	near(t, "density", b.Liquid.Density, 858)
	near(t, "density at 15", b.Density15, math.NaN())
	near(t, "half width", b.Liquid.DensityHalfWidth, 0.858) // 0.1 % is more than half a kg: own rule
	near(t, "rate", b.Limits.Rate, 2000.0*1000/858/3600)
	near(t, "booster", b.Shore.Booster, 30)
}

func TestDensityAndVapour(t *testing.T) {
	good := example(t, "plan.yaml")
	edit := func(density, vapour string) *Plan {
		return loadPlanText(t, strings.NewReplacer("{at-15: 871.0 kg/m3, group: crude}", density, "{rvp: 42 kPa}", vapour).Replace(good))
	}
	p := edit("{observed: 86e1 kg/m3}", "{true: 55 kPa}")
	near(t, "half a step of ten", p.Parcels[0].Liquid.DensityHalfWidth, 5)
	near(t, "true", p.Parcels[0].Liquid.VapourPressure, 55e3)
	near(t, "half width", p.Parcels[0].Liquid.VapourHalfWidth, 500)

	const note = "parcel A: rvp gives the true vapour pressure of group crude only; give the true one"
	for _, density := range []string{"{at-15: 871.0 kg/m3, group: products}", "{observed: 858 kg/m3}"} {
		p = edit(density, "{rvp: 42 kPa}")
		near(t, density, p.Parcels[0].Liquid.VapourPressure, math.NaN())
		equal(t, density, p.Notes, []string{note})
	}
	p = edit("{observed: 858 kg/m3, group: crude}", "{rvp: 42 kPa}")
	if v := p.Parcels[0].Liquid.VapourPressure; math.Abs(v/6894.757-6.7751) > 0.001 { // by hand: see the example parcel
		t.Errorf("vapour pressure of an observed crude: %v", v)
	}
	p = edit("{at-15: 871.0 kg/m3, group: crude}", "{rvp: 110 kPa}")
	_, err := cargo.TrueVapourPressure(110e3, 34+273.15)
	equal(t, "outside", p.Notes, []string{"parcel A: " + err.Error()})
}

func TestManifoldLimitOverScale(t *testing.T) {
	p := loadPlanText(t, replaced(t, example(t, "plan.yaml"), "manifold: 8.5 bar", "manifold: 18.5 bar"))
	equal(t, "notes", p.Notes, []string{"parcel A: the manifold limit lies beyond the scale of the gauge of M2"})
}
