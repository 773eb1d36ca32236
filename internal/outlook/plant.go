package outlook

import (
	"fmt"
	"math"
	"strings"

	"example.org/headwatch/internal/hydraulics"
	"example.org/headwatch/internal/ship"
)

// Plant is the pumps of one parcel against its line. It holds room to compute
// in, so that it is not for concurrent use; New is cheap, Clone cheaper.
type Plant struct {
	Pumps  []*ship.Pump
	Liquid hydraulics.Liquid
	Line   hydraulics.Line
	Limits ship.Limits
	Shore  ship.Shore
	Words  []string // what should be known of the curves, a sentence each

	manifold *ship.Manifold
	branches []hydraulics.Branch
	flows    []hydraulics.BranchFlow
}

// Setting is what an officer sets on one pump, and the level it draws from.
type Setting struct {
	Level   float64 // surface in its tank above keel, m; NaN will do for a stopped pump
	Speed   float64 // rpm; 0 is stopped
	Opening float64 // of the discharge valve, 0 shut to 1 open
	Offline bool    // turning, not on the line yet
}

// New returns the plant of a parcel. A second manifold of the parcel is taken
// to be at the pressure of the first.
func New(s *ship.Ship, p *ship.Parcel) (*Plant, error) {
	plant := &Plant{Liquid: p.Liquid, Limits: p.Limits, Shore: p.Shore}
	plant.Pumps, plant.Words = s.ForCargo(p)
	if len(plant.Pumps) != len(p.Pumps) {
		return nil, fmt.Errorf("parcel %s: not all of its pumps %s are on the ship", p.Name, strings.Join(p.Pumps, ", "))
	}
	for _, pump := range plant.Pumps {
		if math.IsNaN(pump.SuctionLoss) || math.IsNaN(pump.RiserLoss) {
			return nil, fmt.Errorf("%s: no suction and riser loss in the ship file, so nothing can be said of other speeds", pump.Name)
		}
	}
	for _, name := range p.Manifolds {
		if m, ok := s.FindManifold(name); ok && plant.manifold == nil {
			plant.manifold = m
		}
	}
	if plant.manifold == nil {
		return nil, fmt.Errorf("parcel %s: none of its manifolds %s is on the ship", p.Name, strings.Join(p.Manifolds, ", "))
	}
	if math.IsNaN(p.Shore.Static) || math.IsNaN(p.Shore.Loss) {
		return nil, fmt.Errorf("parcel %s: no shore static and loss in the plan, so nothing can be said of other speeds", p.Name)
	}
	plant.Line = hydraulics.Line{
		Static: p.Shore.Static, Loss: p.Shore.Loss,
		ManifoldHeight: plant.manifold.Height, ManifoldBore: plant.manifold.Bore, Arms: plant.manifold.Arms,
		UllagePressure: zeroFor(p.UllagePressure), Density: p.Liquid.Density,
	}
	return plant.withRoom(), nil
}

// zeroFor reads a figure that is not given as 0.
func zeroFor(v float64) float64 {
	if math.IsNaN(v) {
		return 0
	}
	return v
}

func (p *Plant) withRoom() *Plant {
	p.branches = make([]hydraulics.Branch, len(p.Pumps))
	p.flows = make([]hydraulics.BranchFlow, len(p.Pumps))
	return p
}

// Clone returns a plant that may be used beside p.
func (p *Plant) Clone() *Plant {
	q := *p
	return q.withRoom()
}

// SetDensity changes the cargo's density in kg/m³, keeping the share by which
// it may be wrong.
func (p *Plant) SetDensity(density float64) {
	p.Liquid.DensityHalfWidth *= density / p.Liquid.Density
	p.Liquid.Density, p.Line.Density = density, density
}

// Manifold returns the name of the manifold whose gauge is forecast.
func (p *Plant) Manifold() string { return p.manifold.Name }
