package outlook

import (
	"errors"
	"fmt"
	"math"

	"example.org/headwatch/internal/ship"
)

// Course is a discharge about to be run forward: the plant, what is in the
// tanks and how it is to be run.
type Course struct {
	Plant     *Plant
	Tanks     []TankNow
	Running   []bool  // pumps that run, of the plant
	MostSpeed float64 // rpm not to be passed, the present one to hold it; +Inf: as high as the limits let
	LevelRise float64 // of the shore tank, m/s
	Until     float64 // volume left for stripping, m³: bulk pumping ends there
	RateScale float64 // delivered over computed flow, 1 unless learnt from ullages
}

// TankNow is one tank and what it holds.
type TankNow struct {
	*ship.Tank
	Volume float64 // m³
	Pump   int     // of the plant, that draws from it
}

// Hour is what an hour ahead would bring.
type Hour struct {
	From, To      float64 // s from now
	Delivered     float64 // m³
	Speed         float64 // mean common speed, rpm
	Pumps         int     // fewest that run in it
	Manifold      float64 // highest pressure in it, Pa
	SuctionMargin float64 // least NPSH margin in it, m; NaN where none is known
	Binding       []Limit // what stops a higher speed at its end
	Remaining     float64 // in the tanks at its end, m³
}

// Rate returns the mean rate of the hour, m³/s.
func (h Hour) Rate() float64 { return h.Delivered / (h.To - h.From) }

// Ahead is a course run to its end.
type Ahead struct {
	Hours   []Hour
	Done    bool    // bulk pumping ends at Seconds; if not, it can't be gone on with after Seconds
	Seconds float64 // from now
	Words   []string
}

// The steps of a course, s. Levels fall by a few centimetres in a minute, and
// a speed is not changed more often than every ten.
const (
	step   = 60.0
	revise = 600.0
	hour   = 3600.0
)

// NewCourse returns the course of a parcel from the ullages in its tanks, in
// the order of the parcel's tanks, at an even keel.
func NewCourse(plant *Plant, s *ship.Ship, p *ship.Parcel, ullages []float64, running []bool) (*Course, error) {
	if len(ullages) != len(p.Tanks) {
		return nil, fmt.Errorf("%d ullages for %d tanks", len(ullages), len(p.Tanks))
	}
	c := &Course{Plant: plant, Running: running, MostSpeed: math.Inf(1), RateScale: 1,
		LevelRise: zeroFor(p.Shore.LevelRise), Until: zeroFor(p.StrippingRemainder)}
	for i, name := range p.Tanks {
		tank, ok := s.FindTank(name)
		if !ok || tank.Volumes == nil {
			return nil, fmt.Errorf("tank %s: no ullage table, so its level can't be followed", name)
		}
		volume, err := tank.Volumes.Volume(ullages[i], 0)
		if err != nil {
			return nil, fmt.Errorf("tank %s: %w", name, err)
		}
		now := TankNow{Tank: tank, Volume: volume, Pump: -1}
		for k, pump := range plant.Pumps {
			if pump.Name == tank.Pump {
				now.Pump = k
			}
		}
		if now.Pump < 0 {
			return nil, fmt.Errorf("tank %s: no pump of this parcel draws from it; name one in ship.yaml", name)
		}
		c.Tanks = append(c.Tanks, now)
	}
	return c, nil
}

// run is a course on its way.
type run struct {
	*Course
	tanks    []TankNow
	running  []bool
	settings []Setting
	static   float64
	speed    float64
	binding  []Limit
	f        Forecast
	out      Ahead
	now      float64
	hour     Hour
}

// Run follows the course for at most so many hours: levels fall by the tank
// tables, the shore's head rises, each pump draws from the fuller of its tanks
// until they hold no more than their share of what is left for stripping. The
// speed is the highest inside every limit, or MostSpeed; a pump that can't
// keep its limits at any speed is stopped. The plant is left as it was.
func (c *Course) Run(hours float64) (*Ahead, error) {
	r := &run{Course: c, tanks: append([]TankNow(nil), c.Tanks...), running: append([]bool(nil), c.Running...),
		settings: make([]Setting, len(c.Plant.Pumps)), static: c.Plant.Line.Static}
	defer func() { c.Plant.Line.Static = r.static }()
	r.startHour()
	for due := 0.0; r.now < hours*hour; {
		if r.left() <= c.Until {
			r.out.Done = true
			break
		}
		if r.drain() || r.now >= due {
			if err := r.steer(); err != nil {
				return nil, err
			}
			due = r.now + revise
		}
		if none(r.running) {
			r.stripping()
			break
		}
		if err := r.advance(); err != nil {
			return nil, err
		}
	}
	r.endHour()
	r.out.Seconds = r.now
	return &r.out, nil
}

// left returns what is in the tanks.
func (r *run) left() float64 {
	sum := 0.0
	for i := range r.tanks {
		sum += r.tanks[i].Volume
	}
	return sum
}

// floor returns a tank's share of what is left for stripping.
func (r *run) floor() float64 { return r.Until / float64(len(r.tanks)) }

// drain finds the fullest tank of each pump and stops the pumps that have
// none; it reports whether one was stopped.
func (r *run) drain() (stopped bool) {
	for i := range r.settings {
		tank, level := r.fullest(i)
		if tank == nil {
			stopped = stopped || r.running[i]
			r.running[i] = false
		}
		r.settings[i] = Setting{Level: level, Opening: 1}
	}
	return stopped
}

// fullest returns the tank of pump i with the highest surface, and that
// surface above keel; nil when all are down to their floor, to the pump's
// impeller or to the end of their table.
func (r *run) fullest(i int) (*TankNow, float64) {
	var best *TankNow
	most := lowest(r.Plant.Pumps[i])
	for k := range r.tanks {
		t := &r.tanks[k]
		if t.Pump != i || t.Volume <= r.floor() {
			continue
		}
		if ullage, err := t.Volumes.Ullage(t.Volume, 0); err == nil && t.Reference-ullage > most {
			best, most = t, t.Reference-ullage
		}
	}
	return best, most
}

// stripping ends the course when all tanks are as low as the pumps reach.
func (r *run) stripping() {
	for i := range r.settings {
		if tank, _ := r.fullest(i); tank != nil {
			return // a pump was stopped by its limits
		}
	}
	r.out.Done = true
	r.say("bulk pumping ends with %.0f m3 in the tanks, their levels at the pumps; the plan leaves %.0f m3 for stripping", r.left(), r.Until)
}

func (r *run) say(format string, args ...any) {
	r.out.Words = append(r.out.Words, fmt.Sprintf("after %.1f h: ", r.now/hour)+fmt.Sprintf(format, args...))
}

// steer sets the speed, stopping pumps that can't keep their limits.
func (r *run) steer() error {
	r.Plant.Line.Static = r.static + r.LevelRise*r.now
	for !none(r.running) {
		h, err := r.Plant.Highest(r.settings, r.running)
		var conflict *ConflictError
		if errors.As(err, &conflict) {
			r.stop(conflict)
			continue
		}
		if err != nil {
			return err
		}
		if r.speed, r.binding = h.Speed, h.Binding; r.speed <= r.MostSpeed {
			return nil
		}
		r.speed, r.binding = r.MostSpeed, nil
		held, err := r.Plant.choose(r.settings, r.running, r.speed)
		if err != nil {
			return err
		}
		under := held.under()
		if under == nil {
			return nil
		}
		r.stop(&ConflictError{Upper: Limit{Name: MaximumSpeed, At: under.At}, Lower: *under, Speed: r.speed})
	}
	return nil
}

// stop takes off the pump a conflict names, or the last that runs.
func (r *run) stop(c *ConflictError) {
	off := -1
	for i, pump := range r.Plant.Pumps {
		if r.running[i] && (off < 0 || pump.Name == c.Upper.At || pump.Name == c.Lower.At) {
			off = i
		}
	}
	r.running[off] = false
	r.say("%s stopped: %v", r.Plant.Pumps[off].Name, c)
}

// advance pumps for one step, or for the part of it until bulk pumping ends.
func (r *run) advance() error {
	r.Plant.Line.Static = r.static + r.LevelRise*r.now
	if err := r.Plant.Forecast(at(r.settings, r.running, r.speed), &r.f); err != nil {
		return err
	}
	if broken(r.f.Limits, true) != nil {
		if err := r.steer(); err != nil || none(r.running) {
			return err
		}
		if err := r.Plant.Forecast(at(r.settings, r.running, r.speed), &r.f); err != nil {
			return err
		}
	}
	if r.f.Rate <= 0 {
		r.say("no pump gives flow at %.0f rpm", r.speed)
		clear(r.running)
		return nil
	}
	seconds := min(step, max((r.left()-r.Until)/(r.f.Rate*r.RateScale), 1))
	for i := range r.f.Pumps {
		if tank, _ := r.fullest(i); tank != nil {
			tank.Volume -= r.f.Pumps[i].Flow * r.RateScale * seconds
		}
	}
	r.record(seconds)
	if r.now-r.hour.From >= hour-step/2 {
		r.endHour()
		r.startHour()
	}
	return nil
}

func (r *run) record(seconds float64) {
	r.now += seconds
	h := &r.hour
	h.Delivered += r.f.Rate * r.RateScale * seconds
	h.Speed += r.speed * seconds
	h.Manifold = max(h.Manifold, r.f.ManifoldPressure)
	running := 0
	for i := range r.f.Pumps {
		if r.running[i] {
			running++
			h.SuctionMargin = minKnown(h.SuctionMargin, r.f.Pumps[i].NPSHMargin)
		}
	}
	h.Pumps = min(h.Pumps, running)
}

// minKnown is min where an unknown figure does not count.
func minKnown(a, b float64) float64 {
	switch {
	case math.IsNaN(a):
		return b
	case math.IsNaN(b):
		return a
	}
	return min(a, b)
}

func (r *run) startHour() {
	r.hour = Hour{From: r.now, Pumps: len(r.running), Manifold: math.Inf(-1), SuctionMargin: math.NaN()}
}

func (r *run) endHour() {
	h := r.hour
	if h.To = r.now; h.To <= h.From {
		return
	}
	h.Speed /= h.To - h.From
	h.Binding, h.Remaining = r.binding, r.left()
	r.out.Hours = append(r.out.Hours, h)
}

// Spread is how far what a course rests on may be off, as standard
// uncertainties. They are taken as independent.
type Spread struct {
	Static float64 // of the shore, m
	Loss   float64 // of the shore line, fraction
	Rate   float64 // of the curves' flow, fraction
	Volume float64 // of what is in the tanks, m³
}

// Completion is when bulk pumping ends, s from now, with a band of two
// standard uncertainties either way.
type Completion struct{ At, Earliest, Latest float64 }

// Complete runs the course, and once more for each figure of the spread a
// standard uncertainty up and down. The changes of the time are added as
// squares, those that shorten it apart from those that lengthen it, and
// doubled. It returns an error when the course, as it stands or a little
// worse, does not come to an end within so many hours.
//
// Source: JCGM 100:2008 (GUM), 5.1.4, note 2: sensitivities by evaluating the
// model at x ± u.
func (c *Course) Complete(hours float64, s Spread) (Completion, error) {
	end, err := c.end(hours)
	if err != nil {
		return Completion{}, err
	}
	early, late := 0.0, 0.0
	for _, change := range []func(c *Course, sign float64){
		func(c *Course, sign float64) { c.Plant.Line.Static += sign * s.Static },
		func(c *Course, sign float64) { c.Plant.Line.Loss *= 1 + sign*s.Loss },
		func(c *Course, sign float64) { c.RateScale *= 1 + sign*s.Rate },
		func(c *Course, sign float64) { c.Until += sign * s.Volume },
	} {
		for _, sign := range []float64{-1, 1} {
			other := *c
			other.Plant = c.Plant.Clone()
			change(&other, sign)
			then, err := other.end(hours)
			if err != nil {
				return Completion{}, err
			}
			if d := then - end; d < 0 {
				early += d * d
			} else {
				late += d * d
			}
		}
	}
	return Completion{end, end - 2*math.Sqrt(early), end + 2*math.Sqrt(late)}, nil
}

func (c *Course) end(hours float64) (float64, error) {
	a, err := c.Run(hours)
	if err != nil {
		return 0, err
	}
	if !a.Done {
		why := fmt.Sprintf("it does not end within %.0f h", hours)
		if len(a.Words) > 0 {
			why = a.Words[len(a.Words)-1]
		}
		return 0, fmt.Errorf("no time of completion: %s", why)
	}
	return a.Seconds, nil
}
