package drive

import "math"

// Kind is what turns a pump, as a ship file names it.
type Kind string

// The kinds of drive.
const (
	SteamTurbine   Kind = "steam turbine"
	ElectricMotor  Kind = "electric motor"
	DieselEngine   Kind = "diesel engine"
	HydraulicMotor Kind = "hydraulic motor"
)

// noLoad is what a kind usually takes at no load, as a share of full load. The
// steam turbine's 15 to 25 % is from memory; the others are our own judgement,
// no source: an engine's friction, a power pack's idle circulation, and next to
// nothing for a motor.
var noLoad = map[Kind]float64{SteamTurbine: 0.20, ElectricMotor: 0.03, DieselEngine: 0.10, HydraulicMotor: 0.15}

// Drive is one pump's drive.
type Drive struct {
	Kind   Kind
	Rated  float64 // power at full load, W
	NoLoad float64 // what it takes at no load as a share of full load; NaN: UsualNoLoad of its kind
}

// UsualNoLoad returns the no-load share that is taken where a ship gives none,
// NaN for a kind that is not known. It must be shown as a guess.
func UsualNoLoad(k Kind) float64 {
	if share, ok := noLoad[k]; ok {
		return share
	}
	return math.NaN()
}

// FullLoads returns the steam, fuel or current that a running drive takes at a
// power in W, in full loads of its own,
//
//	m = s + (1 − s) P/P_rated
//
// with s its no-load share: a straight line from s at no load to 1 at full load
// (Willans). A drive at rest takes none: leave it out of a sum. It is NaN where
// rating, power or no-load share is not known. Under throttle governing a pump
// turbine's line may bend: compare within one ship and near one load.
//
// Source: Willans line, as in texts on steam turbines; no-load shares as above.
func (d Drive) FullLoads(power float64) float64 {
	share := d.NoLoad
	if math.IsNaN(share) {
		share = UsualNoLoad(d.Kind)
	}
	return share + (1-share)*power/d.Rated
}

// Input returns the power in W that an electric motor or a hydraulic drive
// draws for a shaft power in W,
//
//	P_in = P / (η1 η2 …)
//
// efficiencies of motor, gear or hydraulic system as fractions above 0.
//
// Source: definition of efficiency; ISO 9906:2012, driver power input.
func Input(shaft float64, efficiencies ...float64) float64 {
	for _, e := range efficiencies {
		shaft /= e
	}
	return shaft
}

// Use is a way of running a plant of like drives: the full loads they take
// together and the flow they deliver in m³/s.
type Use struct{ FullLoads, Flow float64 }

// PerVolume returns the full loads for each m³ delivered, full loads · s/m³; NaN
// when nothing is delivered.
func (u Use) PerVolume() float64 {
	if !(u.Flow > 0) {
		return math.NaN()
	}
	return u.FullLoads / u.Flow
}

// Saving returns what another way of running takes less for each m³ than now,
// as a share of now; negative when it takes more. Both must be of the same
// kind and rating of drive: a full load of one is not that of another.
func Saving(now, other Use) float64 { return 1 - other.PerVolume()/now.PerVolume() }
