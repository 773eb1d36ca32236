package learn

import (
	"errors"
	"fmt"
	"math"
	"time"

	"example.org/headwatch/internal/curves"
	"example.org/headwatch/internal/hydraulics"
)

// ErrNoFlow says that a reading tells no flow to learn from: it lies above its
// curve or beyond its end.
var ErrNoFlow = errors.New("no flow to learn from")

// worn is by how much wear widens the variance of a curve's error: to the
// maker's tolerance it adds 0.7 of it in head, 2 % for grade 2B. A pump's head
// falls by several per cent over years (common practice, no source; the figure
// is our own judgement). It acts on what is learnt, never on a raw flow.
const worn = 1.5

// PumpFlow is the flow of one pump by its curve, with its errors divided by
// how long they last. Those in Effects stay the same through a discharge:
// gauge classes, tachometer, density, curve.
type PumpFlow struct {
	hydraulics.Share
	Pump  string
	Noise float64 // standard uncertainty of what differs from reading to reading, m³/s
	Rated float64 // flow of the pump, m³/s
}

// Read returns the flow of a pump with its errors divided: what comes from how
// exactly the gauges were read (half the last digit, or as typed) is noise,
//
//	u_noise² = u(with half widths)² − u(without)²
//
// and the rest lasts. It returns ErrNoFlow above the curve and beyond its end,
// hydraulics.ErrInput for an impossible reading.
//
// Source: JCGM 100:2008 (GUM), 5.1.2 and F.1.2.3.
func Read(m *hydraulics.Meter, r hydraulics.Reading, l hydraulics.Liquid) (PumpFlow, error) {
	whole, err := m.Estimate(r, l)
	if err != nil {
		return PumpFlow{}, err
	}
	p := m.Pump()
	if whole.State == curves.AboveCurve || whole.State == curves.BeyondEnd {
		return PumpFlow{}, fmt.Errorf("%s is %v: %w", p.Name, whole.State, ErrNoFlow)
	}
	r.SpeedHalf, r.SuctionHalf, r.DischargeHalf = 0, 0, 0
	lasting, err := m.Estimate(r, l)
	if err != nil {
		return PumpFlow{}, err
	}
	with, without := whole.FlowEffects.Sum(), lasting.FlowEffects.Sum()
	return PumpFlow{
		Share: hydraulics.Share{Flow: whole.Flow, Effects: lasting.FlowEffects, Curves: p.Curves},
		Pump:  p.Name,
		Noise: math.Sqrt(max(0, with*with-without*without)),
		Rated: p.Rated.Flow,
	}, nil
}

// Mean returns the mean of several readings of one pump: flow and lasting
// errors are averaged, noise falls with the root of their number. Without a
// reading it is the zero PumpFlow.
func Mean(readings ...PumpFlow) PumpFlow {
	if len(readings) == 0 {
		return PumpFlow{}
	}
	share := 1 / float64(len(readings))
	out := readings[0]
	out.Flow, out.Effects = 0, hydraulics.Effects{}
	sum := &out.Effects
	for _, r := range readings {
		out.Flow += share * r.Flow
		sum.Suction += share * r.Effects.Suction
		sum.Discharge += share * r.Effects.Discharge
		sum.Speed += share * r.Effects.Speed
		sum.Density += share * r.Effects.Density
		sum.Curve += share * r.Effects.Curve
	}
	out.Noise = share * noiseOf(readings)
	return out
}

// flowOf returns the flow of pumps that run together, m³/s.
func flowOf(pumps []PumpFlow) (flow float64) {
	for i := range pumps {
		flow += pumps[i].Flow
	}
	return flow
}

// noiseOf returns the standard uncertainty of their flow by noise alone, m³/s.
func noiseOf(pumps []PumpFlow) (noise float64) {
	for i := range pumps {
		noise = math.Hypot(noise, pumps[i].Noise)
	}
	return noise
}

// own returns the lasting error that a pump shares with no other, m³/s: of its
// gauges and its tachometer.
func (p *PumpFlow) own() float64 {
	e := &p.Effects
	return math.Sqrt(e.Suction*e.Suction + e.Discharge*e.Discharge + e.Speed*e.Speed)
}

// shared returns the covariance of the lasting errors of two flows, each of
// pumps that run together, m⁶/s²: density is common to all, a curve to the
// pumps that share it, gauges and tachometer to the pump itself.
//
// Source: JCGM 100:2008 (GUM), F.1.2.3.
func shared(a, b []PumpFlow) (sum float64) {
	for i := range a {
		for j := range b {
			p, q := &a[i], &b[j]
			sum += p.Effects.Density * q.Effects.Density
			if p.Curves == q.Curves {
				sum += worn * p.Effects.Curve * q.Effects.Curve
			}
			if p.Pump == q.Pump {
				sum += p.own() * q.own()
			}
		}
	}
	return sum
}

// Manifold is the gauge that the shore line is seen from.
type Manifold struct {
	Gauge hydraulics.Gauge
	Bore  float64 // of the pipe there, m; NaN or 0: its velocity head is left out
	Arms  int     // that share the rate; 0 counts as 1
}

// ReadLine returns a reading of the shore line from a round: the total head at
// the manifold over its gauge,
//
//	h = p/(ρ g) + v²/(2 g),   v = ΣQ/(arms π b²/4)
//
// pressure and half its last digit in Pa, as the gauge shows them, beside the
// flows of the pumps that ran. The gauge's class and the density last.
//
// Source: ISO 9906:2012, total head.
func ReadLine(at time.Time, m Manifold, pressure, half float64, l hydraulics.Liquid, pumps []PumpFlow) LineReading {
	pressure -= m.Gauge.Zero
	if m.Gauge.Absolute {
		pressure -= hydraulics.Atmosphere
	}
	head := func(p float64) float64 { return hydraulics.HeadOfPressure(p, l.Density) }
	out := LineReading{
		At: at, Pumps: pumps, Head: head(pressure), HeadU: head(hydraulics.Standard(half)),
		HeadLastingU: math.Hypot(head(hydraulics.Standard(hydraulics.GaugeLimit(m.Gauge))),
			head(pressure)*hydraulics.Standard(l.DensityHalfWidth)/l.Density),
	}
	if m.Bore > 0 {
		arm := flowOf(pumps) / float64(max(m.Arms, 1))
		out.Head += hydraulics.VelocityCoefficient(math.Inf(1), m.Bore) * arm * arm
	}
	return out
}
