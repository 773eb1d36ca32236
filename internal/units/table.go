package units

import "math"

// unit is one row of the table: SI = (value + shift) · num / den. Two factors
// rather than one, so that 57 % is 57/100 and not 57 times a rounded 0.01.
type unit struct {
	name     string // the one spelling that is printed
	num, den float64
	shift    float64
	aliases  []string // other spellings that people type
}

// Constants that the factors are made of. All are exact by definition except
// mercury, which is the conventional density of that name.
const (
	gravity = 9.80665                         // m/s²
	pound   = 0.45359237                      // kg
	foot    = 0.3048                          // m
	inch    = 0.0254                          // m
	barrel  = 42 * gallon                     // m³
	gallon  = 231 * inch * inch * inch        // US liquid gallon, m³
	water   = 1000                            // conventional water, kg/m³
	mercury = 13595.1                         // conventional mercury, kg/m³
	horse   = 550 * foot * pound * gravity    // W
	pferd   = 75 * gravity                    // metric horsepower, W
	psi     = pound * gravity / (inch * inch) // Pa
)

// table holds the units of each dimension, the usual ones first.
//
// Source of the factors: Thompson and Taylor, Guide for the Use of the
// International System of Units, NIST Special Publication 811 (2008),
// Appendix B, doi:10.6028/NIST.SP.811e2008, written out in the definitions it
// gives. Relative density is against water of 1000 kg/m³ (the "15/4" of cargo
// papers: common practice, no source), not against water at 60 °F.
var table = [...][]unit{
	Pressure: {
		{"bar", 1e5, 1, 0, []string{"Bar", "BAR", "barg", "bars"}},
		{"kgf/cm2", gravity * 1e4, 1, 0, []string{"kgf/cm²", "kg/cm2", "kg/cm²", "kgf/cm^2", "kg/cm^2"}},
		{"kPa", 1e3, 1, 0, []string{"KPa", "kpa"}},
		{"MPa", 1e6, 1, 0, nil},
		{"psi", psi, 1, 0, []string{"PSI", "Psi", "psig", "lbf/in2", "lbf/in²"}},
		{"mbar", 100, 1, 0, []string{"hPa"}},
		{"Pa", 1, 1, 0, nil},
		{"mmWG", water * gravity, 1000, 0, []string{"mmH2O", "mmH₂O", "mmwg", "mmWg", "mm WG", "mm H2O"}},
		{"mWG", water * gravity, 1, 0, []string{"mH2O", "mH₂O", "mwg", "mWg", "mwc"}},
		{"inWG", water * gravity * inch, 1, 0, []string{"inH2O", "inH₂O", "inwg", "inWg"}},
		{"ftWG", water * gravity * foot, 1, 0, []string{"ftH2O", "ftH₂O", "ftwg", "ftWg"}},
		{"mmHg", mercury * gravity, 1000, 0, []string{"mmhg", "mm Hg"}},
		{"cmHg", mercury * gravity, 100, 0, []string{"cmhg", "cm Hg"}},
		{"inHg", mercury * gravity * inch, 1, 0, []string{"inhg", "in Hg"}},
		{"atm", 101325, 1, 0, nil},
	},
	Length: {
		{"m", 1, 1, 0, []string{"metre", "metres", "meter", "meters"}},
		{"mm", 1, 1000, 0, nil},
		{"cm", 1, 100, 0, nil},
		{"km", 1000, 1, 0, nil},
		{"ft", foot, 1, 0, []string{"foot", "feet"}},
		{"in", inch, 1, 0, []string{"inch", "inches"}},
	},
	Flow: {
		{"m3/h", 1, 3600, 0, []string{"m³/h", "m^3/h", "m3/hr", "m³/hr", "cbm/h", "cbm/hr"}},
		{"m3/s", 1, 1, 0, []string{"m³/s", "m^3/s"}},
		{"m3/min", 1, 60, 0, []string{"m³/min", "m^3/min"}},
		{"l/min", 1, 60e3, 0, []string{"L/min", "lpm"}},
		{"l/s", 1, 1e3, 0, []string{"L/s"}},
		{"bbl/h", barrel, 3600, 0, []string{"bbl/hr", "bbls/h", "bbls/hr", "bph", "BPH"}},
		{"USgpm", gallon, 60, 0, []string{"US gpm", "USgal/min"}},
	},
	MassFlow: {
		{"t/h", 1000, 3600, 0, []string{"t/hr", "mt/h", "MT/h", "mt/hr", "MT/hr"}},
		{"kg/s", 1, 1, 0, nil},
		{"kg/h", 1, 3600, 0, []string{"kg/hr"}},
	},
	Density: {
		{"kg/m3", 1, 1, 0, []string{"kg/m³", "kg/m^3"}},
		{"g/cm3", 1000, 1, 0, []string{"g/cm³", "g/cm^3", "g/cc", "g/ml", "g/mL"}},
		{"kg/l", 1000, 1, 0, []string{"kg/L", "kg/dm3", "kg/dm³"}},
		{"t/m3", 1000, 1, 0, []string{"t/m³", "t/m^3"}},
		{"rel", water, 1, 0, []string{"relative", "rel."}},
		{"lb/ft3", pound / (foot * foot * foot), 1, 0, []string{"lb/ft³", "lb/ft^3"}},
		{"lb/USgal", pound / gallon, 1, 0, []string{"lb/US gal"}},
	},
	Speed: {
		{"rpm", 1, 1, 0, []string{"r/min", "RPM", "Rpm", "1/min", "min-1", "rev/min"}},
	},
	Temperature: {
		{"degC", 1, 1, 273.15, []string{"°C", "C", "deg C", "° C", "º C", "ºC", "degc"}},
		{"degF", 5, 9, 459.67, []string{"°F", "F", "deg F", "° F", "º F", "ºF", "degf"}},
		{"K", 1, 1, 0, []string{"kelvin"}},
	},
	TemperatureDifference: {
		{"K", 1, 1, 0, []string{"kelvin"}},
		{"degC", 1, 1, 0, []string{"°C", "C", "deg C", "° C", "º C", "ºC", "degc"}},
		{"degF", 5, 9, 0, []string{"°F", "F", "deg F", "° F", "º F", "ºF", "degf"}},
	},
	Power: {
		{"kW", 1e3, 1, 0, []string{"kw", "KW"}},
		{"W", 1, 1, 0, nil},
		{"MW", 1e6, 1, 0, nil},
		{"hp", horse, 1, 0, []string{"HP", "Hp", "bhp", "BHP"}},
		{"PS", pferd, 1, 0, []string{"ps", "cv", "CV"}},
	},
	Duration: {
		{"s", 1, 1, 0, []string{"sec", "secs", "second", "seconds"}},
		{"min", 60, 1, 0, []string{"mins", "minute", "minutes"}},
		{"h", 3600, 1, 0, []string{"hr", "hrs", "hour", "hours"}},
	},
	Ratio: {
		{"%", 1, 100, 0, []string{"percent", "pct"}},
		{"1", 1, 1, 0, nil},
	},
	Viscosity: {
		{"cSt", 1, 1e6, 0, []string{"cst"}},
		{"mm2/s", 1, 1e6, 0, []string{"mm²/s", "mm^2/s"}},
		{"m2/s", 1, 1, 0, []string{"m²/s", "m^2/s"}},
	},
	Volume: {
		{"m3", 1, 1, 0, []string{"m³", "m^3", "cbm"}},
		{"l", 1, 1000, 0, []string{"L", "litre", "litres", "liter", "liters"}},
		{"bbl", barrel, 1, 0, []string{"bbls", "BBL", "BBLS"}},
		{"USgal", gallon, 1, 0, []string{"US gal"}},
	},
	LengthRate: {
		{"m/h", 1, 3600, 0, []string{"m/hr"}},
		{"m/s", 1, 1, 0, nil},
	},
	Angle: {
		{"deg", math.Pi, 180, 0, []string{"°", "º", "degree", "degrees"}},
		{"rad", 1, 1, 0, nil},
	},
}
