package ship

import (
	"example.org/headwatch/internal/cargo"
	"example.org/headwatch/internal/hydraulics"
)

// Ship is what ship.yaml says. A figure that it leaves out is NaN.
type Ship struct {
	Name          string
	Fictional     bool
	Length        float64 // between perpendiculars, m
	Units         Gauging
	Pumps         []Pump     // in the order of the file, as are the others
	Manifolds     []Manifold // at least one
	BringOnLine   BringOnLine
	Tanks         []Tank
	PumpRoomAlong float64 // middle of the pump room from the aft perpendicular, m

	Missing []string // what is switched off for want of a part, a sentence each
	Notes   []string // what was taken for granted or looks odd, a sentence each
}

// Gauging is the units that keyed figures are in when none is typed.
type Gauging struct {
	Pressure, Flow, Length, Temperature, Speed string
}

// Pump is one cargo pump with its drive, as the ship describes it. A loss that
// the file leaves out is NaN; ClosedValve.Seconds is then 30 s.
type Pump struct {
	hydraulics.Pump
	SuctionUnit, DischargeUnit string // what its gauges read
	Drive                      Drive
}

// Drive is what turns a pump. Its rated power is RatedPower of the pump.
type Drive struct {
	Kind   string  // one of steam turbine, electric motor, diesel engine, hydraulic motor; "" when not given
	NoLoad float64 // share of full steam or fuel that it takes at no load, a fraction
}

// Manifold is one shore connection and its gauge.
type Manifold struct {
	Name         string
	Height, Bore float64 // of the gauge above keel and of the pipe there, m
	Arms         int     // that share the rate; 0 when not given
	Gauge        hydraulics.Gauge
	Unit         string // what the gauge reads
}

// BringOnLine is the ship's own figures for starting a pump and joining it to
// the others; all NaN when not given.
type BringOnLine struct {
	OpenAtHead  float64 // of the first pump, m
	Margin      float64 // over the head of the running line, for the next pumps, m
	Crack       float64 // first opening of the discharge valve, fraction
	JoinAtSpeed float64 // rpm
	FullIn      float64 // shortest time to full speed, s
	AlikeWithin float64 // how much the pumps may differ, fraction
}

// Tank is one cargo tank.
type Tank struct {
	Name      string
	Table     string       // path of its ullage table beside ship.yaml; "" when not given
	Volumes   *cargo.Table // nil when there is no table or when tables were not read
	Reference float64      // height of the ullage point above keel, m
	Along     float64      // middle of the tank from the aft perpendicular, m
	Pump      string       // the usual line-up; "" when not given
}
