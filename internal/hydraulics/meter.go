package hydraulics

import (
	"errors"
	"fmt"
	"math"

	"example.org/headwatch/internal/curves"
)

// Shares and limits of the flags. The 2 % before the curve's end, the 1 m of
// margin and the 20 % and 50 % of readability are common practice, no source.
const (
	nearEnd       = 0.98 // of the curve's end
	leastMargin   = 1.0  // m of NPSH
	linearWithin  = 0.20 // u/Q up to which a symmetric interval is honest
	readable      = 0.50 // half width of the interval over the flow
	perSpeedRatio = 0.10 // of head, by how far a speed is from the one printed (law affinity; own judgement)
)

// ErrInput says that a figure is impossible, so that nothing can be computed.
var ErrInput = errors.New("impossible input")

// Estimate is what the two gauges and the tachometer of a running pump tell.
// A figure that can't be had is NaN.
type Estimate struct {
	State curves.State
	Flags Flags

	Head      float64 // m; the gauges' part alone when there is no flow
	Flow      float64 // m³/s; the end of the curve when beyond it
	FlowOther float64 // m³/s, the second flow of a drooping curve
	FlowLow   float64 // m³/s, flow at base + 2 u
	FlowHigh  float64 // m³/s, flow at base − 2 u; NaN when the curve ends before

	HeadU95     float64 // m
	FlowU95     float64 // m³/s; NaN where ± one figure would mislead
	FlowEffects Effects // on Flow, m³/s, for totals

	Efficiency float64 // fraction
	Power      float64 // W

	NPSHAvailable, NPSHRequired, NPSHMargin, NPSHMarginU95 float64 // m
}

// Meter reads head and flow off one pump's gauges and curves. It is immutable
// and safe for concurrent use; make it once per pump.
type Meter struct {
	pump               *Pump
	c, rise            float64
	suctionU           float64 // of the gauge's class, Pa
	dischargeU         float64
	tachometerU        float64 // fraction
	curveU             float64 // fraction of head
	suctionVelocity    float64 // v²/(2 g Q²) in the suction pipe, s²/m⁵
	printedSpeed       float64 // law affinity only, else 0
	minFlowPerRPM      float64
	suctionBelowCentre float64 // zs − zcentre, m; NaN when not given
}

// NewMeter prepares the constants of one pump.
func NewMeter(p *Pump) *Meter {
	m := &Meter{
		pump:               p,
		c:                  VelocityCoefficient(p.Suction.Bore, p.Discharge.Bore),
		rise:               p.Discharge.Height - p.Suction.Height,
		suctionU:           Standard(GaugeLimit(p.Suction)),
		dischargeU:         Standard(GaugeLimit(p.Discharge)),
		tachometerU:        Standard(p.Tachometer),
		curveU:             Standard(math.Hypot(p.HeadTolerance, p.ReadError)),
		suctionVelocity:    velocity(p.Suction.Bore),
		minFlowPerRPM:      p.MinFlow / p.Rated.Speed,
		suctionBelowCentre: p.Suction.Height - p.Centre,
	}
	if p.Curves.Law() == curves.Affinity {
		m.printedSpeed = p.Curves.Speeds()[0]
	}
	return m
}

// Pump returns the pump the meter reads.
func (m *Meter) Pump() *Pump { return m.pump }

// Pressure returns the gauge pressure in Pa that a reading of g means: less its
// zero, and less the atmosphere when it reads from vacuum.
func (g *Gauge) Pressure(reading float64) float64 {
	p := reading - g.Zero
	if g.Absolute {
		p -= Atmosphere
	}
	return p
}

// inSpan reports whether a reading lies on the scale of g.
func (g *Gauge) inSpan(reading float64) bool { return g.Lo <= reading && reading <= g.Hi }

// base returns the part of the head that the gauges alone tell,
// (pd − ps)/(ρ g) + zd − zs, in m.
func (m *Meter) base(r *Reading, l *Liquid) float64 {
	p := m.pump
	return HeadOfPressure(p.Discharge.Pressure(r.Discharge)-p.Suction.Pressure(r.Suction), l.Density) + m.rise
}

// Flow returns the flow alone, m³/s: the solution Q of
//
//	H(Q, N) − c Q² = (pd − ps)/(ρ g) + zd − zs
//
// and where it lies on the curve. It is Estimate without bounds and remarks,
// for a batch. The reading must have passed Check.
func (m *Meter) Flow(r Reading, l Liquid) (float64, curves.State) {
	var net curves.Net
	net.Set(m.pump.Curves.At(r.Speed), m.c)
	x := net.Solve(m.base(&r, &l))
	return x.Flow, x.State
}

// Check returns an error wrapping ErrInput when a reading or liquid is
// impossible: speed or density not above 0, or a figure that is not finite.
func Check(r *Reading, l *Liquid) error {
	switch {
	case !(r.Speed > 0 && r.Speed <= math.MaxFloat64):
		return fmt.Errorf("speed %g rpm: want a speed above 0: %w", r.Speed, ErrInput)
	case !(l.Density > 0 && l.Density <= math.MaxFloat64):
		return fmt.Errorf("density %g kg/m3: want a density above 0: %w", l.Density, ErrInput)
	case !(math.Abs(r.Suction) <= math.MaxFloat64):
		return fmt.Errorf("suction %g Pa: want a finite pressure: %w", r.Suction, ErrInput)
	case !(math.Abs(r.Discharge) <= math.MaxFloat64):
		return fmt.Errorf("discharge %g Pa: want a finite pressure: %w", r.Discharge, ErrInput)
	}
	return nil
}

// Estimate returns all that one reading tells about a pump. Head and flow are
// solved together, since the velocity head belongs to both. The bounds are
// the inverse at base ± 2 u, where
//
//	u² = u_gauges² + u_density² + (H u_curve)² + ((2H − Q H′) u_N/N)²,  u_Q = u/|H′ − 2 c Q|
//
// It returns an error wrapping ErrInput, and no estimate, for an impossible
// reading.
//
// Source: JCGM 100:2008 (GUM), 5.1; ISO 9906:2012, pump total head.
func (m *Meter) Estimate(r Reading, l Liquid) (Estimate, error) {
	if err := Check(&r, &l); err != nil {
		return Estimate{}, err
	}
	line := m.pump.Curves.At(r.Speed)
	base := m.base(&r, &l)
	var net curves.Net
	net.Set(line, m.c)
	x := net.Solve(base)
	pt := net.Point(x)
	e := Estimate{State: x.State, Flow: x.Flow, FlowOther: x.Other,
		Head: base, HeadU95: math.NaN(), FlowU95: math.NaN(), Efficiency: math.NaN(), Power: math.NaN(),
		NPSHAvailable: math.NaN(), NPSHRequired: math.NaN(), NPSHMargin: math.NaN(), NPSHMarginU95: math.NaN()}
	on := m.effects(&r, &l, &pt)
	e.bounds(&net, base, on.Sum())
	if x.State == curves.AboveCurve {
		e.HeadU95 = 2 * math.Sqrt(on.Suction*on.Suction+on.Discharge*on.Discharge+on.Density*on.Density)
	} else {
		m.atFlow(&e, line.End(), base, &pt, on)
	}
	if x.State == curves.OK || x.State == curves.TwoFlows {
		e.Efficiency = pt.Efficiency
		if pt.Efficiency > 0 {
			e.Power = ShaftPower(l.Density, pt.Flow, pt.Head, pt.Efficiency)
		}
		e.NPSHRequired = pt.NPSHr
	}
	m.suctionSide(&e, &r, &l, &pt)
	e.Flags = m.flags(&e, &r, line, pt.OneCurve)
	return e, nil
}

// effects returns what one standard uncertainty of each source does to the
// head at which the flow is read, in m, at the point pt.
func (m *Meter) effects(r *Reading, l *Liquid, pt *curves.Point) Effects {
	perPa := 1 / (l.Density * Gravity)
	difference := m.pump.Discharge.Pressure(r.Discharge) - m.pump.Suction.Pressure(r.Suction)
	curve := m.curveU
	if m.printedSpeed > 0 {
		curve = math.Hypot(curve, Standard(perSpeedRatio*(r.Speed/m.printedSpeed-1)))
	}
	return Effects{
		Suction:   -perPa * reading(m.suctionU, r.SuctionHalf),
		Discharge: perPa * reading(m.dischargeU, r.DischargeHalf),
		Speed:     -(2*pt.Head - pt.Flow*pt.Slope) * m.speedU(r),
		Density:   -perPa * difference * Standard(l.DensityHalfWidth) / l.Density,
		Curve:     -pt.Head * curve,
	}
}

// speedU returns the standard uncertainty of a speed as a fraction: of the
// tachometer and of how it was read.
func (m *Meter) speedU(r *Reading) float64 {
	if r.SpeedHalf == 0 {
		return m.tachometerU
	}
	return math.Hypot(m.tachometerU, Standard(r.SpeedHalf/r.Speed))
}

// reading combines a gauge's own standard uncertainty with the half width to
// which it was read.
func reading(gauge, half float64) float64 {
	return math.Sqrt(gauge*gauge + half*half/3)
}

// bounds sets FlowLow and FlowHigh, the inverse at base ± 2 u.
func (e *Estimate) bounds(net *curves.Net, base, u float64) {
	low := net.Solve(base + 2*u)
	e.FlowLow = low.Flow
	if low.State == curves.AboveCurve {
		e.FlowLow = 0
	}
	high := net.Solve(base - 2*u)
	switch e.FlowHigh = high.Flow; high.State {
	case curves.AboveCurve:
		e.FlowHigh = 0
	case curves.BeyondEnd:
		e.FlowHigh = math.NaN()
	}
}

// atFlow sets what follows from the flow at pt: the velocity part of the head
// and both uncertainties.
func (m *Meter) atFlow(e *Estimate, end, base float64, pt *curves.Point, on Effects) {
	e.Head = base + m.c*pt.Flow*pt.Flow
	velocity := 2 * m.c * pt.Flow
	slope := pt.Slope - velocity // of F, from which the flow is read
	u := on.Sum()
	perHead := 1 / slope
	if !(slope < 0) || -u*perHead > linearWithin*pt.Flow {
		// A straight line misleads here: spread the effects over the interval.
		perHead = -(orElse(e.FlowHigh, end) - e.FlowLow) / (4 * u)
	} else if e.State != curves.BeyondEnd {
		e.FlowU95 = -2 * u * perHead
	}
	e.FlowEffects = on.scaled(perHead)
	// d(head) = d(base) + 2 c Q dQ. Near a droop's peak dQ has no bound, but
	// the head is then the curve's, so its share is held within the gauges'.
	follow := min(max(velocity/min(slope, -math.SmallestNonzeroFloat64), -1), 1)
	gauges := 1 + min(follow, 0)
	e.HeadU95 = 2 * Effects{on.Suction * gauges, on.Discharge * gauges, on.Speed * follow,
		on.Density * gauges, on.Curve * follow, 0}.Sum()
}

// orElse returns v, or other when v is NaN.
func orElse(v, other float64) float64 {
	if math.IsNaN(v) {
		return other
	}
	return v
}

func (m *Meter) flags(e *Estimate, r *Reading, line curves.Line, oneCurve bool) Flags {
	var f Flags
	set := func(flag Flags, when bool) {
		if when {
			f |= flag
		}
	}
	p := m.pump
	high := orElse(e.FlowHigh, line.End())
	minimum := m.minFlowPerRPM * r.Speed
	set(SpeedOutside, line.SpeedOutside())
	set(OneCurve, oneCurve)
	set(PoorlyReadable, high-e.FlowLow > 2*readable*orElse(e.Flow, 0))
	set(BelowMinimumFlow, e.Flow < minimum || e.State == curves.AboveCurve && high < minimum)
	set(AboveNominal, e.Flow > p.NominalFlow)
	set(NearCurveEnd, e.Flow >= nearEnd*line.End())
	set(LowMargin, e.NPSHMargin < max(leastMargin, e.NPSHMarginU95))
	set(SuctionAboveDischarge, p.Suction.Pressure(r.Suction) > p.Discharge.Pressure(r.Discharge))
	set(OutOfSpan, !p.Suction.inSpan(r.Suction) || !p.Discharge.inSpan(r.Discharge))
	return f
}
