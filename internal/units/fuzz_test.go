package units

import (
	"math"
	"testing"
)

// seeds are what the fuzzers start from.
var seeds = []string{
	"8.5 bar", "8,5", ".6", "9.1psi", "9.1±0.2", "9.1+-0.2 kgf/cm2", "-1..5 bar", "0...5 bar",
	"4.5 m at 2500 m3/h", "4.5 m at 0 m3/h", "858 t/h", "34 °C", "-300 degC", "1,234.5", "1_000 Pa",
	"0 Pa", "-0 bar", "1e308 bar", "1e400", "1e-99999999999999999999", "0x1p4 bar", "NaN Pa", "Inf",
	"bar", "", " ", "\xff", "1\u00a0300 rpm", "5e", "5e+", "+-", "±",
}

func FuzzParse(f *testing.F) {
	for _, s := range seeds {
		for _, d := range []Dimension{Pressure, Temperature, Flow} {
			f.Add(uint8(d), s)
		}
	}
	f.Fuzz(func(t *testing.T, d uint8, s string) {
		checkFinite := func(what string, err error, figures ...float64) {
			for _, v := range figures {
				if !finite(v) || v == 0 && math.Signbit(v) || err != nil && v != 0 {
					t.Fatalf("%s of %v %q: %g (%v)", what, Dimension(d), s, v, err)
				}
			}
		}
		v, err := ParseNumber(s)
		checkFinite("ParseNumber", err, v)
		strict, err := Parse(Dimension(d), s)
		checkFinite("Parse", err, strict)
		k, keyedErr := ParseKeyed(Dimension(d), s, "bar")
		checkFinite("ParseKeyed", keyedErr, k.SI, k.Half)
		if err == nil && (keyedErr != nil || k.SI != strict) {
			t.Fatalf("%q: parsed %g, keyed %g (%v)", s, strict, k.SI, keyedErr)
		}
		r, err := ParseRange(Dimension(d), s)
		checkFinite("ParseRange", err, r.Lo, r.Hi)
		loss, err := ParseLoss(s)
		checkFinite("ParseLoss", err, loss)
		flow, err := ParseFlow(s, 858)
		checkFinite("ParseFlow", err, flow)
		pressure, err := ParsePressure(s, 858)
		checkFinite("ParsePressure", err, pressure)
	})
}

func FuzzFormat(f *testing.F) {
	f.Add(uint8(Pressure), 8.5e5, 2)
	f.Add(uint8(Temperature), math.Copysign(0, -1), -1)
	f.Add(uint8(Volume), 1e300, 400)
	f.Add(uint8(0), math.Inf(1), -9)
	f.Fuzz(func(t *testing.T, d uint8, si float64, decimals int) {
		decimals = max(-2, min(decimals, 400))
		for _, unit := range append(Units(Dimension(d)), "furlong") {
			if text := Format(Dimension(d), si, unit, decimals); text != Absent {
				if _, err := ParseKeyed(Dimension(d), text, ""); err != nil && Dimension(d) != Temperature {
					t.Fatalf("%g %s printed as %q: %v", si, unit, text, err)
				}
			}
		}
	})
}
