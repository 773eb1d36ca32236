package outlook

import (
	"fmt"
	"math"

	"example.org/headwatch/internal/hydraulics"
	"example.org/headwatch/internal/hydraulics/drive"
)

// Choice is one way to run the plant: a set of pumps at a common speed.
type Choice struct {
	Speed    float64 // rpm
	Running  []bool  // of each pump of the plant
	Settings []Setting
	Forecast Forecast
	Fuel     float64 // of all drives, in full loads; NaN where a drive or an efficiency is not known

	StopFirst bool // on the way there the pumps it does without are stopped before the speed is changed
}

// Common returns the speed all running pumps turn at, rpm; NaN when they turn
// at different ones.
func (c *Choice) Common() float64 {
	common := math.NaN()
	for i, s := range c.Settings {
		switch {
		case !c.Running[i]:
		case math.IsNaN(common):
			common = s.Speed
		case s.Speed != common:
			return math.NaN()
		}
	}
	return common
}

// Power returns the power of all drives, W; NaN where one is not known.
func (c *Choice) Power() float64 {
	sum := 0.0
	for i := range c.Forecast.Pumps {
		if c.Forecast.Pumps[i].Standing != hydraulics.StandsStill {
			sum += c.Forecast.Pumps[i].Power
		}
	}
	return sum
}

// FuelPerVolume returns the fuel for each m³ delivered, full loads · s/m³.
func (c *Choice) FuelPerVolume() float64 { return c.Fuel / c.Forecast.Rate }

// Highest is the highest common speed inside every limit and what stops it.
type Highest struct {
	Choice
	Binding []Limit // what breaks one rpm higher; empty when the pumps' own maximum speed is reached first
}

// ConflictError says that no speed holds all limits.
type ConflictError struct {
	Upper, Lower Limit // of which one breaks before the other holds; Lower is zero when Upper breaks even at the lowest speed
	Speed        float64
}

func (e *ConflictError) Error() string {
	if e.Lower.At == "" {
		return fmt.Sprintf("even at %.0f rpm, the lowest speed, the limit %q of %s is passed", e.Speed, e.Upper.Name, e.Upper.At)
	}
	return fmt.Sprintf("limits %q of %s and %q of %s can't both hold: at %.0f rpm the one is reached while the other still asks for more",
		e.Upper.Name, e.Upper.At, e.Lower.Name, e.Lower.At, e.Speed)
}

// speedStep is how finely a speed is advised, rpm: no governor is set finer.
const speedStep = 1.0

// speeds returns the range that all running pumps share, whole rpm.
func (p *Plant) speeds(running []bool) (lo, hi float64) {
	lo, hi = 0, math.Inf(1)
	for i, pump := range p.Pumps {
		if running[i] {
			lo, hi = max(lo, pump.MinSpeed), min(hi, pump.MaxSpeed)
		}
	}
	return math.Ceil(lo), math.Floor(hi)
}

// at returns settings with the running pumps at a common speed and the others
// stopped.
func at(settings []Setting, running []bool, speed float64) []Setting {
	out := make([]Setting, len(settings))
	for i, s := range settings {
		s.Offline = false
		s.Speed = 0
		if running[i] {
			s.Speed = speed
		}
		out[i] = s
	}
	return out
}

// Highest returns the highest common speed of the running pumps at which no
// limit is passed, and the limits that one step more would pass. No answer
// rests on a pump past its curve's end. Every upper limit is used up by
// speed, so the range is halved; it returns a *ConflictError when no speed
// will do.
func (p *Plant) Highest(settings []Setting, running []bool) (*Highest, error) {
	lo, hi := p.speeds(running)
	if !(lo <= hi) {
		return nil, fmt.Errorf("the running pumps share no speed: one must turn at %.0f rpm or more, another at %.0f or less", lo, hi)
	}
	best, err := p.choose(settings, running, lo)
	if err != nil {
		return nil, err
	}
	if over := best.over(); over != nil {
		return nil, &ConflictError{Upper: *over, Speed: lo}
	}
	binding := []Limit(nil)
	for hi-lo >= speedStep {
		mid := math.Floor((lo + hi + speedStep) / 2)
		c, err := p.choose(settings, running, mid)
		if err != nil {
			return nil, err
		}
		if c.over() == nil {
			best, lo = c, mid
		} else {
			binding, hi = c.passed(), mid-speedStep
		}
	}
	if under := best.under(); under != nil {
		upper := Limit{Name: MaximumSpeed, At: under.At}
		if len(binding) > 0 {
			upper = binding[0]
		}
		return nil, &ConflictError{Upper: upper, Lower: *under, Speed: best.Speed}
	}
	return &Highest{Choice: *best, Binding: binding}, nil
}

// choose solves the plant with the running pumps at a common speed.
func (p *Plant) choose(settings []Setting, running []bool, speed float64) (*Choice, error) {
	c := &Choice{Speed: speed, Running: running, Settings: at(settings, running, speed)}
	if err := p.Forecast(c.Settings, &c.Forecast); err != nil {
		return nil, err
	}
	c.Fuel = p.fuel(&c.Forecast)
	return c, nil
}

// over returns an upper limit the choice passes, or nil. A pump past its
// curve's end is over, whatever else is unknown.
func (c *Choice) over() *Limit { return broken(c.Forecast.Limits, true) }

// under returns a lower limit the choice passes, or nil. A running pump that
// is pushed off the line is under its minimum flow.
func (c *Choice) under() *Limit { return broken(c.Forecast.Limits, false) }

// broken returns the first broken limit that speed uses up, or does not.
func broken(limits []Limit, upper bool) *Limit {
	for i := range limits {
		if l := &limits[i]; l.Name.Upper() == upper && l.Broken() {
			return l
		}
	}
	return nil
}

// passed returns all upper limits the choice passes.
func (c *Choice) passed() []Limit {
	var out []Limit
	for _, l := range c.Forecast.Limits {
		if l.Name.Upper() && l.Broken() {
			out = append(out, l)
		}
	}
	return out
}

// sound reports whether a choice may be advised: no limit passed and no
// figure that is only a bound.
func (c *Choice) sound() bool {
	return c.over() == nil && c.under() == nil && !c.Forecast.LowerBound
}

// Run reports which pumps of settings turn on the line.
func Run(settings []Setting) []bool {
	out := make([]bool, len(settings))
	for i, s := range settings {
		out[i] = s.Speed > 0 && !s.Offline
	}
	return out
}

// fuel returns what the drives take, in full loads of one drive each; NaN where
// a power or a rating is not known.
func (p *Plant) fuel(f *Forecast) float64 {
	sum := 0.0
	for i := range f.Pumps {
		if f.Pumps[i].Standing != hydraulics.StandsStill {
			d := p.Pumps[i].Drive
			sum += drive.Drive{Kind: drive.Kind(d.Kind), Rated: p.Pumps[i].RatedPower, NoLoad: d.NoLoad}.FullLoads(f.Pumps[i].Power)
		}
	}
	return sum
}
