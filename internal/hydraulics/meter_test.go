package hydraulics

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"example.org/headwatch/internal/curves"
)

const bar, hour = 1e5, 3600.0

// demoFamily is the invented pump of the demo ship: three printed speeds.
func demoFamily(t testing.TB) *curves.Family {
	t.Helper()
	sheet := func(speed float64, q, h, eff, npsh []float64) curves.Sheet {
		s := curves.Sheet{Speed: speed, H: h, NPSHr: npsh}
		for i := range q {
			s.Q = append(s.Q, q[i]/hour)
			s.Efficiency = append(s.Efficiency, eff[i]/100)
		}
		return s
	}
	f, err := curves.NewFamily(curves.Interpolate, []curves.Sheet{
		sheet(740, []float64{0, 120, 250, 380, 500, 620, 750, 880, 1000, 1120, 1250, 1380, 1500},
			[]float64{37.5, 37.5, 37.3, 37, 36.6, 36.1, 35.3, 34.5, 33.5, 32.4, 31.1, 29.6, 28.1},
			[]float64{0, 21.9, 36.1, 48.2, 57.6, 65.3, 71.8, 76.4, 79.2, 80.7, 81, 80.2, 78.2},
			[]float64{1.05, 1.06, 1.08, 1.12, 1.17, 1.24, 1.34, 1.47, 1.6, 1.76, 1.95, 2.17, 2.39}),
		sheet(1110, []float64{0, 190, 380, 560, 750, 940, 1120, 1310, 1500, 1690, 1880, 2060, 2250},
			[]float64{84.4, 84.3, 83.9, 83.3, 82.3, 81.1, 79.6, 77.7, 75.5, 73, 70.1, 67.1, 63.5},
			[]float64{0, 22.7, 36.4, 47.7, 57.6, 65.7, 71.6, 76.2, 79.2, 80.7, 81, 80.3, 78.2},
			[]float64{1.99, 2, 2.05, 2.13, 2.26, 2.43, 2.64, 2.91, 3.23, 3.6, 4.02, 4.48, 5.01}),
		sheet(1480, []float64{0, 250, 500, 750, 1000, 1250, 1500, 1750, 2000, 2250, 2500, 2750, 3000},
			[]float64{150, 149.8, 149.1, 148, 146.4, 144.2, 141.4, 138.2, 134.4, 130, 125, 119.5, 113.3},
			[]float64{0, 22.5, 36.1, 47.8, 57.6, 65.6, 71.8, 76.3, 79.2, 80.7, 81, 80.3, 78.2},
			[]float64{3.3, 3.32, 3.4, 3.55, 3.78, 4.08, 4.47, 4.94, 5.5, 6.16, 6.9, 7.74, 8.68}),
	})
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func demoPump(t testing.TB) *Pump {
	return &Pump{
		Name: "COP 1", Curves: demoFamily(t), HeadTolerance: 0.05, ReadError: 0.005,
		Suction:    Gauge{Height: 2.4, Bore: 0.5, Lo: -1 * bar, Hi: 5 * bar, Class: 0.016},
		Discharge:  Gauge{Height: 3.2, Bore: 0.4, Lo: 0, Hi: 20 * bar, Class: 0.016},
		Tachometer: 0.005, Rated: Duty{1480, 2500 / hour, 125}, MinSpeed: 740, MaxSpeed: 1480,
		MinFlow: 750 / hour, NominalFlow: 2500 / hour, Centre: 2.6,
	}
}

func planned(density float64) Liquid {
	return Liquid{Density: density, DensityHalfWidth: 0.005 * density, VapourPressure: math.NaN()}
}

func estimate(t testing.TB, m *Meter, r Reading, l Liquid) Estimate {
	t.Helper()
	e, err := m.Estimate(r, l)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

func TestStatesAndFlags(t *testing.T) {
	m := NewMeter(demoPump(t))
	tests := []struct {
		name               string
		speed              float64
		suction, discharge float64 // bar
		state              curves.State
		has, hasNot        Flags
		source             string
	}{
		{"usual", 1300, 0.6, 9.1, curves.OK, 0, PoorlyReadable | BelowMinimumFlow | OneCurve | SpeedOutside | OutOfSpan, "mid-curve"},
		{"above shut-off", 1300, 0.6, 10.5, curves.AboveCurve, PoorlyReadable, SuctionAboveDischarge, "head 118.5 m over 115.7 m"},
		{"far above: surely below minimum", 1300, 0.6, 14, curves.AboveCurve, BelowMinimumFlow, 0, "head 160 m"},
		{"near shut-off", 1300, 0.6, 10.1, curves.OK, PoorlyReadable, 0, "flat part"},
		{"beyond the end", 1300, 0.6, 6, curves.BeyondEnd, NearCurveEnd | AboveNominal, 0, "head 65 m under 87 m at the end"},
		{"over nominal", 1480, 0.6, 10.4, curves.OK, AboveNominal, NearCurveEnd, "between 2500 and 3000 m3/h"},
		{"speed below the printed", 600, 0.6, 2.3, curves.OK, SpeedOutside, 0, "600 < 740 rpm"},
		{"speed above the printed", 1600, 0.6, 13, curves.OK, SpeedOutside, 0, "1600 > 1480 rpm"},
		{"suction off its scale", 1300, -1.1, 7.5, curves.OK, OutOfSpan, 0, "scale −1..5 bar"},
		{"swapped gauges", 1300, 4, 1, curves.BeyondEnd, SuctionAboveDischarge, 0, "4 > 1 bar"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			e := estimate(t, m, Reading{Speed: tt.speed, Suction: tt.suction * bar, Discharge: tt.discharge * bar}, planned(858))
			if e.State != tt.state || !e.Flags.Has(tt.has) || e.Flags&tt.hasNot != 0 {
				t.Errorf("state %v, flags %v; want %v with %v, without %v (%s); flow %.0f (%.0f–%.0f)", e.State, e.Flags,
					tt.state, tt.has, tt.hasNot, tt.source, e.Flow*hour, e.FlowLow*hour, e.FlowHigh*hour)
			}
			if e.State == curves.AboveCurve && !math.IsNaN(e.Flow) || !(e.FlowLow >= 0) {
				t.Errorf("flow %g low %g", e.Flow, e.FlowLow)
			}
			if e.State == curves.BeyondEnd && !math.IsNaN(e.FlowHigh) {
				t.Errorf("high %g beyond the end, want open", e.FlowHigh)
			}
		})
	}
}

// The interval always holds the flow, in every state and wherever the gauges
// stand.
func TestBoundsHoldTheFlow(t *testing.T) {
	m := NewMeter(demoPump(t))
	rng := rand.New(rand.NewPCG(3, 1))
	for range 20000 {
		r := Reading{Speed: 400 + 1400*rng.Float64(), Suction: (-1 + 3*rng.Float64()) * bar, Discharge: 16 * rng.Float64() * bar}
		e := estimate(t, m, r, planned(700+400*rng.Float64()))
		end := m.Pump().Curves.At(r.Speed).End()
		high := orElse(e.FlowHigh, end)
		if !(e.FlowLow >= 0 && e.FlowLow <= high && high <= end) {
			t.Fatalf("%+v: bounds %g..%g, end %g", r, e.FlowLow, high, end)
		}
		if !math.IsNaN(e.Flow) && !(e.FlowLow <= e.Flow && e.Flow <= high) {
			t.Fatalf("%+v: flow %g outside %g..%g", r, e.Flow, e.FlowLow, high)
		}
		if !(e.HeadU95 > 0) || math.IsInf(e.HeadU95, 0) || math.IsNaN(e.FlowEffects.Sum()) {
			t.Fatalf("%+v: head u95 %g, effects %+v", r, e.HeadU95, e.FlowEffects)
		}
	}
}

func TestDroopGivesTwoFlows(t *testing.T) {
	f, err := curves.NewFamily(curves.Affinity, []curves.Sheet{{Speed: 1480,
		Q: []float64{0, .1, .2, .3, .4, .6, .8}, H: []float64{100, 102, 103.5, 104, 103, 95, 78}}})
	if err != nil {
		t.Fatal(err)
	}
	p := demoPump(t)
	p.Curves, p.Suction.Bore = f, p.Discharge.Bore // equal bores: F is the curve itself
	e := estimate(t, NewMeter(p), Reading{Speed: 1480, Discharge: (102 - 0.8) * 858 * Gravity}, planned(858))
	if e.State != curves.TwoFlows || math.Abs(e.FlowOther-0.1) > 1e-9 || !(e.Flow > 0.4) {
		t.Errorf("head 102 m: %v, flows %g and %g; want two-flows, the left one 0.1 m3/s (a knot)", e.State, e.Flow, e.FlowOther)
	}
}

func TestImpossibleInputIsAnError(t *testing.T) {
	m := NewMeter(demoPump(t))
	for _, r := range []Reading{{}, {Speed: -1300}, {Speed: math.NaN()}, {Speed: math.Inf(1)},
		{Speed: 1300, Suction: math.NaN()}, {Speed: 1300, Discharge: math.Inf(-1)}} {
		if _, err := m.Estimate(r, planned(858)); !errors.Is(err, ErrInput) {
			t.Errorf("%+v: error %v, want ErrInput", r, err)
		}
	}
	for _, l := range []Liquid{{}, {Density: -1}, {Density: math.NaN()}, {Density: math.Inf(1)}} {
		if _, err := m.Estimate(Reading{Speed: 1300}, l); !errors.Is(err, ErrInput) {
			t.Errorf("%+v: error %v, want ErrInput", l, err)
		}
	}
}

func TestGaugeZeroAndAbsolute(t *testing.T) {
	p := demoPump(t)
	plain := estimate(t, NewMeter(p), Reading{Speed: 1300, Suction: 0.6 * bar, Discharge: 9.1 * bar}, planned(858))
	p.Suction.Absolute, p.Discharge.Zero = true, 0.02*bar
	other := estimate(t, NewMeter(p), Reading{Speed: 1300, Suction: 0.6*bar + Atmosphere, Discharge: 9.12 * bar}, planned(858))
	if math.Abs(plain.Flow-other.Flow) > 1e-12 || math.Abs(plain.Head-other.Head) > 1e-9 {
		t.Errorf("the same pressures give %g and %g m", plain.Head, other.Head)
	}
}

// Three pumps at 1300 rpm with the flows 2278, 2244 and 2209 m3/h: ±955 m3/h
// with the common parts added first, ±652 if all were independent.
// Source: design, definition of uncertainty (worked apart from the program).
func TestTotalAddsCommonErrorsFirst(t *testing.T) {
	p := demoPump(t)
	m := NewMeter(p)
	var shares []Share
	independent := 0.0
	for _, q := range []float64{2278.36, 2244.11, 2209.4} {
		line := p.Curves.At(1300)
		h, _ := line.Head(q / hour)
		base := h - m.c*q*q/hour/hour
		r := Reading{Speed: 1300, SpeedHalf: 0.5, Suction: 0.5 * bar, SuctionHalf: 0.005 * bar, DischargeHalf: 0.005 * bar}
		r.Discharge = r.Suction + (base-m.rise)*858*Gravity
		e := estimate(t, m, r, planned(858))
		shares = append(shares, Share{e.Flow, e.FlowEffects, p.Curves})
		independent += e.FlowEffects.Sum() * e.FlowEffects.Sum()
	}
	flow, u := TotalFlow(shares)
	t.Log(2*u*hour, 2*math.Sqrt(independent)*hour)
	if math.Abs(flow*hour-6731.87) > 0.01 {
		t.Errorf("total %.2f m3/h, want 6731.87", flow*hour)
	}
	if got := 2 * u * hour; math.Abs(got-955) > 10 {
		t.Errorf("u95 of the total %.1f m3/h, want 955", got)
	}
	if got := 2 * math.Sqrt(independent) * hour; math.Abs(got-652) > 7 {
		t.Errorf("u95 if independent %.1f m3/h, want 652", got)
	}
}

func BenchmarkEstimate(b *testing.B) {
	m := NewMeter(demoPump(b))
	l := planned(858)
	l.VapourPressure = 50e3
	rng := rand.New(rand.NewPCG(1, 2))
	var rs [4096]Reading
	for i := range rs {
		n := 740 + 740*rng.Float64()
		line := m.Pump().Curves.At(n)
		q := line.End() * (0.3 + 0.65*rng.Float64())
		h, _ := line.Head(q)
		rs[i] = Reading{Speed: n, SpeedHalf: 0.5, Suction: 0.5 * bar, SuctionHalf: 500, DischargeHalf: 500}
		rs[i].Discharge = rs[i].Suction + (h-m.c*q*q-m.rise)*858*Gravity
	}
	for _, bench := range []struct {
		name string
		run  func(r Reading) float64
	}{
		{"flow alone", func(r Reading) float64 { q, _ := m.Flow(r, l); return q }},
		{"full record", func(r Reading) float64 { e, _ := m.Estimate(r, l); return e.Flow }},
	} {
		b.Run(bench.name, func(b *testing.B) {
			b.ReportAllocs()
			i, sum := 0, 0.0
			for b.Loop() {
				sum += bench.run(rs[i])
				i = (i + 1) % len(rs)
			}
			if !(sum > 0) {
				b.Fatal("no flow")
			}
		})
	}
}
