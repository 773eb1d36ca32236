package hydraulics

import "math"

// HeadOfPressure returns the height in m of a liquid that stands for a
// pressure,
//
//	h = p / (ρ g)
//
// p in Pa, density ρ in kg/m³. Density must be above 0.
//
// Source: ISO 9906:2012, pump total head, pressure term.
func HeadOfPressure(p, density float64) float64 { return p / (density * Gravity) }

// VelocityCoefficient returns c of the velocity term c Q² that belongs to
// gauges on pipes of two bores,
//
//	c = (1/Ad² − 1/As²) / (2 g),   A = π b²/4
//
// bores b in m, c in s²/m⁵. It is 0 for equal bores and negative when the
// discharge pipe is the wider.
//
// Source: ISO 9906:2012, pump total head, velocity term with v = Q/A.
func VelocityCoefficient(suctionBore, dischargeBore float64) float64 {
	return velocity(dischargeBore) - velocity(suctionBore)
}

// velocity returns v²/(2 g Q²) of a pipe, s²/m⁵.
func velocity(bore float64) float64 {
	area := math.Pi * bore * bore / 4
	return 1 / (2 * Gravity * area * area)
}

// TotalHead returns the head of a pump in m from its two gauges,
//
//	H = (pd − ps)/(ρ g) + (zd − zs) + c Q²
//
// gauge pressures in Pa, density in kg/m³, rise = zd − zs in m, flow in m³/s,
// c from VelocityCoefficient. A suction gauge below zero is a negative number.
//
// Source: ISO 9906:2012, definition of pump total head.
func TotalHead(suction, discharge, density, rise, c, flow float64) float64 {
	return HeadOfPressure(discharge-suction, density) + rise + c*flow*flow
}

// ShaftPower returns the power in W a pump takes from its drive,
//
//	P = ρ g Q H / η
//
// flow in m³/s, head in m, efficiency η as a fraction above 0.
//
// Source: ISO 9906:2012, pump power input.
func ShaftPower(density, flow, head, efficiency float64) float64 {
	return density * Gravity * flow * head / efficiency
}

// Affinity returns a duty at another speed by the similarity laws,
//
//	Q ∝ N,   H ∝ N²
//
// which hold between matching points of a curve, not along a real line.
//
// Source: similarity laws as in ISO 9906:2012 (conversion to rated speed).
func Affinity(d Duty, speed float64) Duty {
	r := speed / d.Speed
	return Duty{Speed: speed, Flow: d.Flow * r, Head: d.Head * r * r}
}
