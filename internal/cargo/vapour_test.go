package cargo_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"example.org/headwatch/internal/cargo"
)

const psi = 0.45359237 * 9.80665 / (0.0254 * 0.0254) // Pa, NIST SP 811 (2008) app. B

func fahrenheit(f float64) float64 { return (f + 459.67) / 1.8 }

func TestTrueVapourPressureRange(t *testing.T) {
	const source = "AP-42 section 7.1, title of figure 7.1-13 (RVP); temperatures from memory"
	tests := []struct {
		name     string
		rvp, f   float64 // psi, °F
		want     error
		hasValue bool
		source   string
	}{
		{"weakest", 2, 60, nil, true, source},
		{"weaker", 2 - 1e-6, 60, cargo.ErrOutside, true, source},
		{"strongest", 15, 60, nil, true, source},
		{"stronger", 15 + 1e-6, 60, cargo.ErrOutside, true, source},
		{"coldest", 5, 0, nil, true, source},
		{"colder", 5, -1e-6, cargo.ErrOutside, true, source},
		{"hottest", 5, 140, nil, true, source},
		{"hotter", 5, 140 + 1e-6, cargo.ErrOutside, true, source},
		{"no RVP", math.NaN(), 60, cargo.ErrInput, false, "own rule"},
		{"nothing", 0, 60, cargo.ErrInput, false, "own rule"},
		{"negative", -5, 60, cargo.ErrInput, false, "own rule"},
		{"infinite", math.Inf(1), 60, cargo.ErrInput, false, "own rule"},
		{"overflows", 1e300, 60, cargo.ErrInput, false, "own rule"},
		{"no temperature", 5, math.NaN(), cargo.ErrInput, false, "own rule"},
		{"below absolute zero", 5, -500, cargo.ErrInput, false, "own rule"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := cargo.TrueVapourPressure(tt.rvp*psi, fahrenheit(tt.f))
			if !errors.Is(err, tt.want) || math.IsNaN(got) == tt.hasValue || math.IsInf(got, 0) {
				t.Errorf("got %g, %v, want error %v, a value: %v (%s)", got, err, tt.want, tt.hasValue, tt.source)
			}
		})
	}
}

// A warmer crude and a livelier one press harder.
func TestTrueVapourPressureRises(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rvp := rapid.Float64Range(2, 14.9).Draw(t, "rvp")
		f := rapid.Float64Range(0, 139).Draw(t, "f")
		p, err := cargo.TrueVapourPressure(rvp*psi, fahrenheit(f))
		warmer, errW := cargo.TrueVapourPressure(rvp*psi, fahrenheit(f+1))
		livelier, errL := cargo.TrueVapourPressure((rvp+0.1)*psi, fahrenheit(f))
		if errors.Join(err, errW, errL) != nil || !(warmer > p) || !(livelier > p) {
			t.Fatalf("%g Pa; %g warmer, %g livelier: %v", p, warmer, livelier, errors.Join(err, errW, errL))
		}
	})
}

func ExampleTrueVapourPressure() {
	p, err := cargo.TrueVapourPressure(5*6894.757, (60+459.67)/1.8) // RVP 5 psi at 60 °F
	fmt.Printf("%.2f kPa %v\n", p/1e3, err)
	p, err = cargo.TrueVapourPressure(10e3, 20+273.15)
	fmt.Printf("%.1f kPa, but %v\n", p/1e3, err)
	// Output:
	// 19.84 kPa <nil>
	// 4.4 kPa, but vapour pressure from RVP 10.0 kPa: the formula is drawn for 13.8 to 103.4 kPa: outside the range
}

func TestRefinedVapourPressureRange(t *testing.T) {
	const source = "AP-42 section 7.1, figure 7.1-14, from memory"
	tests := []struct {
		name          string
		rvp, slope, f float64 // psi, °F a %, °F
		want          error
		hasValue      bool
		source        string
	}{
		{"weakest", 1, 3, 60, nil, true, source},
		{"weaker", 1 - 1e-6, 3, 60, cargo.ErrOutside, true, source},
		{"strongest", 20, 3, 60, nil, true, source},
		{"stronger", 20 + 1e-6, 3, 60, cargo.ErrOutside, true, source},
		{"hotter", 10, 3, 140 + 1e-6, cargo.ErrOutside, true, source},
		{"no slope", 10, 0, 60, cargo.ErrInput, false, "own rule"},
		{"no number", 10, math.NaN(), 60, cargo.ErrInput, false, "own rule"},
		{"no RVP", math.NaN(), 3, 60, cargo.ErrInput, false, "own rule"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := cargo.RefinedVapourPressure(tt.rvp*psi, tt.slope, fahrenheit(tt.f))
			if !errors.Is(err, tt.want) || math.IsNaN(got) == tt.hasValue {
				t.Errorf("got %g, %v, want error %v, a value: %v (%s)", got, err, tt.want, tt.hasValue, tt.source)
			}
		})
	}
}

// At 100 °F the true vapour pressure of a motor gasoline is near its Reid
// figure, which was measured there: within 8 % (own check, no source).
func TestRefinedNearReid(t *testing.T) {
	for _, rvp := range []float64{7, 9, 11, 13} {
		p, err := cargo.RefinedVapourPressure(rvp*psi, cargo.MotorGasoline, fahrenheit(100))
		if err != nil || math.Abs(p/psi-rvp) > 0.08*rvp {
			t.Errorf("RVP %g psi: %g psi at 100 degF, %v", rvp, p/psi, err)
		}
	}
}

func TestWaterVapourPressure(t *testing.T) {
	tests := []struct {
		name      string
		k         float64
		want, rel float64
		err       error
		source    string
	}{
		{"boils", 373.124295848, 101325, 1e-4, nil, "normal boiling point 99.97 °C of IAPWS-IF97"},
		{"500 K", 500, 2.63889776e6, 3e-9, nil, "IAPWS R7-97(2012), table 35"},
		{"freezes", 273.15, 611.213, 1e-5, nil, "IAPWS R7-97(2012), section 8: 611.213 Pa at 273.15 K"},
		{"ice", 273.15 - 1e-6, 0, 0, cargo.ErrOutside, "range of the source"},
		{"critical", 647.096, 22.064e6, 1e-5, nil, "IAPWS: critical pressure 22.064 MPa"},
		{"beyond", math.Nextafter(647.096, 700), 0, 0, cargo.ErrOutside, "range of the source"},
		{"no temperature", math.NaN(), 0, 0, cargo.ErrInput, "own rule"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := cargo.WaterVapourPressure(tt.k)
			if !errors.Is(err, tt.err) || math.IsNaN(got) != (tt.err != nil) || tt.err == nil && !(math.Abs(got-tt.want) <= tt.rel*tt.want) {
				t.Errorf("%.9g, %v, want %.9g, %v (%s)", got, err, tt.want, tt.err, tt.source)
			}
		})
	}
}

// Warmer water presses harder.
func TestWaterVapourPressureRises(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.Float64Range(273.15, 646).Draw(t, "k")
		p, err := cargo.WaterVapourPressure(k)
		warmer, errW := cargo.WaterVapourPressure(k + 0.1)
		if errors.Join(err, errW) != nil || !(warmer > p) {
			t.Fatalf("%g Pa at %g K, %g Pa warmer: %v", p, k, warmer, errors.Join(err, errW))
		}
	})
}

func ExampleRefinedVapourPressure() {
	p, err := cargo.RefinedVapourPressure(10*6894.757, cargo.MotorGasoline, (60+459.67)/1.8)
	fmt.Printf("%.1f kPa %v\n", p/1e3, err)
	// Output: 35.8 kPa <nil>
}

func ExampleWaterVapourPressure() {
	p, err := cargo.WaterVapourPressure(20 + 273.15)
	fmt.Printf("%.2f kPa %v\n", p/1e3, err)
	// Output: 2.34 kPa <nil>
}
