package hydraulics

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"example.org/headwatch/internal/curves"
)

// suctionPump is the demo pump with its suction loss, 1.6 m at 2,500 m³/h.
func suctionPump(t testing.TB) *Pump {
	p := demoPump(t)
	p.SuctionLoss = 1.6 / square(2500/hour)
	return p
}

// The tank at which a pump's margin is just what was wanted leaves that margin.
func TestLowestSurfaceLeavesTheMargin(t *testing.T) {
	p := suctionPump(t)
	rapid.Check(t, func(rt *rapid.T) {
		l := Liquid{Density: rapid.Float64Range(650, 1000).Draw(rt, "density"), VapourPressure: rapid.Float64Range(0, 9e4).Draw(rt, "vapour")}
		speed := rapid.Float64Range(740, 1480).Draw(rt, "speed")
		flow := rapid.Float64Range(0, 1).Draw(rt, "share") * p.Curves.At(speed).End()
		margin, ullage := rapid.Float64Range(0, 3).Draw(rt, "margin"), rapid.Float64Range(0, 2e4).Draw(rt, "ullage")
		surface := p.LowestSurface(speed, flow, margin, l, ullage)
		pt, _ := p.Curves.At(speed).At(flow)
		got := NPSHFromTank(ullage, l.VapourPressure, l.Density, surface-p.Centre, p.SuctionLoss, flow) - pt.NPSHr
		if math.Abs(got-margin) > 1e-9 {
			rt.Fatalf("margin %g m at %g m above keel, want %g", got, surface, margin)
		}
		// More flow, more speed and a livelier cargo want a higher tank.
		livelier := l
		livelier.VapourPressure += 1e3
		if !(p.LowestSurface(speed, flow, margin, livelier, ullage) > surface) || !(p.LowestSurface(speed, flow, margin, l, ullage+1e3) < surface) {
			rt.Fatalf("vapour or gas pressure moves %g m the wrong way", surface)
		}
		if more := p.LowestSurface(speed, 1.05*flow, margin, l, ullage); more < surface {
			rt.Fatalf("5 %% more flow wants %g m, less than %g", more, surface)
		}
	})
}

func TestLowestSurface(t *testing.T) {
	known := Liquid{Density: 858, VapourPressure: 38e3}
	tests := []struct {
		name        string
		change      func(p *Pump, l *Liquid)
		speed, flow float64 // rpm, m³/h
		want        float64 // m above keel, NaN for none
		source      string
	}{
		{"rated", func(*Pump, *Liquid) {}, 1480, 2500, 2.6 + 6.9 + 1 + 1.6 - (6e3+101325-38e3)/(858*9.80665),
			"by hand: centre + required at a printed point + margin + loss − gas and air less vapour"},
		{"beyond the curve", func(*Pump, *Liquid) {}, 1480, 3001, math.NaN(), "3,000 m³/h is the last point"},
		{"no vapour pressure", func(_ *Pump, l *Liquid) { l.VapourPressure = math.NaN() }, 1480, 2500, math.NaN(), "own rule"},
		{"no centre line", func(p *Pump, _ *Liquid) { p.Centre = math.NaN() }, 1480, 2500, math.NaN(), "own rule"},
		{"no loss", func(p *Pump, _ *Liquid) { p.SuctionLoss = math.NaN() }, 1480, 2500, math.NaN(), "own rule"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			p, l := suctionPump(t), known
			tt.change(p, &l)
			got := p.LowestSurface(tt.speed, tt.flow/hour, 1, l, 6e3)
			if math.IsNaN(got) != math.IsNaN(tt.want) || math.Abs(got-tt.want) > 1e-9 {
				t.Errorf("%g m above keel, want %g (%s)", got, tt.want, tt.source)
			}
		})
	}
}

// tankOf returns the tank that truly stands behind a suction gauge reading.
func tankOf(m *Meter, suction, density, flow float64) TankSide {
	const gas = 9806.65
	p := m.Pump()
	return TankSide{Pressure: gas,
		Surface: p.Suction.Height + HeadOfPressure(suction-gas, density) + (m.suctionVelocity+p.SuctionLoss)*flow*flow}
}

func TestCheckSuction(t *testing.T) {
	m := NewMeter(suctionPump(t))
	l := Liquid{Density: 858, DensityHalfWidth: 0.005 * 858, VapourPressure: 38e3}
	r := Reading{Speed: 1300, Suction: 0.6 * bar, SuctionHalf: 0.005 * bar, Discharge: 9.1 * bar, DischargeHalf: 0.05 * bar}
	e := estimate(t, m, r, l)
	tank := tankOf(m, r.Suction, l.Density, e.Flow)
	tests := []struct {
		name       string
		change     func(t *TankSide)
		difference float64 // m
		amiss      bool
		source     string
	}{
		{"as it should be", func(*TankSide) {}, 0, false, "the tank was made from the gauge"},
		{"strainer", func(s *TankSide) { s.Surface += 4 }, -4, true, "4 m more in the tank than the gauge tells"},
		{"another tank", func(s *TankSide) { s.Surface -= 4 }, 4, true, "4 m less"},
		{"within the errors", func(s *TankSide) { s.Surface += 0.5 }, -0.5, false, "class 1.6 of 6 bar alone is 1.3 m"},
		{"level badly known", func(s *TankSide) { s.Surface, s.SurfaceHalf = s.Surface+4, 4 }, -4, false, "own rule"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			side := tank
			tt.change(&side)
			c := m.CheckSuction(&e, r, l, side)
			within(t, "difference, m", c.Difference, tt.difference, 1e-9)
			within(t, "gauge less tank, m", e.NPSHAvailable-c.FromTank, tt.difference, 1e-9)
			if c.Amiss() != tt.amiss || !(c.DifferenceU95 > 0) || !(c.FromTankU95 > 0) {
				t.Errorf("%+v, amiss %v, want %v (%s)", c, c.Amiss(), tt.amiss, tt.source)
			}
		})
	}
}

func TestCheckSuctionWithout(t *testing.T) {
	l := Liquid{Density: 858, VapourPressure: math.NaN()}
	m := NewMeter(suctionPump(t))
	r := Reading{Speed: 1300, Suction: 0.6 * bar, Discharge: 9.1 * bar}
	e := estimate(t, m, r, l)
	side := tankOf(m, r.Suction, l.Density, e.Flow)
	if c := m.CheckSuction(&e, r, l, side); !math.IsNaN(c.FromTank) || math.Abs(c.Difference) > 1e-9 || !(c.DifferenceU95 > 0) {
		t.Errorf("no vapour pressure: %+v, want a difference and no NPSH", c)
	}
	past := estimate(t, m, Reading{Speed: 1300, Suction: 0.6 * bar, Discharge: 6 * bar}, l)
	if c := m.CheckSuction(&past, r, l, side); past.State != curves.BeyondEnd || !math.IsNaN(c.Difference) || c.Amiss() {
		t.Errorf("%v: %+v, want nothing beyond the end", past.State, c)
	}
	shut := Reading{Speed: 1300, Suction: 0.6 * bar, Discharge: 12 * bar}
	above := estimate(t, m, shut, l)
	still := tankOf(m, shut.Suction, l.Density, 0)
	if c := m.CheckSuction(&above, shut, l, still); above.State != curves.AboveCurve || math.Abs(c.Difference) > 1e-9 {
		t.Errorf("%v: %+v, want no flow and no difference", above.State, c)
	}
	m.Pump().SuctionLoss = math.NaN()
	if c := m.CheckSuction(&e, r, l, side); !math.IsNaN(c.Difference) || c.Amiss() {
		t.Errorf("no loss: %+v, want nothing", c)
	}
}

// Draws all errors of gauges, tachometer, density, curve and tank: the interval
// of the difference must hold the true one, none, in 95 % of draws or a little
// more: one rectangle, the suction gauge's class, outweighs the others, and two
// of its standard uncertainties are more than all of it.
func TestSuctionDifferenceCoversTheTruth(t *testing.T) {
	const draws = 20000
	m := NewMeter(suctionPump(t))
	rng := rand.New(rand.NewPCG(4, 5))
	rect := func(half float64) float64 { return half * (2*rng.Float64() - 1) }
	for _, share := range []float64{0.35, 0.6, 0.85} {
		flow := share * m.Pump().Curves.At(1300).End()
		held := 0
		for range draws {
			r, l := drawReading(rng, m, 1300, flow)
			// drawReading has its suction at 0.5 bar and its density around 858.
			side := tankOf(m, 0.5*bar, 858+rect(0.005*858), flow)
			side.SurfaceHalf, side.PressureHalf, side.LossHalf = 0.1, 200, 0.1
			side.Surface += rect(side.SurfaceHalf) + rect(side.LossHalf)*m.Pump().SuctionLoss*flow*flow
			side.Pressure += rect(side.PressureHalf)
			e := estimate(t, m, r, l)
			if c := m.CheckSuction(&e, r, l, side); !c.Amiss() {
				held++
			}
		}
		if coverage := float64(held) / draws; coverage < 0.94 || coverage > 0.99 {
			t.Errorf("at %g of the curve the interval held in %.1f %% of draws, want 94 to 99 %%", share, 100*coverage)
		}
	}
}

// The suction valve is not a remedy.
func TestSuctionRemedies(t *testing.T) {
	want := [...]string{RemedySlow, RemedyThrottle, RemedyFullerTank}
	if got := SuctionRemedies(); got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

func ExampleNPSHFromTank() {
	// 600 mmWG of gas, vapour pressure 38 kPa, 4 m over the pump, 1.6 m lost at 2,500 m³/h.
	const q = 2500.0 / 3600
	fmt.Printf("%.2f m\n", NPSHFromTank(600*9.80665, 38e3, 858, 4, 1.6/(q*q), q))
	// Output: 10.63 m
}

func ExampleLowestLevel() {
	const q = 2500.0 / 3600
	fmt.Printf("%.2f m\n", LowestLevel(6.9+1, 600*9.80665, 38e3, 858, 1.6/(q*q), q))
	// Output: 1.27 m
}

func ExampleNPSHFromGauge() {
	fmt.Printf("%.2f m\n", NPSHFromGauge(-0.25e5, 38e3, 858, 0.64, -0.2))
	// Output: 4.99 m
}

// examplePump is a pump with one printed speed and a suction loss of 1.6 m at
// 0.7 m³/s.
func examplePump() (*Pump, error) {
	f, err := curves.NewFamily(curves.Affinity, []curves.Sheet{{Speed: 1480, Q: []float64{0, .35, .7, .83},
		H: []float64{150, 143, 124, 113}, NPSHr: []float64{3.3, 4.2, 6.9, 8.7}}})
	return &Pump{Curves: f, Rated: Duty{1480, 0.7, 124}, HeadTolerance: 0.05, Centre: 2.6, SuctionLoss: 1.6 / square(0.7),
		Suction:   Gauge{Height: 2.4, Bore: 0.5, Lo: -1 * bar, Hi: 5 * bar, Class: 0.016},
		Discharge: Gauge{Height: 3.2, Bore: 0.4, Hi: 20 * bar, Class: 0.016}}, err
}

func ExamplePump_LowestSurface() {
	p, err := examplePump()
	if err != nil {
		fmt.Println(err)
		return
	}
	cargo := Liquid{Density: 858, VapourPressure: 70e3}
	for _, speed := range []float64{1480, 1330} {
		fmt.Printf("%.1f m at %.0f rpm\n", p.LowestSurface(speed, 0.7*speed/1480, 1, cargo, 6e3), speed)
	}
	// Output:
	// 7.7 m at 1480 rpm
	// 6.0 m at 1330 rpm
}

func ExampleMeter_CheckSuction() {
	p, err := examplePump()
	if err != nil {
		fmt.Println(err)
		return
	}
	m := NewMeter(p)
	r := Reading{Speed: 1480, Suction: 0.1 * bar, Discharge: 10.4 * bar}
	cargo := Liquid{Density: 858, DensityHalfWidth: 4, VapourPressure: 38e3}
	e, err := m.Estimate(r, cargo)
	if err != nil {
		fmt.Println(err)
		return
	}
	c := m.CheckSuction(&e, r, cargo, TankSide{Surface: 9, SurfaceHalf: 0.05, Pressure: 6e3})
	fmt.Printf("by the tank %.1f m, by the gauge %+.1f ± %.1f m: amiss %v\n", c.FromTank, c.Difference, c.DifferenceU95, c.Amiss())
	for i, remedy := range SuctionRemedies() {
		fmt.Printf("%d. %s\n", i+1, remedy)
	}
	fmt.Println(NeverSuction)
	// Output:
	// by the tank 13.0 m, by the gauge -3.9 ± 1.6 m: amiss true
	// 1. slow the pump
	// 2. throttle its discharge valve
	// 3. crack a fuller tank open to the same suction, and see that it does not run into the emptier one
	// never throttle the suction valve
}
