package curves

import "math"

// Line is the curve of a pump at one speed. It is a small value, good as long
// as its Family is.
type Line struct {
	p       *pair
	n, w    float64
	end     float64 // phi
	outside bool
}

// Point is one point of a Line with all that the curves tell about it.
type Point struct {
	Flow       float64 // m³/s
	Head       float64 // m
	Slope      float64 // dH/dQ, s/m²
	Efficiency float64 // fraction; NaN when the sheets give none
	NPSHr      float64 // m; NaN when the sheets give none
	NPSHrSlope float64 // dNPSHr/dQ, s/m²; NaN likewise
	OneCurve   bool    // only the longer of the two neighbouring curves reaches here
}

// Speed returns the speed of the line, rpm.
func (l Line) Speed() float64 { return l.n }

// End returns the last flow of the curve at this speed, m³/s. It scales with
// speed; nothing is known beyond it.
func (l Line) End() float64 { return l.end * l.n }

// SpeedOutside reports whether the speed lies outside the printed ones, so
// that the nearest curve was scaled.
func (l Line) SpeedOutside() bool { return l.outside }

// Head returns the head in m at flow q in m³/s, and whether q lies on the
// curve. Outside there is no value: it is NaN.
func (l Line) Head(q float64) (h float64, inside bool) {
	phi, inside := l.phi(q)
	if !inside {
		return math.NaN(), false
	}
	i := l.interval(phi)
	return l.value(&l.p.head, i, phi-l.p.x[i]) * l.n * l.n, true
}

// At returns the point at flow q in m³/s, and whether q lies on the curve.
// Outside there is no point.
func (l Line) At(q float64) (Point, bool) {
	phi, inside := l.phi(q)
	if !inside {
		return Point{}, false
	}
	pt := l.point(l.interval(phi), phi)
	pt.Flow = q
	return pt, true
}

// ShutOffWork returns the limit of Q H/η as the flow goes to 0, in m⁴/s: times
// ρ g it is the power that the pump takes against a shut valve. Since η is 0
// there,
//
//	Q H/η → H(0) / η′(0)
//
// with η′(0) the slope of the fit at its first point, in s/m³. It is not ok, and
// NaN, where the sheets give no efficiency or one that does not rise from 0.
func (l Line) ShutOffWork() (w float64, ok bool) {
	if l.p.efficiency.a == nil {
		return math.NaN(), false
	}
	efficiency, slope := l.blend(&l.p.efficiency, 0, 0)
	if efficiency != 0 || !(slope > 0) {
		return math.NaN(), false
	}
	return l.value(&l.p.head, 0, 0) * l.n * l.n * l.n / slope, true
}

// point returns the point at phi in interval i.
func (l Line) point(i int, phi float64) Point {
	t := phi - l.p.x[i]
	n2 := l.n * l.n
	psi, slope := l.blend(&l.p.head, i, t)
	pt := Point{Flow: phi * l.n, Head: psi * n2, Slope: slope * l.n,
		Efficiency: math.NaN(), NPSHr: math.NaN(), NPSHrSlope: math.NaN()}
	if l.p.efficiency.a != nil {
		pt.Efficiency = l.value(&l.p.efficiency, i, t)
	}
	if l.p.npshr.a != nil {
		npshr, slope := l.blend(&l.p.npshr, i, t)
		pt.NPSHr, pt.NPSHrSlope = npshr*n2, slope*l.n
	}
	pt.OneCurve = 0 < l.w && l.w < 1 && phi > min(l.p.endA, l.p.endB)
	return pt
}

// phi returns q/N and whether q lies on the curve. End is compared as flow, so
// that rounding in q/N never puts End itself outside.
func (l Line) phi(q float64) (phi float64, inside bool) {
	return min(q/l.n, l.end), 0 <= q && q <= l.End()
}

// interval returns the index of the interval that holds phi.
func (l Line) interval(phi float64) int {
	lo, hi := 0, len(l.p.x)-1
	for hi-lo > 1 {
		if mid := (lo + hi) / 2; l.p.x[mid] <= phi {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

// value returns the blend of a track in interval i at t from its left knot.
func (l Line) value(tr *track, i int, t float64) float64 {
	a, d, w := &tr.a[i], &tr.d[i], l.w
	return a[0] + w*d[0] + t*(a[1]+w*d[1]+t*(a[2]+w*d[2]+t*(a[3]+w*d[3])))
}

// blend returns the value and the slope of a track in interval i.
func (l Line) blend(tr *track, i int, t float64) (value, slope float64) {
	c := l.piece(tr, i)
	return c.at(t), c.slope(t)
}

func (l Line) piece(tr *track, i int) cubic {
	a, d, w := &tr.a[i], &tr.d[i], l.w
	return cubic{a[0] + w*d[0], a[1] + w*d[1], a[2] + w*d[2], a[3] + w*d[3]}
}
