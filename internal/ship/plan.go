package ship

import (
	"time"

	"example.org/headwatch/internal/cargo"
	"example.org/headwatch/internal/hydraulics"
)

// Plan is what plan.yaml says: one discharge as agreed ashore, and its cargo.
// A figure that it leaves out is NaN.
type Plan struct {
	Fictional           bool
	Voyage, Port, Berth string
	Zone                *time.Location // a fixed offset, named as written: "+01:00"
	Parcels             []Parcel       // in the order of the file, at least one
	ReadingsEvery       time.Duration
	Clause              *Clause // nil when there is none

	Missing []string // what is switched off for want of a part, a sentence each
	Notes   []string // what was taken for granted or looks odd, a sentence each
}

// Parcel is one grade of cargo with its own pumps, tanks and limits. Names of
// pumps, manifolds and tanks are spelled as in the ship file.
type Parcel struct {
	Name, Grade string

	// Liquid is at tank temperature. Its half widths are our own rule. Density:
	// 0.5 % when planned from 15 °C; when observed, half a step of the last
	// digit typed, at least 0.1 %. Vapour pressure: 6 % when from RVP (as far
	// as formula and table of its source differ), half a step when typed.
	Liquid          hydraulics.Liquid
	ObservedDensity bool    // typed in as observed, not planned
	Density15       float64 // kg/m³ at 15 °C, NaN when observed
	Group           cargo.Group
	GroupKnown      bool    // the file names the group
	Temperature     float64 // K
	Viscosity       float64 // m²/s

	Pumps, Manifolds, Tanks []string
	Quantity                float64 // observed volume, m³
	StrippingRemainder      float64 // observed volume, m³
	Limits                  Limits
	Shore                   Shore
	UllagePressure          float64 // of the inert gas, Pa
	Basis                   string  // of the shore's figures: "m3 observed", "m3 at 15" or "t in air"
}

// Limits is what was agreed with the shore.
type Limits struct {
	Manifold  float64 // pressure at the manifold gauge, Pa
	Rate      float64 // m³/s
	FirstRate float64 // until the shore confirms, m³/s
}

// Shore is the line that the ship pumps into, seen from the manifold gauge.
type Shore struct {
	Static     float64 // m
	Loss       float64 // K, s²/m⁵: head is static + K Q²
	LevelRise  float64 // of the shore tank, m/s
	TimeToStop float64 // s, from the call on
	LineLength float64 // of the line to the shore tank, m
	LineBore   float64 // its inner diameter, m
	Closing    float64 // in which the shore's valve shuts, s
	Booster    float64 // head that the shore's booster pump adds, NaN when there is none
}

// Clause is the promise on pumping in the charter: all cargo within a time or
// a pressure kept at the manifold.
type Clause struct {
	Time      float64 // s
	Pressure  float64 // Pa
	FirstLine string  // the way of averaging that is printed first
}
