package lsq

import "math"

// Points are points near a straight line y = a + b x, with standard
// uncertainties in both. Each has at least one above 0.
type Points struct{ X, UX, Y, UY []float64 }

// LinePrior is a line before its points, with standard uncertainties; +Inf is
// not known at all.
type LinePrior struct{ A, AU, B, BU float64 }

// Line is a straight line through points.
type Line struct {
	A, B   float64
	Gain   [2][]float64 // by how much A and B move with each y
	Misfit float64      // see package function Misfit; the uncertainties were widened by it
}

// FitBoth fits both coefficients: the least
//
//	Σ (y − a − b x)²/(uy² + b² ux²) + (a − a0)²/ua² + (b − b0)²/ub²
//
// and again with the points' uncertainties widened by the misfit. It returns
// ErrUndetermined when there is no such line.
//
// Source: York, Can. J. Phys. 44 (1966), 1079–1086, from memory.
func (p Points) FitBoth(prior LinePrior) (Line, error) {
	l, err := p.both(prior)
	if err != nil {
		return l, err
	}
	chi2 := 0.0
	for _, r := range p.Residuals(l.A, l.B) {
		chi2 += r * r
	}
	wider := Misfit(chi2, len(p.X)-2)
	if wider > 1 {
		l, err = Points{p.X, scaled(p.UX, wider), p.Y, scaled(p.UY, wider)}.both(prior)
	}
	l.Misfit = wider
	return l, err
}

// FitA fits a with b held at its prior, and again with the points'
// uncertainties widened by the misfit.
func (p Points) FitA(prior LinePrior) (Line, error) {
	e := Equations{U: p.us(prior.B)}
	for i, x := range p.X {
		e.A, e.Y = append(e.A, []float64{1}), append(e.Y, p.Y[i]-prior.B*x)
	}
	f, wider, err := Widened(e, Independent([]float64{prior.A}, []float64{prior.AU}))
	if err != nil {
		return Line{}, err
	}
	held := make([]float64, len(p.X))
	return Line{A: f.Theta[0], B: prior.B, Gain: [2][]float64{f.Gain[0], held}, Misfit: wider}, nil
}

// Residuals returns y − a − b x of the points over their standard uncertainty.
func (p Points) Residuals(a, b float64) []float64 {
	out := p.us(b)
	for i, u := range out {
		out[i] = (p.Y[i] - a - b*p.X[i]) / u
	}
	return out
}

// us returns the standard uncertainties of the points' residuals.
func (p Points) us(b float64) []float64 {
	out := make([]float64, len(p.X))
	for i := range out {
		out[i] = math.Hypot(p.UY[i], b*p.UX[i])
	}
	return out
}

// both goes from line to line: each point is moved to where the last line says
// that it most likely was,
//
//	x' = x + b ux²/u² · residual,   u² = uy² + b² ux²
//
// and a ridge of y + b (x' − x) on x' gives the next. Where it comes to rest the
// sum of FitBoth is least, the change of u with b included.
func (p Points) both(prior LinePrior) (Line, error) {
	const most, enough = 100, 1e-13
	before := Independent([]float64{prior.A, prior.B}, []float64{prior.AU, prior.BU})
	e := Equations{A: make([][]float64, len(p.X)), Y: make([]float64, len(p.X))}
	a, b := prior.A, prior.B
	for range most {
		e.U = p.us(b)
		for i, u := range e.U {
			moved := b * p.UX[i] * p.UX[i] / (u * u) * (p.Y[i] - a - b*p.X[i])
			e.A[i] = []float64{1, p.X[i] + moved}
			e.Y[i] = p.Y[i] + b*moved
		}
		f, err := Ridge(e, before)
		if err != nil {
			return Line{}, err
		}
		atRest := math.Abs(f.Theta[0]-a) <= enough*math.Abs(a) && math.Abs(f.Theta[1]-b) <= enough*math.Abs(b)
		if a, b = f.Theta[0], f.Theta[1]; atRest {
			return Line{A: a, B: b, Gain: [2][]float64(f.Gain)}, nil
		}
	}
	return Line{}, ErrUndetermined
}
