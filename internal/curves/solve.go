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

	interval int     // of Flow
	phi      float64 // of Flow
}

// Net is F(Q) = H(Q) − c Q², a line less a term that grows with Q²: the
// velocity head between two gauges, or a loss. In similarity coordinates it is
// psi − c phi², free of speed for a similar family.
type Net struct {
	line    Line
	c       float64
	last    int     // interval of the end of the curve
	end     float64 // psi − c phi² there
	shutOff float64 // and at no flow
	peak    float64 // phi of the right-most maximum; 0 unless the curve droops
	top     float64 // psi − c phi² there
	topAt   int     // its interval

	perN2    float64 // 1/N²
	perDepth float64 // guesses over the fall from top to end
}

// Net returns the line less c Q², c in s²/m⁵.
func (l Line) Net(c float64) Net {
	var f Net
	f.Set(l, c)
	return f
}

// Set makes f the line less c Q², c in s²/m⁵. It is Net without the copy.
func (f *Net) Set(l Line, c float64) {
	f.line, f.c = l, c
	f.peak, f.topAt = 0, 0
	f.prepare()
}

// prepare works out what every Solve needs.
func (f *Net) prepare() {
	f.perN2 = 1 / (f.line.n * f.line.n)
	f.last = len(f.line.p.x) - 2
	if t := &f.line.p.tail; t.x2 > 0 {
		f.end = t.a + f.line.w*t.d - f.c*t.x2
	} else {
		f.last = f.line.p.lastInterval(f.line.end)
		f.end = f.at(f.last, f.line.end)
	}
	f.shutOff = f.knot(0)
	f.top = f.shutOff
	if !f.line.p.falling || f.c < 0 {
		f.peak = f.findPeak()
		f.topAt = f.line.interval(f.peak)
		f.top = f.at(f.topAt, f.peak)
	}
	f.perDepth = (guesses - 1) / (f.top - f.end)
}

// Solve finds the flow at which F takes the value base in m, on the branch
// right of the right-most maximum of F.
func (f *Net) Solve(base float64) Crossing {
	y := base * f.perN2
	switch {
	case y < f.end:
		return Crossing{BeyondEnd, f.line.End(), math.NaN(), f.last, f.line.end}
	case !(y <= f.top): // NaN too
		return Crossing{AboveCurve, math.NaN(), math.NaN(), f.topAt, f.peak}
	}
	i := f.find(y)
	phi := f.falling(y, i)
	if f.peak > 0 && y > f.shutOff {
		return Crossing{TwoFlows, f.line.n * phi, f.line.n * f.rising(y), i, phi}
	}
	return Crossing{OK, f.line.n * phi, math.NaN(), i, phi}
}

// Point returns the point of the line at the flow of x, which must come from
// the same line; at the peak of F when there is no flow, at the end beyond it.
func (f *Net) Point(x Crossing) Point { return f.line.point(x.interval, x.phi) }

// Slope returns dF/dQ in s/m² at the flow of x, which must come from f.
func (f *Net) Slope(x Crossing) float64 {
	_, slope := f.line.blend(&f.line.p.head, x.interval, x.phi-f.line.p.x[x.interval])
	return (slope - 2*f.c*x.phi) * f.line.n
}

// ShutOff returns F at no flow, the head against a shut valve, m.
func (f *Net) ShutOff() float64 { return f.shutOff * f.line.n * f.line.n }

// End returns F at the end of the curve in m, and the flow there in m³/s.
func (f *Net) End() (head, q float64) { return f.end * f.line.n * f.line.n, f.line.End() }

// Peak returns the flow in m³/s and the value in m of the right-most maximum
// of F. It is at zero flow unless the curve droops.
func (f *Net) Peak() (q, head float64) {
	return f.peak * f.line.n, f.top * f.line.n * f.line.n
}

// at returns psi − c phi² in interval i.
func (f *Net) at(i int, phi float64) float64 {
	return f.line.value(&f.line.p.head, i, phi-f.line.p.x[i]) - f.c*phi*phi
}

// knot returns psi − c phi² at knot i, which is not the last.
func (f *Net) knot(i int) float64 {
	k := &f.line.p.knots[i]
	return k.a + f.line.w*k.d - f.c*k.x2
}

// piece returns psi − c phi² over interval i as one cubic.
func (f *Net) piece(i int) cubic {
	p, x := f.line.piece(&f.line.p.head, i), f.line.p.x[i]
	return cubic{p[0] - f.c*x*x, p[1] - 2*f.c*x, p[2] - f.c, p[3]}
}

// falling returns the phi where psi − c phi² = y in interval i, right of peak.
func (f *Net) falling(y float64, i int) float64 {
	piece, x := f.piece(i), f.line.p.x[i]
	if f.peak > x {
		piece, x = piece.moved(f.peak-x), f.peak
	}
	return x + fallingRoot(&piece, y, min(f.line.p.x[i+1], f.line.end)-x)
}

// find returns the interval right of the peak where psi − c phi² passes y. It
// starts where the pair's guess says, which is nearly always right.
func (f *Net) find(y float64) int {
	depth := int((f.top - y) * f.perDepth)
	i := min(max(int(f.line.p.guess[depth&(guesses-1)]), f.topAt), f.last)
	for i > f.topAt && f.knot(i) < y {
		i--
	}
	for i < f.last && f.knot(i+1) >= y {
		i++
	}
	return i
}

// rising returns the phi left of peak where psi − c phi² = y, by bisection;
// it runs on drooping curves only.
func (f *Net) rising(y float64) float64 {
	lo, hi := 0.0, f.peak
	for range 60 {
		mid := (lo + hi) / 2
		if f.at(f.line.interval(mid), mid) < y {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

// findPeak returns the phi of the right-most maximum of psi − c phi²: going
// left from the end, the first place where the slope changes from falling to
// rising. A curve that rises at its very end has its peak there.
func (f *Net) findPeak() float64 {
	for i := f.last; i >= 0; i-- {
		piece, x := f.piece(i), f.line.p.x[i]
		width := min(f.line.p.x[i+1], f.line.end) - x
		if piece.slope(width) > 0 {
			return x + width
		}
		if t, ok := lastRise(&piece, width); ok {
			return x + t
		}
	}
	return 0
}
