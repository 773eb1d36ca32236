package learn

import (
	"errors"
	"math"
	"testing"

	"example.org/headwatch/internal/hydraulics"
)

func TestReadDividesErrors(t *testing.T) {
	m := newShip(t).meters[0]
	r := hydraulics.Reading{Speed: 1300, Suction: 0.6 * bar, Discharge: 9.1 * bar}
	exact, err := Read(m, r, liquid)
	if err != nil {
		t.Fatal(err)
	}
	if exact.Noise != 0 {
		t.Errorf("read to the last digit, noise %g", exact.Noise)
	}
	r.SpeedHalf, r.SuctionHalf, r.DischargeHalf = 2.5, 0.01*bar, 0.1*bar
	rough, err := Read(m, r, liquid)
	if err != nil {
		t.Fatal(err)
	}
	whole, err := m.Estimate(r, liquid)
	if err != nil {
		t.Fatal(err)
	}
	if rough.Effects != exact.Effects || rough.Flow != whole.Flow {
		t.Error("how gauges are read changed flow or lasting errors")
	}
	within(t, "both together", math.Hypot(rough.Noise, rough.Effects.Sum()), whole.FlowEffects.Sum(), 1e-12)
	r.Discharge = 12 * bar
	if _, err := Read(m, r, liquid); !errors.Is(err, ErrNoFlow) {
		t.Errorf("above the curve: %v, want ErrNoFlow", err)
	}
	r.Speed = 0
	if _, err := Read(m, r, liquid); !errors.Is(err, hydraulics.ErrInput) {
		t.Errorf("standing: %v, want ErrInput", err)
	}
}

func TestMean(t *testing.T) {
	a, b := one(1, 0.3)[0], one(2, 0.4)[0]
	a.Effects, b.Effects = hydraulics.Effects{Curve: 0.1, Density: -0.2}, hydraulics.Effects{Curve: 0.3, Density: -0.2}
	m := Mean(a, b)
	within(t, "flow", m.Flow, 1.5, 1e-12)
	within(t, "curve", m.Effects.Curve, 0.2, 1e-12) // lasts: averaged
	within(t, "density", m.Effects.Density, -0.2, 1e-12)
	within(t, "noise", m.Noise, 0.25, 1e-12) // √(0.3² + 0.4²)/2
	if got := Mean(); got.Flow != 0 {
		t.Errorf("mean of nothing: %+v", got)
	}
}

// Source: by hand. 7.2 bar at 858 kg/m³ is 85.570 m; 1.5 m³/s on three arms of
// 0.4 m is 3.979 m/s, 0.807 m.
func TestReadLine(t *testing.T) {
	m := manifold
	m.Gauge.Zero = 0.1 * bar
	r := ReadLine(start, m, 7.3*bar, 0.05*bar, liquid, one(1.5, 0.01))
	within(t, "head", r.Head, 85.570+0.807, 1e-4)
	within(t, "noise", r.HeadU, 0.05*bar/math.Sqrt(3)/(planDensity*9.80665), 1e-9)
	gauge := 0.016 * 16 * bar / math.Sqrt(3) / (planDensity * 9.80665)
	within(t, "lasting", r.HeadLastingU, math.Hypot(gauge, 85.570*0.005/math.Sqrt(3)), 1e-4)
	m.Gauge.Absolute, m.Bore = true, math.NaN()
	r = ReadLine(start, m, 7.3*bar+hydraulics.Atmosphere, 0, liquid, one(1.5, 0.01))
	within(t, "absolute, no bore", r.Head, 85.570, 1e-4)
}
