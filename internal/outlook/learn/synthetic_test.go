package learn

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"example.org/headwatch/internal/curves"
	"example.org/headwatch/internal/hydraulics"
)

const (
	bar  = 1e5
	hour = 3600.0

	planStatic  = 26.0 // m
	planDensity = 858.0
	levelRise   = 0.4 / hour // of the shore tank, m/s
	arms        = 3
	bore        = 0.4 // m
)

// planLoss is 46 m at 6000 m³/h.
var planLoss = 46 / math.Pow(6000/hour, 2)

var start = time.Date(2026, 3, 1, 6, 0, 0, 0, time.UTC)

var manifold = Manifold{Gauge: hydraulics.Gauge{Height: 24, Lo: 0, Hi: 16 * bar, Class: 0.016}, Bore: bore, Arms: arms}

// sheets are a pump of three speeds whose heads are k times those printed.
func sheets(k float64) []curves.Sheet {
	printed := []struct {
		speed float64
		q, h  []float64
	}{
		{740, []float64{0, 250, 500, 750, 1000, 1250, 1500}, []float64{37.5, 37.3, 36.6, 35.3, 33.5, 31.1, 28.1}},
		{1110, []float64{0, 380, 750, 1120, 1500, 1880, 2250}, []float64{84.4, 83.9, 82.3, 79.6, 75.5, 70.1, 63.5}},
		{1480, []float64{0, 500, 1000, 1500, 2000, 2500, 3000}, []float64{150, 149.1, 146.4, 141.4, 134.4, 125, 113.3}},
	}
	var out []curves.Sheet
	for _, p := range printed {
		s := curves.Sheet{Speed: p.speed}
		for i := range p.q {
			s.Q = append(s.Q, p.q[i]/hour)
			s.H = append(s.H, k*p.h[i])
		}
		out = append(out, s)
	}
	return out
}

func family(t testing.TB, k float64) *curves.Family {
	t.Helper()
	f, err := curves.NewFamily(curves.Interpolate, sheets(k))
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func pump(name string, f *curves.Family) *hydraulics.Pump {
	return &hydraulics.Pump{
		Name: name, Curves: f, HeadTolerance: 0.05, ReadError: 0.005,
		Suction:    hydraulics.Gauge{Height: 2.4, Bore: 0.5, Lo: -1 * bar, Hi: 5 * bar, Class: 0.016},
		Discharge:  hydraulics.Gauge{Height: 3.2, Bore: 0.4, Lo: 0, Hi: 20 * bar, Class: 0.016},
		Tachometer: 0.005, Rated: hydraulics.Duty{Speed: 1480, Flow: 2500 / hour, Head: 125}, MinSpeed: 740, MaxSpeed: 1480,
		MinFlow: 750 / hour, NominalFlow: 2500 / hour, Centre: 2.6,
		SuctionLoss: 1.6 / math.Pow(2500/hour, 2), RiserLoss: 4.5 / math.Pow(2500/hour, 2),
	}
}

// ship is the ship as she believes to be, shared by all synthetic discharges.
type ship struct{ meters []*hydraulics.Meter }

func newShip(t testing.TB) ship {
	f := family(t, 1)
	var s ship
	for _, name := range []string{"COP 1", "COP 2", "COP 3"} {
		s.meters = append(s.meters, hydraulics.NewMeter(pump(name, f)))
	}
	return s
}

// discharge is one discharge as it truly is, and what its gauges are off by.
type discharge struct {
	ship                           ship
	rng                            *rand.Rand
	static, loss, density          float64
	pumps                          []*hydraulics.Pump
	suction, discharge, tachometer []float64 // off by, Pa and fraction
	manifold                       float64   // off by, Pa
}

// draw returns a discharge with every lasting error drawn from the
// distribution that the program takes it to have: gauges, tachometer, density
// and the pumps' common curve from rectangles, the shore line from normals
// around the plan. Wear lowers the head of about every second pump by up to
// worst, each by its own share.
func draw(t testing.TB, s ship, seed uint64, worst float64) *discharge {
	rng := rand.New(rand.NewPCG(seed, 4))
	rect := func(half float64) float64 { return half * (2*rng.Float64() - 1) }
	d := &discharge{ship: s, rng: rng,
		static:  planStatic + PriorStatic*rng.NormFloat64(),
		loss:    planLoss * max(0.4, 1+PriorLoss*rng.NormFloat64()),
		density: planDensity * (1 + rect(0.005)),
	}
	d.manifold = rect(hydraulics.GaugeLimit(manifold.Gauge))
	curve := 1 + rect(0.05) + rect(0.005)
	for _, m := range s.meters {
		p := *m.Pump()
		p.Curves = family(t, curve*(1-worst*max(0, 2*rng.Float64()-1)))
		d.pumps = append(d.pumps, &p)
		d.suction = append(d.suction, rect(hydraulics.GaugeLimit(p.Suction)))
		d.discharge = append(d.discharge, rect(hydraulics.GaugeLimit(p.Discharge)))
		d.tachometer = append(d.tachometer, rect(p.Tachometer))
	}
	return d
}

// liquid is the cargo as planned.
var liquid = hydraulics.Liquid{Density: planDensity, DensityHalfWidth: 0.005 * planDensity, VapourPressure: math.NaN()}

// round is what the gauges show at one moment.
type round struct {
	line  LineReading
	pumps []PumpFlow
	true  []float64 // flow of each pump in pumps, m³/s
	rate  float64   // true, m³/s
}

// errEnd says that a pump ran past its curve, off which nothing can be read.
var errEnd = errors.New("past the curve")

// read returns a round at some hours since the start with the pumps at their
// speeds, 0 for stopped. exact leaves the noise of reading out, not the lasting
// errors; its uncertainties stand all the same.
func (d *discharge) read(hours float64, speeds []float64, exact bool) (round, error) {
	line := hydraulics.Line{Static: d.static + levelRise*hours*hour, Loss: d.loss, ManifoldHeight: manifold.Gauge.Height,
		ManifoldBore: bore, Arms: arms, UllagePressure: 0.1 * bar, Density: d.density}
	var branches []hydraulics.Branch
	for i, p := range d.pumps {
		branches = append(branches, hydraulics.Branch{Pump: p, Speed: speeds[i], Surface: 20 - 0.6*hours})
	}
	flows := make([]hydraulics.BranchFlow, len(branches))
	got, err := hydraulics.Solve(&line, branches, flows)
	if err != nil {
		return round{}, err
	}
	digit := func(v, step float64) float64 { // as an officer reads it
		if exact {
			return v
		}
		return step * math.Round(v/step)
	}
	at := start.Add(time.Duration(hours * hour * float64(time.Second)))
	out := round{rate: got.Rate}
	for i, f := range flows {
		if f.Standing != hydraulics.OnLine {
			if f.Standing == hydraulics.StandsStill {
				continue
			}
			return round{}, errEnd
		}
		p, err := Read(d.ship.meters[i], hydraulics.Reading{
			Speed: digit(speeds[i]*(1+d.tachometer[i]), 5), SpeedHalf: 2.5,
			Suction: digit(f.Suction+d.suction[i], 0.02*bar), SuctionHalf: 0.01 * bar,
			Discharge: digit(f.Discharge+d.discharge[i], 0.1*bar), DischargeHalf: 0.05 * bar,
		}, liquid)
		if errors.Is(err, ErrNoFlow) {
			return round{}, errEnd
		}
		if err != nil {
			return round{}, err
		}
		out.pumps, out.true = append(out.pumps, p), append(out.true, f.Flow)
	}
	pressure := digit(got.GaugeHead*d.density*hydraulics.Gravity+d.manifold, 0.1*bar)
	out.line = ReadLine(at, manifold, pressure, 0.05*bar, liquid, out.pumps)
	return out, nil
}

// hour returns one hour of pumping: readings at both ends, ullages with an
// error of 0.7 % of the rate (one minute in time is 1.7 %).
func (d *discharge) hour(from float64, speeds []float64) (Hour, round, error) {
	const ullageU = 0.007
	a, err := d.read(from, speeds, false)
	if err != nil {
		return Hour{}, round{}, err
	}
	b, err := d.read(from+1, speeds, false)
	if err != nil || len(a.pumps) != len(b.pumps) {
		return Hour{}, round{}, errEnd
	}
	rate := (a.rate + b.rate) / 2
	h := Hour{At: b.line.At, Ullage: rate * (1 + ullageU*d.rng.NormFloat64()), UllageU: ullageU * rate}
	for i := range a.pumps {
		h.Pumps = append(h.Pumps, Mean(a.pumps[i], b.pumps[i]))
	}
	return h, b, nil
}

// schedule is the speeds of the pumps in one hour of a discharge.
type schedule func(h int) []float64

// near keeps all pumps at nearly one speed: the trap.
func near(h int) []float64 {
	n := 1300 + 10*float64(h%3)
	return []float64{n, n, n}
}

// spread slows all pumps for some hours.
func spread(h int) []float64 {
	n := []float64{1130, 1200, 1270, 1340, 1400, 1400}[h%6]
	return []float64{n, n, n}
}

// combinations runs the pumps in pairs for some hours.
func combinations(h int) []float64 {
	n := 1300 + 10*float64(h%3)
	switch h % 8 {
	case 2:
		return []float64{n, n, 0}
	case 4:
		return []float64{0, n, n}
	case 6:
		return []float64{n, 0, n}
	}
	return []float64{n, n, n}
}

// log returns what a discharge logged in its first hours. Hours with a pump
// off its curve are left out.
func (d *discharge) log(hours int, s schedule) (readings []LineReading, log []Hour) {
	for h := range hours {
		got, end, err := d.hour(float64(h), s(h))
		if err != nil {
			continue
		}
		log = append(log, got)
		readings = append(readings, end.line)
	}
	return readings, log
}
