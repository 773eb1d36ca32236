package watch

import (
	"math"
	"slices"
	"time"

	"example.org/headwatch/internal/hydraulics"
	"example.org/headwatch/internal/ship"
)

// State is what the entries so far amount to. It is a value: Fold and Advance
// return a new one and leave theirs as it was.
type State struct {
	basis *basis
	now   time.Time // the latest moment it has been advanced to
	seq   uint64

	training  bool
	pumps     []pumpState
	manifolds []Figure
	tanks     []tankState
	first     time.Time // of the newest round
	last      time.Time
}

// pumpState is the newest reading of each figure of a pump.
type pumpState struct{ speed, suction, discharge Figure }

// tankState is the two newest ullages of a tank.
type tankState struct{ ullage, previous Figure }

// basis is what does not change with an entry: ship, plan and the meters made
// from them. It is shared by all states of a discharge.
type basis struct {
	ship   *ship.Ship
	plan   *ship.Plan
	meters []*hydraulics.Meter // one for each pump of the ship, on the curves its cargo leaves
	words  []string            // what should be known of those, a sentence each
}

// New returns the state of a discharge before its first entry.
func New(d *ship.Discharge) State {
	b := &basis{ship: d.Ship, plan: d.Plan}
	for i := range d.Ship.Pumps {
		b.meters = append(b.meters, hydraulics.NewMeter(&d.Ship.Pumps[i].Pump))
	}
	for i := range d.Plan.Parcels {
		pumps, words := d.Ship.ForCargo(&d.Plan.Parcels[i])
		b.words = append(b.words, words...)
		for _, p := range pumps {
			k := slices.IndexFunc(d.Ship.Pumps, func(q ship.Pump) bool { return q.Name == p.Name })
			b.meters[k] = hydraulics.NewMeter(&p.Pump)
		}
	}
	never := Figure{Value: math.NaN()}
	return State{
		basis:     b,
		pumps:     slices.Repeat([]pumpState{{never, never, never}}, len(d.Ship.Pumps)),
		manifolds: slices.Repeat([]Figure{never}, len(d.Ship.Manifolds)),
		tanks:     slices.Repeat([]tankState{{never, never}}, len(d.Ship.Tanks)),
	}
}

// Ship returns the ship the state is about.
func (s State) Ship() *ship.Ship { return s.basis.ship }

// Plan returns the plan of the discharge.
func (s State) Plan() *ship.Plan { return s.basis.plan }

// Seq returns the number of the last entry folded in.
func (s State) Seq() uint64 { return s.seq }

// Advance brings the state to a moment, which falls due all that waits for
// it. A moment before the one already reached changes nothing: a clock set
// back never undoes what was due. Advance of Advance is Advance.
func Advance(s State, t time.Time) State {
	if t.After(s.now) {
		s.now = t
	}
	return s
}
