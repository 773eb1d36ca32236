package surge

import (
	"fmt"
	"math"
)

// UsualWaveSpeed is taken for oil in a steel line where nothing more is known,
// m/s: it makes ten bar of every metre a second that is stopped at once
// (common practice, no source; 900 to 1,250 in steel). In hoses it is far less.
const UsualWaveSpeed = 1000.0

// WaveSpeed returns the speed of a pressure wave in a thin-walled pipe, m/s,
//
//	a = √( 1 / (ρ (1/K + D/(E e))) )
//
// bulk modulus K of the liquid in Pa, density ρ in kg/m³, inner diameter D and
// wall e of the pipe in m, modulus of elasticity E of the wall in Pa. A rigid
// pipe has an infinite E. How the pipe is held is left out (a few per cent).
//
// Source: Korteweg 1878; as in Wylie and Streeter, Fluid Transients.
func WaveSpeed(bulkModulus, density, diameter, wall, elasticity float64) float64 {
	return math.Sqrt(1 / (density * (1/bulkModulus + diameter/(elasticity*wall))))
}

// Sudden returns by how much the pressure rises where a flow is stopped at
// once, in Pa,
//
//	Δp = ρ a Δv
//
// density ρ in kg/m³, wave speed a and change of velocity Δv in m/s.
//
// Source: Joukowsky 1898.
func Sudden(density, waveSpeed, change float64) float64 { return density * waveSpeed * change }

// Period returns how long a wave takes to the far end of a line and back, in s,
//
//	T = 2 L / a
//
// length L in m, wave speed a in m/s. Any closing within it is sudden.
func Period(length, waveSpeed float64) float64 { return 2 * length / waveSpeed }

// Slow returns the pressure rise in Pa of a closing in more seconds than the
// line's period,
//
//	Δp = 2 ρ L Δv / t
//
// density ρ in kg/m³, length L in m, change of velocity Δv in m/s, closing time
// t in s. Flow taken off evenly makes half of it, as when a rigid column is
// slowed. Most valves take nearly all of it off in the last part of their
// travel: t is that part only.
//
// Source: Michaud 1878.
func Slow(density, length, change, seconds float64) float64 {
	return 2 * density * length * change / seconds
}

// Line is a long line full of liquid.
type Line struct {
	Length    float64 // m
	Bore      float64 // inner diameter, m
	Density   float64 // of the liquid, kg/m³
	WaveSpeed float64 // m/s; NaN or 0: UsualWaveSpeed
}

// Stop is what stopping a line's flow does at the place where it is stopped.
type Stop struct {
	Velocity float64 // before, m/s
	Period   float64 // of the line, s
	Sudden   bool    // stopped within the period: the whole jump
	Rise     float64 // of pressure over what stood there, Pa
	Whole    float64 // the rise had it been sudden, Pa
}

// Stop returns what stopping a flow in m³/s within a number of seconds does:
// Sudden when they are no more than the line's period, else Slow. It wants the
// seconds in which the flow really goes, the last part of a valve's travel, not
// the time to stop that was agreed, most of which is talk.
//
// It returns an error when a figure is not positive and finite; no flow and no
// seconds are allowed.
func (l Line) Stop(flow, seconds float64) (Stop, error) {
	if !(l.WaveSpeed > 0) {
		l.WaveSpeed = UsualWaveSpeed
	}
	for _, v := range []float64{l.Length, l.Bore, l.Density, l.WaveSpeed} {
		if !(v > 0 && v <= math.MaxFloat64) {
			return Stop{}, fmt.Errorf("line of %g m, bore %g m, density %g kg/m3, wave speed %g m/s: want figures above 0",
				l.Length, l.Bore, l.Density, l.WaveSpeed)
		}
	}
	if !(flow >= 0 && flow <= math.MaxFloat64 && seconds >= 0 && seconds <= math.MaxFloat64) {
		return Stop{}, fmt.Errorf("flow %g m3/s stopped in %g s: want 0 or more", flow, seconds)
	}
	s := Stop{Velocity: flow / (math.Pi * l.Bore * l.Bore / 4), Period: Period(l.Length, l.WaveSpeed)}
	s.Whole = Sudden(l.Density, l.WaveSpeed, s.Velocity)
	s.Sudden = seconds <= s.Period
	s.Rise = s.Whole
	if !s.Sudden {
		s.Rise = Slow(l.Density, l.Length, s.Velocity, seconds)
	}
	return s, nil
}

// SecondsFor returns the least seconds in which a flow in m³/s may be stopped
// so that the pressure rises by no more than allowed in Pa,
//
//	t = 2 ρ L Δv / Δp
//
// and 0 when even a sudden stop raises it by less. Errors are those of Stop,
// and that nothing is allowed.
func (l Line) SecondsFor(flow, allowed float64) (float64, error) {
	s, err := l.Stop(flow, 0)
	if err != nil {
		return math.NaN(), err
	}
	if !(allowed > 0) {
		return math.NaN(), fmt.Errorf("rise of %g Pa: want more than 0", allowed)
	}
	if s.Whole <= allowed {
		return 0, nil
	}
	return s.Period * s.Whole / allowed, nil
}
