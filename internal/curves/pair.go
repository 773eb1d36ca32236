package curves

import (
	"math"
	"slices"
)

// sameKnot is how close two phi must be, as a share of the longer curve, to
// be one knot: makers print the same point at several speeds, and rounding in
// Q/N must not split it.
const sameKnot = 1e-9

// pair is two neighbouring sheets on one common set of knots, so that their
// blend at any w is again one cubic an interval: lower + w·(upper − lower).
// Past the end of the shorter curve the longer one goes on, moved by the
// constant that joins the blend.
type pair struct {
	lo, hi                  float64 // speeds, rpm
	x                       []float64
	knots                   []knot // psi at all x but the last, packed for the search
	tail                    knot   // the last, when both sheets end there; else zero
	guess                   [guesses]uint16
	head, efficiency, npshr track
	endA, endB              float64 // last phi of the lower and the upper sheet
	falling                 bool    // neither head curve rises anywhere
}

// guesses is how finely the first guess of an interval is tabulated: a power
// of two, several times the points of a printed curve.
const guesses = 256

// knot is the head of both curves at one knot: a of the lower, d upper less
// lower, and phi².
type knot struct{ a, d, x2 float64 }

// track is one quantity of a pair: a of the lower sheet, d upper less lower.
type track struct{ a, d []cubic }

func newPair(a, b *sheetFit) pair {
	p := pair{lo: a.speed, hi: b.speed, endA: a.end(), endB: b.end()}
	longest := max(p.endA, p.endB)
	if d := p.endA - p.endB; d < sameKnot*longest && -d < sameKnot*longest {
		p.endA, p.endB = longest, longest
	}
	p.x = mergedKnots(a.head.x, b.head.x, sameKnot*longest)
	p.x[len(p.x)-1] = longest
	p.head = p.track(a.head, b.head)
	p.knots = packed(&p.head, p.x)
	last := len(p.x) - 2
	width := p.x[last+1] - p.x[last]
	tail := knot{p.head.a[last].at(width), p.head.d[last].at(width), p.x[last+1] * p.x[last+1]}
	p.guess = guessed(p.knots, tail.a+tail.d/2)
	if p.endA == p.endB {
		p.tail = tail
	}
	if a.efficiency != nil {
		p.efficiency = p.track(a.efficiency, b.efficiency)
	}
	if a.npshr != nil {
		p.npshr = p.track(a.npshr, b.npshr)
	}
	p.falling = onlyFalls(a.head) && onlyFalls(b.head)
	return p
}

// packed returns the left knots of a track.
func packed(head *track, x []float64) []knot {
	out := make([]knot, len(head.a))
	for i := range out {
		out[i] = knot{head.a[i][0], head.d[i][0], x[i] * x[i]}
	}
	return out
}

// guessed returns, for each of the equal steps from the highest head of the
// middle blend down to its last, the interval where it passes.
func guessed(knots []knot, last float64) (guess [guesses]uint16) {
	height := func(i int) float64 { return knots[i].a + knots[i].d/2 }
	i := 0
	for k := range knots {
		if height(k) > height(i) {
			i = k
		}
	}
	top := height(i)
	for g := range guess {
		y := top - (top-last)*float64(g)/(guesses-1)
		for i+1 < len(knots) && height(i+1) >= y {
			i++
		}
		guess[g] = uint16(i)
	}
	return guess
}

// lastInterval returns the interval that holds the end of a curve: one of the
// few from the end of the shorter sheet on.
func (p *pair) lastInterval(end float64) int {
	i := len(p.x) - 2
	for i > 0 && p.x[i] >= end {
		i--
	}
	return i
}

// mergedKnots returns the knots of both in order, those closer than tol once.
func mergedKnots(a, b []float64, tol float64) []float64 {
	all := slices.Concat(a, b)
	slices.Sort(all)
	return slices.CompactFunc(all, func(x, y float64) bool { return math.Abs(y-x) <= tol })
}

func (p *pair) track(a, b *Fit) track {
	ca, cb := onKnots(a, p.x, p.endA), onKnots(b, p.x, p.endB)
	join(ca, cb, p.x, p.endA, p.endB)
	d := make([]cubic, len(ca))
	for i := range d {
		for k := range d[i] {
			d[i][k] = cb[i][k] - ca[i][k]
		}
	}
	return track{ca, d}
}

// onKnots returns the pieces of f cut at the knots x, as far as its end.
func onKnots(f *Fit, x []float64, end float64) []cubic {
	out := make([]cubic, len(x)-1)
	for i := range out {
		middle := (x[i] + x[i+1]) / 2
		if middle < end {
			k := f.interval(middle)
			out[i] = f.c[k].moved(x[i] - f.x[k])
		}
	}
	return out
}

// join lets the shorter of two curves go on as the longer one does.
func join(a, b []cubic, x []float64, endA, endB float64) {
	short, long, end := a, b, endA
	if endB < endA {
		short, long, end = b, a, endB
	}
	last := -1
	for i := range short {
		if (x[i]+x[i+1])/2 < end {
			last = i
			continue
		}
		short[i] = long[i]
		if last >= 0 {
			width := x[last+1] - x[last]
			short[i][0] += short[last].at(width) - long[last].at(width)
		}
	}
}

// onlyFalls reports whether the points of f never rise; the fit then doesn't.
func onlyFalls(f *Fit) bool {
	for i := range f.c {
		next := f.last
		if i+1 < len(f.c) {
			next = f.c[i+1][0]
		}
		if next > f.c[i][0] {
			return false
		}
	}
	return true
}
