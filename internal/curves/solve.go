package curves

import "math"

// State says where a head lies on a curve.
type State uint8

// The states of a crossing. F is the head curve less c·Q².
const (
	OK         State = iota // one flow
	TwoFlows                // between F(0) and the peak of a drooping curve: two flows
	AboveCurve              // over the peak: no flow
	BeyondEnd               // under the last point: the flow is at least End
)

// String returns the state as the command line prints it.
func (s State) String() string {
	return [...]string{"ok", "two-flows", "above-curve", "beyond-end"}[s]
}

// Crossing is where F(Q) = H(Q) − c Q² meets a given head.
type Crossing struct {
	State State
	Flow  float64 // m³/s, right of the peak; End when BeyondEnd, NaN when AboveCurve
	Other float64 // m³/s, the flow left of the peak when TwoFlows, else NaN
}

// Solve finds the flow at which the curve, less c·Q², gives the head base:
//
//	H(Q) − c Q² = base
//
// base in m, c in s²/m⁵ (0 for the bare curve). The flow is on the branch
// right of the right-most maximum of F. In similarity coordinates the same
// reads psi(phi) − c phi² = base/N², free of N for a similar family.
func (l Line) Solve(c, base float64) Crossing {
	y := base / (l.n * l.n)
	none := Crossing{AboveCurve, math.NaN(), math.NaN()}
	if math.IsNaN(y) {
		return none
	}
	last := l.p.lastInterval(l.end)
	if y < l.f(c, last, l.end) {
		return Crossing{BeyondEnd, l.End(), math.NaN()}
	}
	shutOff := l.knot(c, 0)
	if l.p.falling && c >= 0 {
		if y > shutOff {
			return none
		}
		return Crossing{OK, l.n * l.falling(c, y, 0, l.lastNotBelow(c, y)), math.NaN()}
	}
	peak := l.peak(c)
	at := l.interval(peak)
	if y > l.f(c, at, peak) {
		return none
	}
	for at < last && l.knot(c, at+1) >= y {
		at++
	}
	cr := Crossing{OK, l.n * l.falling(c, y, peak, at), math.NaN()}
	if peak > 0 && y > shutOff {
		cr.State, cr.Other = TwoFlows, l.n*l.rising(c, y, peak)
	}
	return cr
}

// Peak returns the flow in m³/s and the value in m of the right-most maximum
// of F(Q) = H(Q) − c Q². It is at zero flow unless the curve droops.
func (l Line) Peak(c float64) (q, head float64) {
	phi := 0.0
	if !l.p.falling || c < 0 {
		phi = l.peak(c)
	}
	return phi * l.n, l.f(c, l.interval(phi), phi) * l.n * l.n
}

// f returns psi − c phi² in interval i.
func (l Line) f(c float64, i int, phi float64) float64 {
	return l.value(&l.p.head, i, phi-l.p.x[i]) - c*phi*phi
}

// loss returns the piece of psi − c phi² over interval i as one cubic.
func (l Line) loss(c float64, i int) cubic {
	p, x := l.piece(&l.p.head, i), l.p.x[i]
	return cubic{p[0] - c*x*x, p[1] - 2*c*x, p[2] - c, p[3]}
}

// falling returns the phi where psi − c phi² = y in interval i, right of peak.
func (l Line) falling(c, y, peak float64, i int) float64 {
	piece, x := l.loss(c, i), l.p.x[i]
	if peak > x {
		piece, x = piece.moved(peak-x), peak
	}
	return x + fallingRoot(&piece, y, min(l.p.x[i+1], l.end)-x)
}

// lastNotBelow returns the last knot where psi − c phi² ≥ y on a curve that
// falls from its start. The knots are padded to a power of two with −Inf, so
// every search takes the same steps, and the sign bit decides without a jump:
// which half it is can't be guessed, and a wrong guess costs more than a step.
func (l Line) lastNotBelow(c, y float64) int {
	knots := l.p.knots
	i := 0
	for step := len(knots) / 2; step > 0; step /= 2 {
		k := &knots[(i+step)&(len(knots)-1)]
		below := math.Float64bits(k.a+l.w*k.d-c*k.x2-y) >> 63
		i += step & (int(below) - 1)
	}
	return i
}

// knot returns psi − c phi² at knot i, which is not the last.
func (l Line) knot(c float64, i int) float64 {
	k := &l.p.knots[i]
	return k.a + l.w*k.d - c*k.x2
}

// fallingRoot returns t in [0, width] where a falling cubic takes the value y.
// It starts at the root of the parabola that has the cubic's end values and
// its slope at 0, which is exact where most pump curves begin; three Newton
// steps then nearly always do.
func fallingRoot(c *cubic, y, width float64) float64 {
	const enough = 1e-6 // of the interval: the error is then near its square
	drop := c[0] - y
	bend := c[2] + c[3]*width
	t := 2 * drop / (math.Sqrt(c[1]*c[1]-4*bend*drop) - c[1])
	step := 0.0
	for range 3 {
		step = (c.at(t) - y) / c.slope(t)
		t -= step
	}
	if math.Abs(step) <= enough*width && 0 <= t && t <= width {
		return t
	}
	return bracketedRoot(c, y, width)
}

// bracketedRoot is fallingRoot where that fails: Newton steps kept inside a
// shrinking bracket.
func bracketedRoot(c *cubic, y, width float64) float64 {
	if c[0] <= y {
		return 0
	}
	if c.at(width) >= y {
		return width
	}
	lo, hi := 0.0, width
	t := width / 2
	for range 200 {
		f := c.at(t) - y
		if f > 0 {
			lo = t
		} else {
			hi = t
		}
		next := t - f/c.slope(t)
		if !(next > lo && next < hi) { // NaN too
			next = (lo + hi) / 2
		}
		if math.Abs(next-t) <= 1e-15*width {
			return next
		}
		t = next
	}
	return t
}

// rising returns the phi left of peak where psi − c phi² = y, by bisection;
// it runs on drooping curves only.
func (l Line) rising(c, y, peak float64) float64 {
	lo, hi := 0.0, peak
	for range 60 {
		mid := (lo + hi) / 2
		if l.f(c, l.interval(mid), mid) < y {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

// peak returns the phi of the right-most maximum of psi − c phi²: going left
// from the end, the first place where the slope changes from falling to
// rising. A curve that rises at its very end has its peak there.
func (l Line) peak(c float64) float64 {
	for i := l.interval(l.end); i >= 0; i-- {
		piece := l.loss(c, i)
		width := min(l.p.x[i+1], l.end) - l.p.x[i]
		if piece.slope(width) > 0 {
			return l.p.x[i] + width
		}
		if t, ok := lastRise(&piece, width); ok {
			return l.p.x[i] + t
		}
	}
	return 0
}

// lastRise returns the right-most t in (0, width] left of which the cubic
// rises, given that it does not rise at width itself. Rounding may put a root
// that belongs on width a little beyond it.
func lastRise(c *cubic, width float64) (t float64, ok bool) {
	// The slope is k + b t + a t². Where it turns from rising to falling its
	// own slope b + 2 a t is −s, s being the root of the discriminant.
	k, b, a := c[1], 2*c[2], 3*c[3]
	disc := b*b - 4*a*k
	if disc <= 0 {
		return 0, false
	}
	s := math.Sqrt(disc)
	if b < 0 {
		t = 2 * k / (s - b)
	} else {
		t = (-b - s) / (2 * a)
	}
	if !(0 < t && t <= width*(1+1e-9)) {
		return 0, false
	}
	return min(t, width), true
}
