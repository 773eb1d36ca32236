package outlook

import (
	"fmt"
	"math"

	"example.org/headwatch/internal/hydraulics"
	"example.org/headwatch/internal/ship"
)

// Forecast is what a plant does at its settings.
type Forecast struct {
	ManifoldPressure float64 // gauge pressure where its gauge sits, Pa
	ManifoldHead     float64 // the same in m of the cargo
	Rate             float64 // m³/s
	LowerBound       bool    // a pump is past its curve's end: see hydraulics.Solution
	Pumps            []PumpForecast
	Limits           []Limit // one for each name, the least margin of all pumps
}

// PumpForecast is what one pump does. A figure that is not known is NaN.
type PumpForecast struct {
	Standing           hydraulics.Standing
	Speed              float64 // rpm
	Flow               float64 // m³/s
	Head               float64 // m
	Suction, Discharge float64 // gauge pressures where its gauges sit, Pa
	NPSHMargin         float64 // m
	Power              float64 // W
	EndFlow            float64 // of the curve at this speed, m³/s
	WouldNotRejoin     bool
}

// Forecast solves the plant at settings, one for each pump, into f. It
// allocates nothing once f has been used.
func (p *Plant) Forecast(settings []Setting, f *Forecast) error {
	if len(settings) != len(p.Pumps) {
		return fmt.Errorf("%d settings for %d pumps", len(settings), len(p.Pumps))
	}
	for i, s := range settings {
		if err := p.set(i, s); err != nil {
			return err
		}
	}
	solved, err := hydraulics.Solve(&p.Line, p.branches, p.flows)
	if err != nil {
		return err
	}
	f.ManifoldHead = solved.GaugeHead
	f.ManifoldPressure = solved.GaugeHead * p.Liquid.Density * hydraulics.Gravity
	f.Rate, f.LowerBound = solved.Rate, solved.LowerBound
	f.Pumps = f.Pumps[:0]
	for i := range p.flows {
		f.Pumps = append(f.Pumps, p.pump(i))
		if math.IsNaN(settings[i].Level) {
			f.Pumps[i].Suction, f.Pumps[i].Discharge = math.NaN(), math.NaN()
		}
	}
	if f.LowerBound {
		withoutMargins(f.Pumps)
	}
	f.Limits = p.limits(f, f.Limits[:0])
	return nil
}

// withoutMargins takes back what can't be counted from flows that are only
// upper bounds.
func withoutMargins(pumps []PumpForecast) {
	for i := range pumps {
		pumps[i].NPSHMargin, pumps[i].Power = math.NaN(), math.NaN()
	}
}

// set puts a setting on branch i.
func (p *Plant) set(i int, s Setting) error {
	pump := p.Pumps[i]
	if low := lowest(pump); s.Speed > 0 && s.Level < low {
		return fmt.Errorf("%s: level %.2f m above keel is below its impeller at %.2f m: that is stripping, not pumping", pump.Name, s.Level, low)
	}
	if !(s.Opening >= 0 && s.Opening <= 1) {
		return fmt.Errorf("%s: valve opening %g: want 0 to 100 %%", pump.Name, 100*s.Opening)
	}
	if s.Speed == 0 && math.IsNaN(s.Level) {
		s.Level = lowest(pump) // of no matter: its gauges are not foretold
	}
	p.branches[i] = hydraulics.Branch{Pump: &pump.Pump, Speed: s.Speed, Surface: s.Level, Offline: s.Offline,
		ValveLoss: pump.ThrottleLoss(s.Opening)}
	return nil
}

// lowest returns the level above keel below which a pump is not forecast: its
// centre line, or its suction gauge where that is not given.
func lowest(p *ship.Pump) float64 {
	if math.IsNaN(p.Centre) {
		return p.Suction.Height
	}
	return p.Centre
}

func (p *Plant) pump(i int) PumpForecast {
	b, from := &p.branches[i], &p.flows[i]
	out := PumpForecast{Standing: from.Standing, Speed: b.Speed, Flow: from.Flow, Head: from.Head,
		Suction: from.Suction, Discharge: from.Discharge, WouldNotRejoin: from.WouldNotRejoin,
		NPSHMargin: math.NaN(), Power: math.NaN()}
	if from.Standing == hydraulics.StandsStill {
		return out
	}
	line := b.Pump.Curves.At(b.Speed)
	out.EndFlow = line.End()
	if from.Standing != hydraulics.OnLine {
		return out
	}
	pt, _ := line.At(from.Flow)
	out.NPSHMargin = b.Pump.NPSHAvailable(from.Suction, p.Liquid, from.Flow) - pt.NPSHr
	if pt.Efficiency > 0 {
		out.Power = hydraulics.ShaftPower(p.Liquid.Density, from.Flow, from.Head, pt.Efficiency)
	}
	return out
}
