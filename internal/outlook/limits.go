package outlook

import (
	"math"

	"example.org/headwatch/internal/hydraulics"
)

// LimitName names a limit of the plant.
type LimitName uint8

// The limits, in the order in which they are told.
const (
	ManifoldPressure LimitName = iota // agreed with the shore
	AgreedRate
	NominalFlow // of a pump, the same at every speed
	CurveEnd    // of a pump, scales with speed
	MinimumFlow // of a pump, scales with speed
	SuctionMargin
	DrivePower
	MaximumSpeed
	MinimumSpeed
)

// leastMargin is the NPSH margin that must be left, m, and nearEnd the share
// of a curve that may be used (common practice, no source).
const (
	leastMargin = 1.0
	nearEnd     = 0.98
)

// String returns the name in words.
func (n LimitName) String() string {
	return [...]string{"manifold pressure", "agreed rate", "nominal capacity", "end of curve", "minimum flow",
		"NPSH margin", "drive power", "maximum speed", "minimum speed"}[n]
}

// Upper reports whether raising the speed uses the limit up. Minimum flow and
// minimum speed are the others.
func (n LimitName) Upper() bool { return n != MinimumFlow && n != MinimumSpeed }

// Limit is one limit where it is nearest.
type Limit struct {
	Name    LimitName
	At      string  // the pump or manifold
	Value   float64 // of the limit, SI (speed in rpm)
	Figure  float64 // where the plant stands, in the same unit
	Margin  float64 // left, in the same unit; negative when broken
	Binding bool    // broken, or of the upper limits the nearest in proportion
}

// share returns the margin in proportion to the limit.
func (l *Limit) share() float64 { return l.Margin / max(math.Abs(l.Value), 1e-9) }

// Broken reports whether the limit is passed. A hair of rounding is not.
func (l *Limit) Broken() bool { return l.share() < -1e-9 }

// limits appends the limits of a forecast to dst, each where it is nearest,
// and marks what binds.
func (p *Plant) limits(f *Forecast, dst []Limit) []Limit {
	dst = below(dst, ManifoldPressure, p.manifold.Name, p.Limits.Manifold, f.ManifoldPressure)
	dst = below(dst, AgreedRate, p.manifold.Name, p.Limits.Rate, f.Rate)
	for i := range f.Pumps {
		dst = p.pumpLimits(i, f, dst)
	}
	if f.LowerBound {
		dst = certain(dst)
	}
	mark(dst)
	return dst
}

// certain keeps the limits that can be judged when rate and heads are lower
// bounds and the other pumps' flows upper ones: speeds, and what is passed
// even so. No margin is counted from a bound.
func certain(limits []Limit) []Limit {
	kept := limits[:0]
	for _, l := range limits {
		switch l.Name {
		case MaximumSpeed, MinimumSpeed:
			kept = append(kept, l)
		case ManifoldPressure, AgreedRate, NominalFlow, CurveEnd, MinimumFlow:
			if l.Broken() {
				kept = append(kept, l)
			}
		}
	}
	return kept
}

// pumpLimits appends the limits of pump i. Beside a pump past its curve's end
// the flows of the others are upper bounds: too little is certain, too much not.
func (p *Plant) pumpLimits(i int, all *Forecast, dst []Limit) []Limit {
	pump, f := p.Pumps[i], &all.Pumps[i]
	if f.Standing == hydraulics.StandsStill {
		return dst
	}
	dst = below(dst, MaximumSpeed, pump.Name, pump.MaxSpeed, f.Speed)
	dst = above(dst, MinimumSpeed, pump.Name, pump.MinSpeed, f.Speed)
	dst = above(dst, MinimumFlow, pump.Name, pump.MinFlow*f.Speed/pump.Rated.Speed, f.Flow)
	if !all.LowerBound || f.Standing == hydraulics.PastEnd {
		dst = below(dst, CurveEnd, pump.Name, nearEnd*f.EndFlow, f.Flow)
		dst = below(dst, NominalFlow, pump.Name, pump.NominalFlow, f.Flow)
	}
	dst = above(dst, SuctionMargin, pump.Name, leastMargin, f.NPSHMargin)
	return below(dst, DrivePower, pump.Name, pump.RatedPower, f.Power)
}

// below notes a limit that the figure must not pass upwards, above one that it
// must not pass downwards. Unknown figures and limits are left out.
func below(dst []Limit, name LimitName, at string, limit, figure float64) []Limit {
	return nearest(dst, Limit{Name: name, At: at, Value: limit, Figure: figure, Margin: limit - figure})
}

func above(dst []Limit, name LimitName, at string, limit, figure float64) []Limit {
	return nearest(dst, Limit{Name: name, At: at, Value: limit, Figure: figure, Margin: figure - limit})
}

// nearest adds a limit, or puts it in place of one of its name with more left.
func nearest(dst []Limit, l Limit) []Limit {
	if math.IsNaN(l.Margin) {
		return dst
	}
	for i := range dst {
		if dst[i].Name == l.Name {
			if l.share() < dst[i].share() {
				dst[i] = l
			}
			return dst
		}
	}
	return append(dst, l)
}

// mark sets Binding: on every broken limit, else on the nearest upper one.
func mark(limits []Limit) {
	binding := -1
	for i := range limits {
		l := &limits[i]
		if l.Broken() {
			l.Binding = true
			binding = -2
		}
		if binding != -2 && l.Name.Upper() && (binding < 0 || l.share() < limits[binding].share()) {
			binding = i
		}
	}
	if binding >= 0 {
		limits[binding].Binding = true
	}
}
