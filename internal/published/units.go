package published

// Exact definitions that the factors are made of.
const (
	gravity = 9.80665                         // m/s²
	pound   = 0.45359237                      // kg
	foot    = 0.3048                          // m
	inch    = 0.0254                          // m
	gallon  = 231 * inch * inch * inch        // US liquid gallon, m³
	psi     = pound * gravity / (inch * inch) // Pa
	mercury = 13595.1 * gravity               // conventional mercury, Pa a metre
	horse   = 550 * foot * pound * gravity    // W
	btu     = 1055.05585262                   // International Table, J
	ft3     = foot * foot * foot              // m³
	degreeF = 5.0 / 9                         // K
	minute  = 60.0                            // s
	hour    = 3600.0                          // s
)

// factors turn a figure whose key ends in "_" and the unit into SI. Speed stays
// in revolutions per minute, as everywhere in the program.
//
// Source: Thompson and Taylor, NIST Special Publication 811 (2008), Appendix B,
// doi:10.6028/NIST.SP.811e2008.
var factors = map[string]float64{
	"Pa": 1, "kPa": 1e3, "MPa": 1e6, "GPa": 1e9, "bar": 1e5, "psi": psi, "kgf_per_cm2": gravity * 1e4,
	"mmH2O": gravity, "mmHg": mercury / 1000, "cmHg": mercury / 100, "inHg": mercury * inch,
	"m": 1, "cm": 0.01, "mm": 0.001, "ft": foot, "in": inch,
	"m3": 1, "m3_per_h": 1 / hour, "m3_per_s": 1, "L_per_s": 1e-3, "L_per_min": 1e-3 / minute,
	"US_gpm": gallon / minute, "USgpm": gallon / minute, "USgal_per_h": gallon / hour, "ft3_per_s": ft3,
	"kg": 1, "t": 1000, "lb": pound, "lb_per_h": pound / hour, "kg_per_m3": 1, "lb_per_ft3": pound / ft3,
	"W": 1, "kW": 1e3, "hp": horse, "kJ_per_h": 1e3 / hour, "N_m": 1, "rpm": 1,
	"m_per_s": 1, "ft_per_s": foot, "s": 1, "min": minute, "h": hour, "cSt": 1e-6, "m_per_m3s2": 1,
	"K": 1, "dK": 1, "F": degreeF, "dF": degreeF,
	"K_per_min": 1 / minute, "dK_per_min": 1 / minute, "F_per_min": degreeF / minute,
	"kJ_per_kgK": 1e3, "kJ_per_kg_K": 1e3,
	"btu_per_lbF": btu / pound / degreeF, "Btu_per_lb_degF": btu / pound / degreeF,
	"degC": 1, "degF": degreeF, "percent": 0.01, "pct": 0.01, "ratio": 1, "class": 0.01,
}

// shifts are added to a temperature before the factor.
var shifts = map[string]float64{"degC": 273.15, "degF": 459.67}

// split takes a key such as "suction_gauge_inHg" apart. A key that ends in no
// unit is a plain number: all of it is its name.
func split(key string) (name, unit string) {
	for i := range key {
		if key[i] == '_' && i > 0 {
			if _, ok := factors[key[i+1:]]; ok { // the first that fits is the longest
				return key[:i], key[i+1:]
			}
		}
	}
	return key, ""
}

// si returns v of a unit in SI; a plain number is as it is.
func si(v float64, unit string) float64 {
	if unit == "" {
		return v
	}
	return (v + shifts[unit]) * factors[unit]
}

// from returns an SI value in a unit: the inverse of si.
func from(v float64, unit string) float64 {
	if unit == "" {
		return v
	}
	return v/factors[unit] - shifts[unit]
}

// names reports whether a key is called by name, with its unit or without.
func names(key, name string) bool {
	stem, _ := split(key)
	return key == name || stem == name
}
