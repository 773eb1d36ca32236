package hydraulics

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// TestIntervalsCoverTheTruth draws what gauges, tachometer, density and curve
// may be wrong by and asks how often the interval holds the true flow, at 15
// points of the demo pump: five shares of the curve at three speeds.
func TestIntervalsCoverTheTruth(t *testing.T) {
	const draws = 20000
	p := demoPump(t)
	m := NewMeter(p)
	rng := rand.New(rand.NewPCG(20, 26))
	for _, speed := range []float64{900, 1200, 1450} {
		for _, share := range []float64{0.15, 0.35, 0.55, 0.75, 0.9} {
			t.Run(fmt.Sprintf("%g rpm %g of the curve", speed, share), func(t *testing.T) {
				truth := share * p.Curves.At(speed).End()
				held := 0
				for range draws {
					r, l := drawReading(rng, m, speed, truth)
					e := estimate(t, m, r, l)
					if e.FlowLow <= truth && (math.IsNaN(e.FlowHigh) || truth <= e.FlowHigh) {
						held++
					}
				}
				if coverage := float64(held) / draws; coverage < 0.93 || coverage > 0.97 {
					t.Errorf("the interval held the true flow in %.1f %% of draws, want 95 ± 2 %%", 100*coverage)
				}
			})
		}
	}
}

// drawReading returns what the gauges might show at a true speed and flow,
// every error drawn from its rectangle.
func drawReading(rng *rand.Rand, m *Meter, speed, flow float64) (Reading, Liquid) {
	p := m.Pump()
	rect := func(half float64) float64 { return half * (2*rng.Float64() - 1) }
	const density, half = 858, 0.005 * 858
	trueDensity := density + rect(half)
	h, _ := p.Curves.At(speed).Head(flow)
	h *= 1 + rect(p.HeadTolerance) + rect(p.ReadError)
	suction := 0.5 * bar
	discharge := suction + (h-m.c*flow*flow-m.rise)*trueDensity*Gravity
	r := Reading{SpeedHalf: 2.5, SuctionHalf: 0.01 * bar, DischargeHalf: 0.05 * bar}
	r.Speed = speed*(1+rect(p.Tachometer)) + rect(r.SpeedHalf)
	r.Suction = suction + rect(GaugeLimit(p.Suction)) + rect(r.SuctionHalf)
	r.Discharge = discharge + rect(GaugeLimit(p.Discharge)) + rect(r.DischargeHalf)
	return r, Liquid{Density: density, DensityHalfWidth: half, VapourPressure: math.NaN()}
}
