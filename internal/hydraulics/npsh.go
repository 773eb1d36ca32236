package hydraulics

import (
	"math"

	"example.org/headwatch/internal/curves"
)

// NPSHFromGauge returns the net positive suction head available at the
// impeller's centre line in m, from the suction gauge of a running pump,
//
//	NPSHa = (ps + patm − pv)/(ρ g) + v²/(2 g) + zs − zcentre
//
// suction gauge pressure in Pa, vapour pressure in Pa absolute, density in
// kg/m³, velocityHead v²/(2 g) and rise zs − zcentre in m.
//
// Source: ISO 9906:2012, definition of NPSH; ISO 2533 for the atmosphere.
func NPSHFromGauge(suction, vapour, density, velocityHead, rise float64) float64 {
	return HeadOfPressure(suction+Atmosphere-vapour, density) + velocityHead + rise
}

// suctionSide sets NPSH available and the margin over what the curve wants.
// They stay NaN where vapour pressure, centre line or curve is not known.
func (m *Meter) suctionSide(e *Estimate, r *Reading, l *Liquid, pt *curves.Point) {
	flow := pt.Flow
	if e.State == curves.AboveCurve {
		flow = 0
	}
	suction := m.pump.Suction.Pressure(r.Suction)
	e.NPSHAvailable = NPSHFromGauge(suction, l.VapourPressure, l.Density, m.suctionVelocity*flow*flow, m.suctionBelowCentre)
	e.NPSHMargin = e.NPSHAvailable - e.NPSHRequired
	if math.IsNaN(e.NPSHMargin) {
		return
	}
	// The margin moves with the gauge itself and with the flow that was read.
	perPa := 1 / (l.Density * Gravity)
	perFlow := 2*m.suctionVelocity*flow - pt.NPSHrSlope
	on := e.FlowEffects.scaled(perFlow)
	on.Suction += perPa * reading(m.suctionU, r.SuctionHalf)
	on.Density -= perPa * (suction + Atmosphere - l.VapourPressure) * Standard(l.DensityHalfWidth) / l.Density
	on.Speed -= (2*pt.NPSHr - pt.Flow*pt.NPSHrSlope) * m.speedU(r)
	on.Vapour = -perPa * Standard(l.VapourHalfWidth)
	e.NPSHMarginU95 = 2 * on.Sum()
}

// NPSHAvailable returns NPSHFromGauge of the pump for a gauge pressure in Pa
// where its suction gauge sits and a flow in m³/s; NaN where centre line or vapour pressure is
// not known.
func (p *Pump) NPSHAvailable(suction float64, l Liquid, flow float64) float64 {
	return NPSHFromGauge(suction, l.VapourPressure, l.Density, velocity(p.Suction.Bore)*flow*flow, p.Suction.Height-p.Centre)
}
