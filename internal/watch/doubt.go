package watch

import (
	"fmt"
	"math"
	"strings"
	"time"

	"example.org/headwatch/internal/hydraulics"
	"example.org/headwatch/internal/journal"
)

// Doubt is a figure that an officer should look at again before it is logged.
// It blocks nothing.
type Doubt struct {
	Field string // key of the figure in the entry: "speed", "suction", "discharge", "pressure" or "ullage"
	Text  string
}

// Limits of a doubt (trade practice; the shares are common practice, no source).
const (
	bigJump   = 0.20 // of the figure before
	sameSpeed = 0.01 // of the speed before: nothing was changed
	rising    = 0.02 // m by which an ullage may shrink before the level is said to rise
)

// Doubts compares a body as keyed for a time with what was read before: off a
// gauge's scale, discharge under suction, a jump of more than 20 % with
// nothing changed, a level that rises or leaves its table.
func Doubts(before State, body journal.Body, at time.Time) []Doubt {
	after, err := Try(before, body, at)
	if err != nil {
		return nil // not a figure yet: the field itself says what is wrong
	}
	switch b := body.(type) {
	case journal.Reading:
		if b.Manifold != "" {
			return manifoldDoubts(before, after, b)
		}
		return pumpDoubts(before, after, b)
	case journal.Ullage:
		return ullageDoubts(after, b)
	}
	return nil
}

func pumpDoubts(before, after State, r journal.Reading) []Doubt {
	for i := range after.pumps {
		p := &after.basis.ship.Pumps[i]
		if !strings.EqualFold(p.Name, r.Pump) {
			continue
		}
		was, is := before.pumps[i], after.pumps[i]
		out := offScale("suction", r.Suction, is.suction, p.Suction)
		out = append(out, offScale("discharge", r.Discharge, is.discharge, p.Discharge)...)
		if r.Discharge != "" && is.suction.Known() && p.Discharge.Pressure(is.discharge.Value) < p.Suction.Pressure(is.suction.Value) {
			out = append(out, Doubt{"discharge", "under the suction"})
		}
		if r.Speed != "" && is.speed.Value > p.MaxSpeed {
			out = append(out, Doubt{"speed", fmt.Sprintf("over the pump's %.0f rpm", p.MaxSpeed)})
		}
		return append(out, jumps(was, is, p.Suction)...)
	}
	return nil
}

// jumps doubts a speed that jumped, and gauges that jumped though it did not.
func jumps(was, is pumpState, suction hydraulics.Gauge) []Doubt {
	if !still(was.speed, is.speed) {
		if jumped(was.speed, is.speed) && is.speed.Value > 0 {
			return []Doubt{{"speed", "more than 20 % from " + was.speed.Text}}
		}
		return nil
	}
	var out []Doubt
	if jumped(was.discharge, is.discharge) {
		out = append(out, Doubt{"discharge", "more than 20 % from " + was.discharge.Text + " at the same speed"})
	}
	// A suction figure is small: what its gauge may be wrong by is no jump.
	if jumped(was.suction, is.suction) && math.Abs(is.suction.Value-was.suction.Value) > 2*hydraulics.GaugeLimit(suction) {
		out = append(out, Doubt{"suction", "more than 20 % from " + was.suction.Text + " at the same speed"})
	}
	return out
}

func manifoldDoubts(before, after State, r journal.Reading) []Doubt {
	var out []Doubt
	for i := range after.manifolds {
		m := &after.basis.ship.Manifolds[i]
		if !strings.EqualFold(m.Name, r.Manifold) {
			continue
		}
		out = append(out, offScale("pressure", r.Pressure, after.manifolds[i], m.Gauge)...)
		if jumped(before.manifolds[i], after.manifolds[i]) {
			out = append(out, Doubt{"pressure", "more than 20 % from " + before.manifolds[i].Text})
		}
	}
	return out
}

func ullageDoubts(after State, u journal.Ullage) []Doubt {
	for i := range after.tanks {
		from := &after.basis.ship.Tanks[i]
		if !strings.EqualFold(from.Name, u.Tank) {
			continue
		}
		t := after.tanks[i]
		if from.Volumes != nil && math.IsNaN(volume(from, t.ullage)) {
			return []Doubt{{"ullage", "outside the tank's table"}}
		}
		if t.previous.Known() && t.ullage.Value < t.previous.Value-rising {
			return []Doubt{{"ullage", "the level rises: it was " + t.previous.Text}}
		}
	}
	return nil
}

// offScale doubts a figure off its gauge's scale, if it was read now.
func offScale(field, keyed string, f Figure, g hydraulics.Gauge) []Doubt {
	if keyed == "" || g.Lo <= f.Value && f.Value <= g.Hi {
		return nil
	}
	return []Doubt{{field, "off the gauge's scale"}}
}

// jumped reports whether a figure moved by more than bigJump of what it was.
func jumped(was, is Figure) bool {
	return was.Known() && is.Known() && was.Value != 0 && math.Abs(is.Value-was.Value) > bigJump*math.Abs(was.Value)
}

// still reports whether a speed is as it was.
func still(was, is Figure) bool {
	return was.Known() && is.Known() && was.Value != 0 && math.Abs(is.Value-was.Value) <= sameSpeed*was.Value
}
