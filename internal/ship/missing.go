package ship

import (
	"fmt"
	"math"
	"strings"
)

// missing says in a sentence each what is switched off for want of an optional
// part of the ship file.
func (s *Ship) missing() []string {
	var out []string
	say := func(part string, lacking []string, consequence string) {
		if len(lacking) > 0 {
			out = append(out, fmt.Sprintf("no %s for %s: %s", part, strings.Join(lacking, ", "), consequence))
		}
	}
	pumps := func(part, consequence string, lacks func(p *Pump) bool) {
		say(part, namesOf(s.Pumps, lacks, func(p *Pump) string { return p.Name }), consequence)
	}
	pumps("efficiency or power curve", "efficiency, power and fuel are not shown", func(p *Pump) bool { return !p.Curves.HasEfficiency() })
	pumps("NPSH-required curve", "suction margin is not shown", func(p *Pump) bool { return !p.Curves.HasNPSHr() })
	pumps("impeller centre", "suction margin is not shown", func(p *Pump) bool { return absent(p.Centre) })
	pumps("suction loss", "forecast and advice are not given", func(p *Pump) bool { return absent(p.SuctionLoss) })
	pumps("riser loss", "forecast and advice are not given", func(p *Pump) bool { return absent(p.RiserLoss) })
	pumps("heat limit and casing volume", "heating behind a shut valve is not shown", func(p *Pump) bool {
		return absent(p.ClosedValve.Heat) || absent(p.ClosedValve.Volume)
	})
	pumps("rated power of the drive", "power is not held against a limit", func(p *Pump) bool { return absent(p.RatedPower) })
	pumps("drive", "fuel is not compared", func(p *Pump) bool {
		return p.Drive.Kind == "" || p.Drive.Kind == steamTurbine && absent(p.Drive.NoLoad)
	})
	say("bore and arms", namesOf(s.Manifolds,
		func(m *Manifold) bool { return absent(m.Bore) || m.Arms == 0 },
		func(m *Manifold) string { return m.Name }), "the velocity head at its gauge is left out")
	if absent(s.BringOnLine.OpenAtHead) {
		out = append(out, "no bring-on-line figures: the start-up guide is not shown")
	}
	return append(out, s.missingTanks()...)
}

func (s *Ship) missingTanks() []string {
	if len(s.Tanks) == 0 {
		return []string{"no tanks: levels, volumes and the rate by ullage are not shown"}
	}
	var out []string
	name := func(t *Tank) string { return t.Name }
	if lacking := namesOf(s.Tanks, func(t *Tank) bool { return t.Table == "" }, name); len(lacking) > 0 {
		out = append(out, fmt.Sprintf("no table for tank %s: volumes and the rate by ullage are not shown", strings.Join(lacking, ", ")))
	}
	noPlace := namesOf(s.Tanks, func(t *Tank) bool { return absent(t.Along) }, name)
	if len(noPlace) > 0 || absent(s.Length) || absent(s.PumpRoomAlong) {
		out = append(out, "no length, pump-room or place of a tank: levels over the pumps are not corrected for trim")
	}
	return out
}

func absent(x float64) bool { return math.IsNaN(x) }

// namesOf returns the names of the items that are so.
func namesOf[T any](list []T, so func(*T) bool, name func(*T) string) []string {
	var out []string
	for i := range list {
		if so(&list[i]) {
			out = append(out, name(&list[i]))
		}
	}
	return out
}
