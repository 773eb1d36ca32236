package heat

import (
	"math"

	"example.org/headwatch/internal/hydraulics"
)

// SpecificHeat is that of oils at cargo temperatures, J/(kg K); crude and most
// products lie within a tenth of it (from memory).
const SpecificHeat = 2000.0

// textbookShare is the power at no flow as a share of rated power, for a
// centrifugal pump of middling specific speed.
//
// Source: a worked figure called typical in the text of a Pump Handbook, as seen
// on a public page.
const textbookShare = 0.44

// ShutOff is the power that a pump takes against its shut discharge valve.
type ShutOff struct {
	Power float64 // W; NaN when it can't be had
	// Textbook: the curves give no efficiency that rises from 0, so that it is
	// 44 % of the drive's rated power × (N/N0)³. It must be shown as such.
	Textbook bool
}

// ShutOffPower returns the power at a speed in rpm and a density in kg/m³ that
// a pump takes at no flow, the limit along its curves of
//
//	P = ρ g Q H / η   as Q → 0
//
// or else, marked as Textbook, 0.44 P_rated (N/N0)³, where P_rated is the
// drive's rating and no less than the pump takes: on the safe side. From a
// curve printed at a dozen points the limit comes out a few per cent high.
//
// Source: ISO 9906:2012, pump power input, at no flow; similarity laws.
func ShutOffPower(p *hydraulics.Pump, speed, density float64) ShutOff {
	if work, ok := p.Curves.At(speed).ShutOffWork(); ok {
		return ShutOff{Power: density * hydraulics.Gravity * work}
	}
	return ShutOff{Power: textbookShare * p.RatedPower * math.Pow(speed/p.Rated.Speed, 3), Textbook: true}
}

// Capacity returns the heat capacity in J/K of a liquid of a density in kg/m³
// and a specific heat in J/(kg K) that fills a volume in m³: C = ρ V c. The
// metal of a casing takes up heat too; leaving it out errs on the safe side.
func Capacity(density, volume, specificHeat float64) float64 { return density * volume * specificHeat }

// Rate returns how fast what is trapped behind a shut valve gets warmer, in K/s,
//
//	dT/dt = P / C
//
// power P in W that all stays in the liquid, heat capacity C in J/K.
//
// Source: first law; the form in Karassik et al., Pump Handbook.
func Rate(power, capacity float64) float64 { return power / capacity }

// SecondsTo returns how long a rise in K takes at a rate in K/s. It is NaN
// where nothing gets warmer, or where the limit is not given (NaN).
func SecondsTo(rise, rate float64) float64 {
	if !(rate > 0) {
		return math.NaN()
	}
	return rise / rate
}

// SecondsToLimit returns how long a pump may turn against its shut valve at a
// speed in rpm, on a liquid of a density in kg/m³ and a specific heat in J/(kg K),
// until its ClosedValve.Heat is reached from cold, and the power that says so.
// The seconds are NaN where casing volume, heat limit or power is not known.
// The maker's own limit in seconds holds beside it.
func SecondsToLimit(p *hydraulics.Pump, speed, density, specificHeat float64) (float64, ShutOff) {
	shut := ShutOffPower(p, speed, density)
	rate := Rate(shut.Power, Capacity(density, p.ClosedValve.Volume, specificHeat))
	return SecondsTo(p.ClosedValve.Heat, rate), shut
}

// PerPass returns by how much a liquid gets warmer on its way through a pump,
// in K,
//
//	ΔT = g H (1/η − 1) / c
//
// head H in m, efficiency η as a fraction above 0, specific heat c in J/(kg K).
// The small warmth of its compression is left out.
//
// Source: first law; the form in Karassik et al., Pump Handbook.
func PerPass(head, efficiency, specificHeat float64) float64 {
	return hydraulics.Gravity * head * (1/efficiency - 1) / specificHeat
}

// LeastFlow returns the flow in m³/s that carries the power in W of a pump near
// no flow off with a rise in K,
//
//	Q = P / (ρ c ΔT)
//
// density ρ in kg/m³, specific heat c in J/(kg K). A maker's minimum flow is
// usually far more: it is about vibration, not heat.
//
// Source: first law; as the rule gpm = BHP/(2.95 c SG) for 15 °F.
func LeastFlow(power, density, specificHeat, rise float64) float64 {
	return power / (density * specificHeat * rise)
}
