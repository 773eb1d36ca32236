package units

import "fmt"

// Dimension is a kind of quantity. The zero Dimension is none and has no units.
type Dimension uint8

// The kinds of quantity, each with its unit inside the program.
const (
	Pressure              Dimension = iota + 1 // Pa, relative to atmosphere unless said otherwise
	Length                                     // m
	Flow                                       // m³/s
	MassFlow                                   // kg/s
	Density                                    // kg/m³
	Speed                                      // rpm
	Temperature                                // K
	TemperatureDifference                      // K
	Power                                      // W
	Duration                                   // s
	Ratio                                      // 1
	Viscosity                                  // kinematic, m²/s
	Volume                                     // m³
	LengthRate                                 // m/s
	Angle                                      // rad
)

var dimensionNames = [...]string{
	Pressure: "pressure", Length: "length", Flow: "flow", MassFlow: "mass flow",
	Density: "density", Speed: "speed", Temperature: "temperature",
	TemperatureDifference: "temperature difference", Power: "power", Duration: "time span",
	Ratio: "ratio", Viscosity: "viscosity", Volume: "volume", LengthRate: "length rate",
	Angle: "angle",
}

// String returns the name that errors call the dimension by, such as "pressure".
func (d Dimension) String() string {
	if d == 0 || int(d) >= len(dimensionNames) {
		return fmt.Sprintf("dimension %d", uint8(d))
	}
	return dimensionNames[d]
}
