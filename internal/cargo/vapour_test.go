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

func TestTrueVapourPressureChecks(t *testing.T) {
	rows := append(checks(t, "true_vapour_pressure_crude", 8), checks(t, "ap42_crude_tvp", 5)...)
	for _, c := range rows {
		got, err := cargo.TrueVapourPressure(c.in(t, "rvp_psi")*psi, fahrenheit(c.in(t, "temperature_degF")))
		if err != nil {
			t.Errorf("%s: %v", c.ID, err)
			continue
		}
		for key := range c.Expect {
			unit := psi
			if key == "tvp_kPa" {
				unit = 1000
			}
			c.near(t, key, got/unit)
		}
	}
}

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
