package watch

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"example.org/headwatch/internal/journal"
	"example.org/headwatch/internal/ship"
	"example.org/headwatch/internal/units"
)

// roundGap is how far apart two readings may be and still be of one round
// (common practice, no source: a round takes ten minutes).
const roundGap = 20 * time.Minute

// ErrOrder says that an entry does not follow the one before it.
var ErrOrder = errors.New("entries out of order")

// Fold returns the state after entry e. It is pure: s keeps its value, and no
// clock, file or random number is read. An entry that speaks of an earlier
// time than a figure already known never replaces it.
//
// The error wraps ErrOrder, and s is returned, when e does not follow the
// entry before it. Any other error says why a figure of e can't be used; the
// state after it is good all the same, so that one bad entry loses no other.
func Fold(s State, e journal.Entry) (State, error) {
	if e.Seq != s.seq+1 {
		return s, fmt.Errorf("entry %d after entry %d: %w", e.Seq, s.seq, ErrOrder)
	}
	s = Advance(s, e.At)
	s.seq = e.Seq
	body, err := e.Body()
	if errors.Is(err, journal.ErrRaw) {
		return s, nil // a kind for a later version
	}
	if err == nil {
		s, err = apply(s, body, e.At)
	}
	if err != nil {
		return s, fmt.Errorf("entry %d: %w", e.Seq, err)
	}
	return s, nil
}

// Try returns the state as it would be with a body keyed for a time, without
// an entry: the preview while an officer types.
func Try(s State, body journal.Body, at time.Time) (State, error) {
	return apply(Advance(s, at), body, at)
}

func apply(s State, body journal.Body, at time.Time) (State, error) {
	switch b := body.(type) {
	case journal.Opened:
		s.training = b.Format == journal.Training
	case journal.Reading:
		if b.Manifold != "" {
			return applyManifold(s, b, at)
		}
		return applyPump(s, b, at)
	case journal.Ullage:
		return applyUllage(s, b, at)
	}
	return s, nil
}

func applyManifold(s State, r journal.Reading, at time.Time) (State, error) {
	manifolds := s.basis.ship.Manifolds
	i := slices.IndexFunc(manifolds, func(m ship.Manifold) bool { return strings.EqualFold(m.Name, r.Manifold) })
	if i < 0 {
		return s, fmt.Errorf("manifold %q: not in the ship file", r.Manifold)
	}
	s.manifolds = slices.Clone(s.manifolds)
	err := s.manifolds[i].take(keyed{"pressure", units.Pressure, r.Pressure, manifolds[i].Unit}, at, r.Unchanged)
	return s.read(at), err
}

func applyPump(s State, r journal.Reading, at time.Time) (State, error) {
	i := slices.IndexFunc(s.basis.ship.Pumps, func(p ship.Pump) bool { return strings.EqualFold(p.Name, r.Pump) })
	if i < 0 {
		return s, fmt.Errorf("pump %q: not in the ship file", r.Pump)
	}
	p := &s.basis.ship.Pumps[i]
	s.pumps = slices.Clone(s.pumps)
	to := &s.pumps[i]
	err := errors.Join(
		to.speed.take(keyed{"speed", units.Speed, r.Speed, s.basis.ship.Units.Speed}, at, r.Unchanged),
		to.suction.take(keyed{"suction", units.Pressure, r.Suction, p.SuctionUnit}, at, r.Unchanged),
		to.discharge.take(keyed{"discharge", units.Pressure, r.Discharge, p.DischargeUnit}, at, r.Unchanged))
	return s.read(at), err
}

func applyUllage(s State, u journal.Ullage, at time.Time) (State, error) {
	i := slices.IndexFunc(s.basis.ship.Tanks, func(t ship.Tank) bool { return strings.EqualFold(t.Name, u.Tank) })
	if i < 0 {
		return s, fmt.Errorf("tank %q: not in the ship file", u.Tank)
	}
	k := keyed{"ullage", units.Length, u.Ullage, s.basis.ship.Units.Length}
	s.tanks = slices.Clone(s.tanks)
	to := &s.tanks[i]
	newest := to.ullage
	if newest.Known() && at.Before(newest.At) {
		return s.read(at), to.previous.take(k, at, nil)
	}
	err := to.ullage.take(k, at, nil)
	// Read again within a round it replaces the figure, and the span goes on.
	if err == nil && newest.Known() && at.Sub(newest.At) > roundGap {
		to.previous = newest
	}
	return s.read(at), err
}

// keyed is one figure as the log has it.
type keyed struct {
	key       string
	dimension units.Dimension
	text      string
	unit      string // when the text names none
}

// take reads a keyed figure into f, unless it was not read or f is newer.
func (f *Figure) take(k keyed, at time.Time, unchanged []string) error {
	if k.text == "" || f.Known() && at.Before(f.At) {
		return nil
	}
	v, err := units.ParseKeyed(k.dimension, k.text, k.unit)
	if err != nil {
		return fmt.Errorf("%s: %w", k.key, err)
	}
	if v.SI < 0 && k.dimension != units.Pressure {
		return fmt.Errorf("%s %q: want 0 or more", k.key, k.text)
	}
	*f = Figure{Value: v.SI, Half: v.Half, Text: k.text, At: at, Unchanged: slices.Contains(unchanged, k.key)}
	return nil
}

// read notes that something was read at a time: readings close together are
// one round.
func (s State) read(at time.Time) State {
	switch {
	case s.last.IsZero() || at.Sub(s.last) > roundGap:
		s.first, s.last = at, at
	case at.After(s.last):
		s.last = at
	case at.Before(s.first) && s.first.Sub(at) <= roundGap:
		s.first = at
	}
	return s
}
