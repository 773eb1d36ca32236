package outlook

import (
	"math"

	"example.org/headwatch/internal/curves"
	"example.org/headwatch/internal/hydraulics"
)

// Duty is one running pump as its gauges show it.
type Duty struct {
	Pump    string
	Speed   float64            // rpm
	Flow    float64            // m³/s
	Effects hydraulics.Effects // of the sources of error on Flow
	Curves  *curves.Family
	PerRPM  float64 // how its flow follows its own speed in the line, m³/s per rpm; from Plant.Follow
}

// Alike compares pumps in parallel.
type Alike struct {
	Least, Most string  // the pumps with the least and the most flow
	Difference  float64 // of their flows, m³/s
	U95         float64 // of that difference, m³/s: what they have in common cancels
	Certain     bool    // the difference is beyond its uncertainty
	Trim        float64 // rpm to add to the pump with the least flow; 0 unless Certain
}

// Compare returns how alike running pumps are. The errors that all have in
// common (density, a shared curve) cancel in the difference; the gauges' own do
// not:
//
//	u² = Σ own² + (density a − density b)² + (curve a − curve b)²
//
// A trim is named only when the difference is beyond 2u, and only for what is
// beyond it: an error of a gauge must not be steered into a turbine. It
// returns false for fewer than two pumps, and for pumps ordered to speeds more
// than 1 % apart, which are not meant to be alike. The two are the extremes of
// all: of three alike pumps one in nine rounds calls them unlike.
func Compare(duties []Duty) (Alike, bool) {
	if len(duties) < 2 {
		return Alike{}, false
	}
	for i := range duties {
		if math.Abs(duties[i].Speed-duties[0].Speed) > 0.01*duties[0].Speed {
			return Alike{}, false
		}
	}
	a, b := &duties[0], &duties[0]
	for i := range duties {
		if duties[i].Flow < a.Flow {
			a = &duties[i]
		}
		if duties[i].Flow > b.Flow {
			b = &duties[i]
		}
	}
	out := Alike{Least: a.Pump, Most: b.Pump, Difference: b.Flow - a.Flow}
	out.U95 = 2 * difference(a, b)
	out.Certain = out.Difference > out.U95
	if out.Certain && a.PerRPM > 0 {
		out.Trim = (out.Difference - out.U95) / a.PerRPM
	}
	return out, true
}

// difference returns the standard uncertainty of the difference of two flows.
func difference(a, b *Duty) float64 {
	x, y := a.Effects, b.Effects
	own := func(e hydraulics.Effects) float64 {
		return e.Suction*e.Suction + e.Discharge*e.Discharge + e.Speed*e.Speed
	}
	curve := x.Curve*x.Curve + y.Curve*y.Curve
	if a.Curves == b.Curves {
		curve = (x.Curve - y.Curve) * (x.Curve - y.Curve)
	}
	density := x.Density - y.Density
	return math.Sqrt(own(x) + own(y) + density*density + curve)
}

// Gauges is what the gauges of a pump show, Pa, and to which half width they
// were read; NaN where they were not.
type Gauges struct{ Suction, Discharge, SuctionHalf, DischargeHalf float64 }

// CompareGauges compares the running pumps by what their gauges show, one for
// each pump of the plant. Pumps that were not read or whose flow can't be read
// are left out; it returns false when fewer than two remain.
func (p *Plant) CompareGauges(settings []Setting, gauges []Gauges) (Alike, bool) {
	var duties []Duty
	for i, g := range gauges {
		pump := p.Pumps[i]
		e, err := hydraulics.NewMeter(&pump.Pump).Estimate(hydraulics.Reading{Speed: settings[i].Speed,
			Suction: g.Suction, SuctionHalf: g.SuctionHalf, Discharge: g.Discharge, DischargeHalf: g.DischargeHalf}, p.Liquid)
		if err != nil || e.State != curves.OK {
			continue
		}
		duties = append(duties, Duty{Pump: pump.Name, Speed: settings[i].Speed, Flow: e.Flow, Effects: e.FlowEffects,
			Curves: pump.Curves, PerRPM: p.Follow(settings, i)})
	}
	return Compare(duties)
}

// Follow returns how the flow of pump i follows its own speed with all else as
// set, m³/s per rpm; NaN when it gives no flow or rests on a bound.
func (p *Plant) Follow(settings []Setting, i int) float64 {
	const by = 1.0 // rpm
	var f Forecast
	flow := func(speed float64) float64 {
		changed := append([]Setting(nil), settings...)
		changed[i].Speed = speed
		if p.Forecast(changed, &f) != nil || f.LowerBound || f.Pumps[i].Standing != hydraulics.OnLine {
			return math.NaN()
		}
		return f.Pumps[i].Flow
	}
	return (flow(settings[i].Speed+by) - flow(settings[i].Speed-by)) / (2 * by)
}
