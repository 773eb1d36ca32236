package curves

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"sort"
)

// Law says how the curve of an unprinted speed is found.
type Law uint8

// The two laws. Interpolate blends between printed speeds; Affinity scales
// one printed speed by the similarity laws, Q ∝ N and H ∝ N².
const (
	Interpolate Law = iota
	Affinity
)

// Family is the curves of one pump at all its printed speeds. It is immutable
// and safe for concurrent use.
type Family struct {
	law    Law
	sheets []Sheet // in rising order of speed
	pairs  []pair  // between neighbouring speeds; a single sheet is paired with itself
}

// NewFamily builds a family from its sheets, in any order of speed. It refuses
// bad points, a speed given twice, efficiency or NPSHr on some sheets only and
// curves of two speeds that cross in H–Q; every fault is in the error as a
// *PointError with the index of the sheet as given.
func NewFamily(law Law, sheets []Sheet) (*Family, error) {
	if err := checkSheets(law, sheets); err != nil {
		return nil, err
	}
	order := make([]int, len(sheets))
	for i := range order {
		order[i] = i
	}
	sort.Slice(order, func(a, b int) bool { return sheets[order[a]].Speed < sheets[order[b]].Speed })
	fits := make([]sheetFit, len(sheets))
	for k, i := range order {
		fit, err := newSheetFit(&sheets[i])
		if err != nil {
			return nil, err
		}
		fits[k] = fit
	}
	if err := checkCrossing(fits, order); err != nil {
		return nil, err
	}
	f := &Family{law: law}
	for _, i := range order {
		f.sheets = append(f.sheets, sheets[i].clone())
	}
	for k := 1; k < len(fits); k++ {
		f.pairs = append(f.pairs, newPair(&fits[k-1], &fits[k]))
	}
	if len(fits) == 1 {
		f.pairs = append(f.pairs, newPair(&fits[0], &fits[0]))
	}
	return f, nil
}

// Law returns how speeds between are found.
func (f *Family) Law() Law { return f.law }

// Speeds returns the printed speeds in rising order, rpm.
func (f *Family) Speeds() []float64 {
	speeds := []float64{f.pairs[0].lo}
	for i := range f.pairs {
		if hi := f.pairs[i].hi; hi > speeds[len(speeds)-1] {
			speeds = append(speeds, hi)
		}
	}
	return speeds
}

// Sheets returns what the family was made of, in rising order of speed. The
// caller may change it: it is a copy.
func (f *Family) Sheets() []Sheet {
	out := make([]Sheet, len(f.sheets))
	for i := range out {
		out[i] = f.sheets[i].clone()
	}
	return out
}

// HasEfficiency reports whether the sheets give efficiency.
func (f *Family) HasEfficiency() bool { return f.pairs[0].efficiency.a != nil }

// HasNPSHr reports whether the sheets give required NPSH.
func (f *Family) HasNPSHr() bool { return f.pairs[0].npshr.a != nil }

// At returns the curve at a speed above 0 rpm. Between two printed speeds Na
// and Nb,
//
//	psi(phi) = (1−w) psiA(phi) + w psiB(phi),   w = (N−Na)/(Nb−Na)
//
// and the end of the curve phiEnd is linear in N. Outside the printed speeds
// the nearest curve is scaled by the similarity laws.
func (f *Family) At(speed float64) Line {
	p := &f.pairs[0]
	for i := 1; i < len(f.pairs) && speed > p.hi; i++ {
		p = &f.pairs[i]
	}
	l := Line{p: p, n: speed}
	switch {
	case speed <= p.lo:
		l.outside = speed < p.lo && f.law == Interpolate
	case speed >= p.hi:
		l.w = 1
		l.outside = speed > p.hi && f.law == Interpolate
	default:
		l.w = (speed - p.lo) / (p.hi - p.lo)
	}
	l.end = p.endA + l.w*(p.endB-p.endA)
	return l
}

func checkSheets(law Law, sheets []Sheet) error {
	if len(sheets) == 0 {
		return &PointError{Sheet: -1, Point: -1, Err: errors.New("no curve; give the head curve of at least one speed")}
	}
	if law == Affinity && len(sheets) > 1 {
		return &PointError{Sheet: 1, Point: -1, Quantity: "speed",
			Err: errors.New("law affinity scales one printed speed; with several use law interpolate")}
	}
	var errs []error
	seen := map[float64]bool{}
	for i := range sheets {
		s := &sheets[i]
		errs = append(errs, s.check(i)...)
		if seen[s.Speed] {
			errs = append(errs, &PointError{Sheet: i, Point: -1, Quantity: "speed",
				Err: fmt.Errorf("a second curve for %g rpm", s.Speed)})
		}
		seen[s.Speed] = true
		if (s.Efficiency == nil) != (sheets[0].Efficiency == nil) {
			errs = append(errs, &PointError{Sheet: i, Point: -1, Quantity: "efficiency",
				Err: errors.New("given on some speeds only; give it on all or on none")})
		}
		if (s.NPSHr == nil) != (sheets[0].NPSHr == nil) {
			errs = append(errs, &PointError{Sheet: i, Point: -1, Quantity: "npshr",
				Err: errors.New("given on some speeds only; give it on all or on none")})
		}
	}
	return errors.Join(errs...)
}

// sheetFit is one sheet in similarity coordinates.
type sheetFit struct {
	speed                   float64
	head, efficiency, npshr *Fit // psi, eta and NPSHr/N² over phi; the last two may be nil
}

func newSheetFit(s *Sheet) (sheetFit, error) {
	phi := scaled(s.Q, 1/s.Speed)
	n2 := s.Speed * s.Speed
	out := sheetFit{speed: s.Speed}
	for _, want := range []struct {
		to *(*Fit)
		y  []float64
	}{{&out.head, scaled(s.H, 1/n2)}, {&out.efficiency, s.Efficiency}, {&out.npshr, scaled(s.NPSHr, 1/n2)}} {
		if want.y == nil {
			continue
		}
		fit, err := NewFit(phi, want.y)
		if err != nil {
			return sheetFit{}, err
		}
		*want.to = fit
	}
	return out, nil
}

func scaled(v []float64, by float64) []float64 {
	if v == nil {
		return nil
	}
	out := make([]float64, len(v))
	for i := range v {
		out[i] = v[i] * by
	}
	return out
}

func (s *sheetFit) end() float64 { return s.head.x[len(s.head.x)-1] }

// headAt returns the head in m at flow q, which must lie on the curve.
func (s *sheetFit) headAt(q float64) float64 {
	psi, _ := s.head.At(min(q/s.speed, s.end()))
	return psi * s.speed * s.speed
}

// checkCrossing wants more head from the higher of any two speeds at every
// flow both reach. It looks at the knots of both and between them.
func checkCrossing(fits []sheetFit, order []int) error {
	const between = 8
	var errs []error
	for i := range fits {
		for k := i + 1; k < len(fits); k++ {
			lower, upper := &fits[i], &fits[k]
			end := min(lower.end()*lower.speed, upper.end()*upper.speed)
			flows := slices.Concat(scaled(lower.head.x, lower.speed), scaled(upper.head.x, upper.speed))
			slices.Sort(flows)
			if q := firstCrossing(lower, upper, flows, end, between); !math.IsNaN(q) {
				errs = append(errs, &PointError{Sheet: order[k], Point: nearest(scaled(upper.head.x, upper.speed), q), Quantity: "head",
					Err: fmt.Errorf("the curve of %g rpm is not above that of %g rpm near %.0f m3/h; the curves of two speeds must not cross",
						upper.speed, lower.speed, q*3600)})
			}
		}
	}
	return errors.Join(errs...)
}

func firstCrossing(lower, upper *sheetFit, flows []float64, end float64, between int) float64 {
	for i, q := range flows {
		next := end
		if i+1 < len(flows) {
			next = flows[i+1]
		}
		for s := range between {
			at := q + (next-q)*float64(s)/float64(between)
			if at <= end && upper.headAt(at) <= lower.headAt(at) {
				return at
			}
		}
	}
	return math.NaN()
}

func nearest(x []float64, at float64) int {
	best := 0
	for i := range x {
		if math.Abs(x[i]-at) < math.Abs(x[best]-at) {
			best = i
		}
	}
	return best
}
