package cargo

import (
	"errors"
	"fmt"
	"math"
	"time"
)

// Ullage is one ullage of one tank, as read.
type Ullage struct {
	At    time.Time
	Value float64 // m, with the ship's list and trim corrections added
	Half  float64 // half width of the reading, m: half of its last digit
	Trim  float64 // for the tank's table, m, by the stern positive
}

// Span is one tank between two ullages, each with its own time.
type Span struct {
	Tank          string
	Table         *Table
	First, Second Ullage
}

// Rate is what left a number of tanks, in observed volume.
type Rate struct {
	Flow     float64 // m³/s; negative when the tanks were filled
	U        float64 // its standard uncertainty, m³/s
	From, To time.Time
}

// Volume returns the observed volume [m³] that left within the interval.
func (r Rate) Volume() float64 { return r.Flow * r.To.Sub(r.From).Seconds() }

// Rate returns what left the tank over its own span,
//
//	Q = (V1 − V2)/(t2 − t1)
//	u² = ((A1 u1)² + (A2 u2)² + 2 (Q ut)²) / (t2 − t1)²
//
// V volumes and A surfaces from the tank's table at the two ullages, u1 and u2
// the half widths of their readings over √3, ut the half width of each time
// [s], timeHalf, over √3. Swell, errors of trim, list and temperature and of
// the table itself are not in u, and the tank must have been pumped steadily.
// It returns ErrInput unless the second time is after the first and the half
// widths are 0 or more, and the table's own errors; there is then no rate.
//
// Source: JCGM 100:2008 (GUM), 4.3.7 and 5.1.2.
func (s *Span) Rate(timeHalf float64) (Rate, error) {
	seconds := s.Second.At.Sub(s.First.At).Seconds()
	switch {
	case !(seconds > 0):
		return Rate{}, fmt.Errorf("tank %s: second ullage %g s after the first: want a later time: %w", s.Tank, seconds, ErrInput)
	case !notNegative(timeHalf), !notNegative(s.First.Half), !notNegative(s.Second.Half):
		return Rate{}, fmt.Errorf("tank %s: half widths %g s, %g m and %g m: want 0 or more: %w",
			s.Tank, timeHalf, s.First.Half, s.Second.Half, ErrInput)
	}
	v1, u1, err1 := s.Table.read(s.First)
	v2, u2, err2 := s.Table.read(s.Second)
	if err := errors.Join(err1, err2); err != nil {
		return Rate{}, fmt.Errorf("tank %s: %w", s.Tank, err)
	}
	flow := (v1 - v2) / seconds
	ut := flow * timeHalf / math.Sqrt(3)
	return Rate{flow, math.Sqrt(u1*u1+u2*u2+2*ut*ut) / seconds, s.First.At, s.Second.At}, nil
}

// read returns the volume [m³] at an ullage and its standard uncertainty.
func (t *Table) read(u Ullage) (volume, uncertainty float64, err error) {
	volume, err = t.Volume(u.Value, u.Trim)
	if err != nil {
		return math.NaN(), math.NaN(), err
	}
	area, err := t.Area(u.Value, u.Trim)
	return volume, area * u.Half / math.Sqrt(3), err
}

// TotalRate returns what left all tanks together in the interval that their
// spans have in common, from the latest first to the earliest second ullage:
// each tank's rate over its own span is taken to hold within it,
//
//	Q = Σ Qi,   u² = Σ ui²
//
// with Qi and ui as Span.Rate says. All mistakes come back joined; ErrInput
// also when there are no tanks or when no time is common to all.
func TotalRate(spans []Span, timeHalf float64) (Rate, error) {
	if len(spans) == 0 {
		return Rate{}, fmt.Errorf("rate of no tanks: %w", ErrInput)
	}
	var total Rate
	var errs []error
	for i := range spans {
		r, err := spans[i].Rate(timeHalf)
		errs = append(errs, err)
		total.Flow += r.Flow
		total.U = math.Hypot(total.U, r.U)
		if i == 0 || r.From.After(total.From) {
			total.From = r.From
		}
		if i == 0 || r.To.Before(total.To) {
			total.To = r.To
		}
	}
	if err := errors.Join(errs...); err != nil {
		return Rate{}, err
	}
	if !total.To.After(total.From) {
		return Rate{}, fmt.Errorf("rate of %d tanks: no time is common to all their spans: %w", len(spans), ErrInput)
	}
	return total, nil
}
