package hydraulics

import "example.org/headwatch/internal/curves"

// Gravity is the standard acceleration of free fall, m/s² (ISO 80000-3).
const Gravity = 9.80665

// Atmosphere is the standard atmosphere, Pa (ISO 2533), the reference of
// gauge pressures where no barometer is kept.
const Atmosphere = 101325.0

// Gauge is one pressure gauge: where it sits and how far it may be wrong.
type Gauge struct {
	Height   float64 // of the gauge above the keel, m
	Bore     float64 // inner diameter of the pipe it taps, m
	Lo, Hi   float64 // ends of the scale, Pa, as the gauge reads
	Class    float64 // EN 837-1 limit as a fraction of the span: 0.016 for class 1.6
	Zero     float64 // what it shows at true zero, Pa; subtracted from a reading
	Absolute bool    // it reads from vacuum, not from atmosphere
}

// Duty is a point of operation.
type Duty struct {
	Speed float64 // rpm
	Flow  float64 // m³/s
	Head  float64 // m
}

// Valve is how a discharge valve throttles. The zero value stands for a valve
// that the ship says nothing about: see Pump.ThrottleLoss.
type Valve struct {
	Loss         float64 // K of the valve fully open, s²/m⁵; 0 or NaN when not given
	Rangeability float64 // its flow coefficient fully open over that just open; 0 or NaN when not given
}

// ClosedValve holds the maker's limits for running against a shut valve.
type ClosedValve struct {
	Seconds float64 // s
	Heat    float64 // rise of the trapped liquid, K; NaN when not given
	Volume  float64 // of the casing, m³; NaN when not given
}

// Pump is one pump as its maker and its ship describe it.
type Pump struct {
	Name               string
	Curves             *curves.Family
	HeadTolerance      float64 // acceptance grade's head tolerance, half width, fraction of head
	ReadError          float64 // how well the points were read off the sheet, half width, fraction of head
	Suction, Discharge Gauge
	Tachometer         float64 // half width, fraction of the reading
	Rated              Duty
	MinSpeed, MaxSpeed float64 // rpm
	MinFlow            float64 // at rated speed, m³/s; scales with speed
	NominalFlow        float64 // m³/s, the same at every speed
	Centre             float64 // impeller centre line above keel, m; NaN when not given
	SuctionLoss        float64 // K of tank to suction gauge, s²/m⁵: loss = K Q²
	RiserLoss          float64 // K of discharge gauge to manifold gauge, s²/m⁵
	Valve              Valve   // the discharge valve
	ClosedValve        ClosedValve
	RatedPower         float64 // of the drive, W; NaN when not given
}

// Liquid is the cargo as the pump feels it.
type Liquid struct {
	Density          float64 // at tank temperature, kg/m³
	DensityHalfWidth float64 // half width of what it may be wrong by, kg/m³
	VapourPressure   float64 // true vapour pressure, Pa absolute; NaN when not known
	VapourHalfWidth  float64 // half width of what it may be wrong by, Pa
}

// Reading is what was read off one running pump.
type Reading struct {
	Speed              float64 // rpm
	Suction, Discharge float64 // as the gauges show it, Pa
	// Half widths of the reading itself: half the last digit, or as typed.
	SpeedHalf, SuctionHalf, DischargeHalf float64
}
