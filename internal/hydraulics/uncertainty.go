package hydraulics

import (
	"math"

	"example.org/headwatch/internal/curves"
)

// Standard returns the standard uncertainty of a quantity that lies anywhere
// within ± halfWidth with equal chance (rectangular distribution),
//
//	u = a / √3
//
// Source: JCGM 100:2008 (GUM), 4.3.7.
func Standard(halfWidth float64) float64 { return halfWidth / math.Sqrt(3) }

// GaugeLimit returns the largest error in Pa that its class allows a gauge,
// anywhere on its scale: the class in per cent of the span.
//
// Source: EN 837-1:1996, Table 11.
func GaugeLimit(g Gauge) float64 { return g.Class * (g.Hi - g.Lo) }

// Effects is what one standard uncertainty of each source does to a figure,
// signed, in the unit of the figure. The sources are independent of each
// other; those of two pumps are not: density is common to a parcel, the curve
// to all pumps that share it.
type Effects struct {
	Suction, Discharge, Speed, Density, Curve, Vapour float64
}

// Sum returns the combined standard uncertainty, the root of the sum of
// squares.
//
// Source: JCGM 100:2008 (GUM), 5.1.2.
func (e Effects) Sum() float64 {
	return math.Sqrt(e.Suction*e.Suction + e.Discharge*e.Discharge + e.Speed*e.Speed +
		e.Density*e.Density + e.Curve*e.Curve + e.Vapour*e.Vapour)
}

// scaled returns the effects on a figure that moves by k for each unit.
func (e Effects) scaled(k float64) Effects {
	return Effects{e.Suction * k, e.Discharge * k, e.Speed * k, e.Density * k, e.Curve * k, e.Vapour * k}
}

// Share is one pump's part of a common flow.
type Share struct {
	Flow    float64 // m³/s
	Effects Effects // on Flow
	Curves  *curves.Family
}

// TotalFlow adds the flows of pumps on one parcel. Errors that pumps have in
// common are added with their sign before they are squared:
//
//	u² = Σ own² + (Σ density)² + Σ over curves (Σ curve)²
//
// flow and u in m³/s. Pumps with the same *curves.Family share its error.
//
// Source: JCGM 100:2008 (GUM), 5.2.2, with correlation 1 for common parts.
func TotalFlow(shares []Share) (flow, u float64) {
	density, own := 0.0, 0.0
	for i, s := range shares {
		flow += s.Flow
		density += s.Effects.Density
		e := s.Effects
		own += e.Suction*e.Suction + e.Discharge*e.Discharge + e.Speed*e.Speed
		if firstOfCurve(shares, i) {
			common := commonCurve(shares, s.Curves)
			own += common * common
		}
	}
	return flow, math.Sqrt(own + density*density)
}

func firstOfCurve(shares []Share, i int) bool {
	for _, s := range shares[:i] {
		if s.Curves == shares[i].Curves {
			return false
		}
	}
	return true
}

func commonCurve(shares []Share, f *curves.Family) (sum float64) {
	for _, s := range shares {
		if s.Curves == f {
			sum += s.Effects.Curve
		}
	}
	return sum
}
