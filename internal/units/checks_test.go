package units

import (
	"encoding/json"
	"os"
	"testing"
)

// key maps the names of the published checks to our units.
var key = map[string]struct {
	d    Dimension
	unit string
}{
	"pressure_Pa": {Pressure, "Pa"}, "pressure_bar": {Pressure, "bar"},
	"pressure_mbar": {Pressure, "mbar"}, "pressure_MPa": {Pressure, "MPa"},
	"pressure_kgf_per_cm2": {Pressure, "kgf/cm2"}, "pressure_psi": {Pressure, "psi"},
	"pressure_atm": {Pressure, "atm"}, "pressure_mmHg": {Pressure, "mmHg"},
	"pressure_cmHg": {Pressure, "cmHg"}, "pressure_inHg": {Pressure, "inHg"},
	"pressure_mmH2O": {Pressure, "mmWG"}, "pressure_inH2O": {Pressure, "inWG"},
	"pressure_ftH2O": {Pressure, "ftWG"},
	"length_m":       {Length, "m"}, "length_ft": {Length, "ft"}, "length_in": {Length, "in"},
	"volume_m3": {Volume, "m3"}, "volume_bbl": {Volume, "bbl"}, "volume_USbbl": {Volume, "bbl"},
	"volume_USgal": {Volume, "USgal"}, "volume_US_gal": {Volume, "USgal"},
	"flow_m3_per_s": {Flow, "m3/s"}, "flow_m3_per_h": {Flow, "m3/h"},
	"flow_USgpm": {Flow, "USgpm"}, "flow_US_gpm": {Flow, "USgpm"},
	"flow_bbl_per_h": {Flow, "bbl/h"}, "flow_USbbl_per_h": {Flow, "bbl/h"},
	"power_W": {Power, "W"}, "power_hp": {Power, "hp"},
	"power_metric_hp": {Power, "PS"}, "power_PS": {Power, "PS"},
	"density_kg_per_m3": {Density, "kg/m3"}, "density_lb_per_ft3": {Density, "lb/ft3"},
	"density_lb_per_US_gal": {Density, "lb/USgal"},
	"viscosity_cSt":         {Viscosity, "cSt"}, "viscosity_m2_per_s": {Viscosity, "m2/s"},
	"temperature_degC": {Temperature, "degC"}, "temperature_degF": {Temperature, "degF"},
}

// skipped says which published rows have no unit here, and why.
var skipped = map[string]string{
	"unit-ukgal": "the imperial gallon is not met in this trade", "u-ukgal": "the imperial gallon is not met in this trade",
	"unit-longton": "mass alone is not a quantity of this program", "u-longton": "mass alone is not a quantity of this program",
	"unit-shortton":     "mass alone is not a quantity of this program",
	"unit-degf-rankine": "nobody keys degrees Rankine", "u-degr": "nobody keys degrees Rankine",
	"unit-rpm": "speed stays in rpm inside",
	"u-torr":   "gauges are marked mmHg, which differs in the seventh digit",
	"u-nmi":    "no distances at sea", "u-kn": "no speeds through water",
	"unit-g": "a constant: TestStandardGravity",
}

// TestPublishedFactors converts every row of family "units" of the published
// checks. Each row carries its source and the tolerance of its printed digits.
func TestPublishedFactors(t *testing.T) {
	type row struct {
		ID, Family, Source string
		Inputs, Expect     map[string]json.RawMessage
		Tolerance          struct{ Rel, Abs float64 }
	}
	left := len(skipped)
	checked := 0
	for _, file := range []string{"checks.json", "handbook.json"} {
		data, err := os.ReadFile("../../testdata/checks/" + file)
		if err != nil {
			t.Fatal(err)
		}
		var rows []row
		if err := json.Unmarshal(data, &rows); err != nil {
			t.Fatal(err)
		}
		for _, r := range rows {
			if r.Family != "units" {
				continue
			}
			if _, skip := skipped[r.ID]; skip {
				left--
				continue
			}
			in, from := single(t, r.ID, r.Inputs)
			want, to := single(t, r.ID, r.Expect)
			si, err := From(key[from].d, in, key[from].unit)
			if err != nil {
				t.Fatalf("%s: %s: %v", r.ID, from, err)
			}
			got, err := To(key[to].d, si, key[to].unit)
			if key[from].d != key[to].d || err != nil || !near(got, want, r.Tolerance.Rel, r.Tolerance.Abs) {
				t.Errorf("%s: %g %s is %.12g %s, want %.12g (%v); %s", r.ID, in, from, got, to, want, err, r.Source)
			}
			checked++
		}
	}
	if left != 0 || checked != 48 {
		t.Errorf("%d rows checked; %d of the skipped ones are gone", checked, left)
	}
}

// single returns the one entry of m.
func single(t *testing.T, id string, m map[string]json.RawMessage) (v float64, name string) {
	t.Helper()
	if len(m) != 1 {
		t.Fatalf("%s: %d figures, want one", id, len(m))
	}
	for k, raw := range m {
		name = k
		if err := json.Unmarshal(raw, &v); err != nil {
			t.Fatalf("%s: %s: %v", id, k, err)
		}
	}
	return v, name
}

func TestStandardGravity(t *testing.T) {
	if gravity != 9.80665 {
		t.Errorf("gravity = %g, want 9.80665: 3rd CGPM (1901)", gravity)
	}
}

// TestFactorsByDefinition covers the units that the published rows leave out.
func TestFactorsByDefinition(t *testing.T) {
	const (
		sp811 = "NIST SP 811 (2008), App. B.8"
		si    = "SI prefix or unit, exact"
	)
	tests := []struct {
		d         Dimension
		unit      string
		want, rel float64
		source    string
	}{
		{Pressure, "kPa", 1e3, 0, si},
		{Pressure, "mWG", 9806.65, 1e-15, "1000 mmWG of " + sp811 + ", 9.806 65 E+00"},
		{Length, "mm", 1e-3, 0, si},
		{Length, "cm", 1e-2, 0, si},
		{Length, "km", 1e3, 0, si},
		{Flow, "m3/min", 1.0 / 60, 1e-15, si},
		{Flow, "l/min", 1.666667e-5, 5e-7, sp811 + ", litre 1.0 E-03 m3 over 60 s"},
		{Flow, "l/s", 1e-3, 0, sp811 + ", litre"},
		{Flow, "bbl/h", 4.416314e-5, 5e-7, sp811 + ", barrel 1.589 873 E-01 m3 over 3600 s"},
		{MassFlow, "t/h", 1000.0 / 3600, 1e-15, sp811 + ", tonne 1.0 E+03 kg"},
		{MassFlow, "kg/s", 1, 0, si},
		{MassFlow, "kg/h", 2.777778e-4, 5e-7, sp811 + ", kilogram over hour 3.6 E+03 s"},
		{Density, "g/cm3", 1e3, 0, sp811 + ", gram per cubic centimeter 1.0 E+03"},
		{Density, "kg/l", 1e3, 0, sp811 + ", litre"},
		{Density, "t/m3", 1e3, 0, sp811 + ", tonne"},
		{Density, "rel", 1e3, 0, "water of 1000 kg/m3: common practice, no source"},
		{Speed, "rpm", 1, 0, "own rule: speed stays in rpm"},
		{Power, "kW", 1e3, 0, si},
		{Power, "MW", 1e6, 0, si},
		{Duration, "s", 1, 0, si},
		{Duration, "min", 60, 0, sp811},
		{Duration, "h", 3600, 0, sp811},
		{Ratio, "%", 0.01, 0, "meaning of percent"},
		{Ratio, "1", 1, 0, si},
		{Viscosity, "mm2/s", 1e-6, 0, si},
		{Volume, "l", 1e-3, 0, sp811 + ", litre"},
		{LengthRate, "m/h", 2.777778e-4, 5e-7, sp811 + ", meter over hour 3.6 E+03 s"},
		{LengthRate, "m/s", 1, 0, si},
		{TemperatureDifference, "K", 1, 0, si},
		{TemperatureDifference, "degC", 1, 0, sp811},
		{TemperatureDifference, "degF", 0.5555556, 5e-7, sp811 + ", 5.555 556 E-01"},
		{Angle, "deg", 1.745329e-2, 5e-7, sp811 + ", 1.745 329 E-02"},
		{Angle, "rad", 1, 0, si},
	}
	for _, tt := range tests {
		got, err := From(tt.d, 1, tt.unit)
		if err != nil || !near(got, tt.want, tt.rel, 0) {
			t.Errorf("1 %s = %.12g, %v; want %.12g; %s", tt.unit, got, err, tt.want, tt.source)
		}
	}
}
