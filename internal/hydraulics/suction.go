package hydraulics

import (
	"math"

	"example.org/headwatch/internal/curves"
)

// What to do when the margin of NPSH runs short, in this order: slower wants
// less and loses less; a discharge valve takes flow off; a fuller tank opened
// a little holds up the pressure. The suction valve is not among them.
//
// Source: a tanker-school sheet on NPSH and cavitation, and a tanker officers'
// handbook, chapter 5.21 (fuller tank).
const (
	RemedySlow       = "slow the pump"
	RemedyThrottle   = "throttle its discharge valve"
	RemedyFullerTank = "crack a fuller tank open to the same suction, and see that it does not run into the emptier one"
	NeverSuction     = "never throttle the suction valve"
)

// SuctionRemedies returns the remedies for a short NPSH margin in the order in
// which they are to be tried.
func SuctionRemedies() [3]string { return [...]string{RemedySlow, RemedyThrottle, RemedyFullerTank} }

// NPSHFromTank returns the net positive suction head available at the
// impeller's centre line in m, from the tank that a pump draws from,
//
//	NPSHa = (pullage + patm − pv)/(ρ g) + z − Ks Q²
//
// pressure of the gas over the liquid in Pa gauge, vapour pressure in Pa
// absolute, density in kg/m³, level z of the surface over the centre line in
// m (negative when below), loss Ks from tank to pump in s²/m⁵, flow in m³/s.
//
// Source: ISO 9906:2012, definition of NPSH; ISO 2533 for the atmosphere.
func NPSHFromTank(ullage, vapour, density, level, loss, flow float64) float64 {
	return HeadOfPressure(ullage+Atmosphere-vapour, density) + level - loss*flow*flow
}

// LowestLevel returns the level z of the surface over the impeller's centre
// line in m at which NPSHFromTank falls to what is wanted,
//
//	z = wanted + Ks Q² − (pullage + patm − pv)/(ρ g)
//
// wanted is NPSH required and the margin to keep, in m; the rest is as in
// NPSHFromTank. It is negative where the pump could lift.
func LowestLevel(wanted, ullage, vapour, density, loss, flow float64) float64 {
	return wanted - NPSHFromTank(ullage, vapour, density, 0, loss, flow)
}

// LowestSurface returns the height of the surface above keel in m at which the
// pump's NPSH margin at a speed in rpm and a flow in m³/s has fallen to margin
// in m; ullage is the pressure of the gas over the liquid in Pa gauge. It is
// NaN where the flow lies beyond the curve, or where required NPSH, centre
// line, suction loss or vapour pressure is not known.
func (p *Pump) LowestSurface(speed, flow, margin float64, l Liquid, ullage float64) float64 {
	pt, inside := p.Curves.At(speed).At(flow)
	if !inside {
		return math.NaN()
	}
	return p.Centre + LowestLevel(pt.NPSHr+margin, ullage, l.VapourPressure, l.Density, p.SuctionLoss, flow)
}

// TankSide is what is known of the tank that a pump draws from.
type TankSide struct {
	Surface  float64 // of the liquid above keel, m
	Pressure float64 // of the gas over it, Pa gauge
	// Half widths of what these and the pump's suction loss (as a fraction) may
	// be wrong by.
	SurfaceHalf, PressureHalf, LossHalf float64
}

// SuctionCheck is a pump's suction by its tank, and by its gauge against its
// tank. A figure that can't be had is NaN.
type SuctionCheck struct {
	FromTank, FromTankU95 float64 // NPSH available, m
	// By the gauge less by the tank, m. Vapour pressure and centre line are
	// alike in both, so it is known without them.
	Difference, DifferenceU95 float64
}

// Amiss reports whether gauge and tank differ by more than their uncertainty.
// A gauge that shows less than its tank: a strainer, a half-shut valve or gas
// in the suction; one that shows more: another tank than the one named, or one
// of the two readings.
func (c SuctionCheck) Amiss() bool { return math.Abs(c.Difference) > c.DifferenceU95 }

// CheckSuction compares the suction gauge of a running pump, whose estimate
// from the same reading is e, with its tank:
//
//	difference = (ps − pullage)/(ρ g) + v²/(2 g) + zs − zsurface + Ks Q²
//
// Flow is that of the estimate, none when it is above the curve. Beyond the
// curve's end there is no check: the flow, and the loss with it, is only known
// to be more.
//
// Source: the difference of the two definitions of NPSH; JCGM 100:2008 (GUM),
// 5.1.2 and, for what both have in common, 5.2.2.
func (m *Meter) CheckSuction(e *Estimate, r Reading, l Liquid, t TankSide) SuctionCheck {
	none := math.NaN()
	if e.State == curves.BeyondEnd {
		return SuctionCheck{none, none, none, none}
	}
	flow := e.Flow
	if e.State == curves.AboveCurve {
		flow = 0
	}
	p := m.pump
	lost := p.SuctionLoss * flow * flow
	suction := p.Suction.Pressure(r.Suction)
	c := SuctionCheck{
		FromTank:   NPSHFromTank(t.Pressure, l.VapourPressure, l.Density, t.Surface-p.Centre, p.SuctionLoss, flow),
		Difference: HeadOfPressure(suction-t.Pressure, l.Density) + m.suctionVelocity*flow*flow + p.Suction.Height - t.Surface + lost,
	}
	perPa := 1 / (l.Density * Gravity)
	// What the tank alone may be wrong by is in both figures.
	own := math.Sqrt(square(t.SurfaceHalf)+square(perPa*t.PressureHalf)+square(lost*t.LossHalf)) / math.Sqrt(3)

	tank := e.FlowEffects.scaled(-2 * p.SuctionLoss * flow)
	tank.Density -= perPa * (t.Pressure + Atmosphere - l.VapourPressure) * Standard(l.DensityHalfWidth) / l.Density
	tank.Vapour -= perPa * Standard(l.VapourHalfWidth)
	c.FromTankU95 = 2 * math.Hypot(tank.Sum(), own)

	both := e.FlowEffects.scaled(2 * (m.suctionVelocity + p.SuctionLoss) * flow)
	both.Suction += perPa * reading(m.suctionU, r.SuctionHalf)
	both.Density -= perPa * (suction - t.Pressure) * Standard(l.DensityHalfWidth) / l.Density
	c.DifferenceU95 = 2 * math.Hypot(both.Sum(), own)
	return c
}

func square(v float64) float64 { return v * v }
