package outlook

import (
	"errors"
	"fmt"
	"math"
)

// Advice is what the program would do, for an officer to judge.
type Advice struct {
	Now      *Choice  // as set; nil when no speed was given
	Highest  *Highest // with the pumps that run now, or all when none was given
	Cheapest *Choice  // the least fuel for the wanted rate; nil when it can't be had
	Wanted   float64  // rate, m³/s
	Steps    []Step   // what a change of all running pumps would do
	Alike    *Alike   // how alike the pumps are by their gauges; nil when fewer than two were read
	Words    []string // what can't be had and why, a sentence each
}

// Step is what a common change of speed would do.
type Step struct {
	By     float64 // rpm
	Choice *Choice
}

// stepBy is the change of speed that Steps show, rpm.
const stepBy = 50.0

// Advise answers for settings: the highest common speed inside every limit and
// what binds it; the pumps and the common speed that give a wanted rate for
// the least fuel. It advises nothing that breaks a limit on the way there or
// that rests on a bound.
func (p *Plant) Advise(settings []Setting, wanted float64) (*Advice, error) {
	a := &Advice{Wanted: wanted}
	running := Run(settings)
	if none(running) {
		for i := range running {
			running[i] = p.canRun(settings, i)
		}
	} else if err := p.now(a, settings, running); err != nil {
		return nil, err
	}
	var conflict *ConflictError
	highest, err := p.Highest(settings, running)
	switch {
	case errors.As(err, &conflict):
		a.Words = append(a.Words, conflict.Error())
	case err != nil:
		return nil, err
	default:
		a.Highest = highest
	}
	if err := p.cheapest(a, settings); err != nil {
		return nil, err
	}
	return a, nil
}

// canRun reports whether the level of a pump is known and not under its
// impeller, so that it can be foretold running.
func (p *Plant) canRun(settings []Setting, i int) bool {
	return settings[i].Level >= lowest(p.Pumps[i])
}

func none(running []bool) bool {
	for _, r := range running {
		if r {
			return false
		}
	}
	return true
}

// now sets what the plant does as set and a step either way.
func (p *Plant) now(a *Advice, settings []Setting, running []bool) error {
	a.Now = &Choice{Running: running, Settings: settings}
	if err := p.Forecast(settings, &a.Now.Forecast); err != nil {
		return err
	}
	a.Now.Fuel = p.fuel(&a.Now.Forecast)
	for _, by := range []float64{-stepBy, stepBy} {
		c := &Choice{Running: running, Settings: moved(settings, by)}
		if err := p.Forecast(c.Settings, &c.Forecast); err != nil {
			return err
		}
		c.Fuel = p.fuel(&c.Forecast)
		a.Steps = append(a.Steps, Step{By: by, Choice: c})
	}
	return nil
}

// moved returns settings with all turning pumps by so many rpm faster.
func moved(settings []Setting, by float64) []Setting {
	out := make([]Setting, len(settings))
	for i, s := range settings {
		if s.Speed > 0 {
			s.Speed = max(s.Speed+by, 0)
		}
		out[i] = s
	}
	return out
}

// cheapest tries every set of pumps for the wanted rate.
func (p *Plant) cheapest(a *Advice, settings []Setting) error {
	if !(a.Wanted > 0) || len(p.Pumps) > 10 {
		return nil
	}
	barred := false
	for set := 1; set < 1<<len(p.Pumps); set++ {
		running := p.subset(settings, set)
		if running == nil {
			continue
		}
		c, err := p.atRate(settings, running, a.Wanted)
		if err != nil {
			return err
		}
		if c == nil || !c.sound() {
			continue
		}
		if a.Now != nil && !p.safeWay(a.Now.Settings, c) {
			barred = true
			continue
		}
		if a.Cheapest == nil || c.cheaper(a.Cheapest) {
			a.Cheapest = c
		}
	}
	switch {
	case a.Cheapest == nil && barred:
		a.Words = append(a.Words, fmt.Sprintf("%.0f m3/h can be had inside every limit, but no way there from now was found that passes none: go by the ship's own steps, slowing first", a.Wanted*3600))
	case a.Cheapest == nil:
		a.Words = append(a.Words, fmt.Sprintf("no set of pumps gives %.0f m3/h inside every limit", a.Wanted*3600))
	}
	return nil
}

// subset returns the pumps whose bits are set, nil when one of them can't run.
func (p *Plant) subset(settings []Setting, set int) []bool {
	running := make([]bool, len(settings))
	for i := range settings {
		running[i] = set>>i&1 == 1
		if running[i] && !p.canRun(settings, i) {
			return nil
		}
	}
	return running
}

// cheaper reports whether c takes less fuel than d; where fuel is not known,
// whether it runs slower.
func (c *Choice) cheaper(d *Choice) bool {
	if math.IsNaN(c.Fuel) || math.IsNaN(d.Fuel) {
		return c.Speed < d.Speed
	}
	return c.Fuel < d.Fuel
}

// atRate returns the common speed at which the running pumps give a rate, or
// nil when it is not within their reach. Rate rises with speed, so the range is
// halved; the answer is the slower end, so that a wanted rate that is the
// agreed limit does not pass it.
func (p *Plant) atRate(settings []Setting, running []bool, rate float64) (*Choice, error) {
	const enough = 1e-6 // rpm
	lo, hi := p.speeds(running)
	if !(lo <= hi) {
		return nil, nil
	}
	slow, err := p.choose(settings, running, lo)
	if err != nil || slow.Forecast.Rate > rate {
		return nil, err
	}
	fast, err := p.choose(settings, running, hi)
	if err != nil || fast.Forecast.Rate < rate {
		return nil, err
	}
	for hi-lo > enough {
		c, err := p.choose(settings, running, (lo+hi)/2)
		if err != nil {
			return nil, err
		}
		if c.Forecast.Rate <= rate {
			slow, lo = c, c.Speed
		} else {
			hi = c.Speed
		}
	}
	return slow, nil
}

// wayStep is how finely the way to an advice is tried, rpm.
const wayStep = 10.0

// safeWay reports whether no limit that holds now is passed on the way from
// the present settings to a choice, and notes on it which way: with all speeds
// changed together first and the pumps that it does without stopped then, or
// the other way round. A pump that it adds goes through the ship's own start-up
// and is not tried here.
func (p *Plant) safeWay(from []Setting, to *Choice) bool {
	var f Forecast
	if p.Forecast(from, &f) != nil {
		return false
	}
	var held [int(MinimumSpeed) + 1]bool
	for _, l := range f.Limits {
		held[l.Name] = !l.Broken()
	}
	stopped := append([]Setting(nil), from...)
	for i := range stopped {
		if !to.Running[i] {
			stopped[i].Speed = 0
		}
	}
	to.StopFirst = !p.ramp(from, to.Speed, &held)
	return !to.StopFirst || p.ramp(stopped, to.Speed, &held)
}

// ramp tries the common change of all turning pumps to a speed, from where they
// are on.
func (p *Plant) ramp(from []Setting, speed float64, held *[int(MinimumSpeed) + 1]bool) bool {
	farthest := 0.0
	for _, s := range from {
		if s.Speed > 0 {
			farthest = max(farthest, math.Abs(speed-s.Speed))
		}
	}
	steps := max(math.Ceil(farthest/wayStep), 1)
	on := make([]Setting, len(from))
	var f Forecast
	for k := 0.0; k <= steps; k++ {
		for i, s := range from {
			if s.Speed > 0 {
				s.Speed += (speed - s.Speed) * k / steps
			}
			on[i] = s
		}
		if p.Forecast(on, &f) != nil || f.LowerBound {
			return false
		}
		for _, l := range f.Limits {
			if held[l.Name] && l.Broken() {
				return false
			}
		}
	}
	return true
}
