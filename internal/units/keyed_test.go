package units

import (
	"math"
	"strings"
	"testing"
)

func TestParseKeyed(t *testing.T) {
	const kgf = 98066.5
	tests := []struct {
		d       Dimension
		s, unit string
		want    Keyed
	}{
		{Pressure, "9.1", "bar", Keyed{9.1e5, 0.05e5, "bar", "9.1"}},
		{Pressure, "9,1", "bar", Keyed{9.1e5, 0.05e5, "bar", "9,1"}},
		{Pressure, ".6", "bar", Keyed{0.6e5, 0.05e5, "bar", ".6"}},
		{Pressure, "-,25", "bar", Keyed{-0.25e5, 0.005e5, "bar", "-,25"}},
		{Pressure, "+0.60", "bar", Keyed{0.6e5, 0.005e5, "bar", "+0.60"}},
		{Pressure, "7.", "bar", Keyed{7e5, 0.5e5, "bar", "7."}},
		{Pressure, "9.1psi", "bar", Keyed{9.1 * 6894.757293168361, 0.05 * 6894.757293168361, "psi", "9.1psi"}},
		{Pressure, " 9.1 kg/cm² ", "bar", Keyed{9.1 * kgf, 0.05 * kgf, "kgf/cm2", "9.1 kg/cm²"}},
		{Pressure, "9.1±0.2", "bar", Keyed{9.1e5, 0.2e5, "bar", "9.1±0.2"}},
		{Pressure, "9,1 ± ,2 kgf/cm2", "bar", Keyed{9.1 * kgf, 0.2 * kgf, "kgf/cm2", "9,1 ± ,2 kgf/cm2"}},
		{Pressure, "9.1+-0.2", "bar", Keyed{9.1e5, 0.2e5, "bar", "9.1+-0.2"}},
		{Pressure, "9.1+/-0.2psi", "bar", Keyed{9.1 * 6894.757293168361, 0.2 * 6894.757293168361, "psi", "9.1+/-0.2psi"}},
		{Pressure, "9.1±0", "bar", Keyed{9.1e5, 0, "bar", "9.1±0"}},
		{Pressure, "1.3e3", "Pa", Keyed{1300, 50, "Pa", "1.3e3"}},
		{Pressure, "9.1", "kg/cm²", Keyed{9.1 * kgf, 0.05 * kgf, "kgf/cm2", "9.1"}},
		{Speed, "1300", "rpm", Keyed{1300, 0.5, "rpm", "1300"}},
		{Speed, "1300 r/min", "rpm", Keyed{1300, 0.5, "rpm", "1300 r/min"}},
		{Temperature, "34", "degC", Keyed{307.15, 0.5, "degC", "34"}},
		{Temperature, "50.0 deg F", "degC", Keyed{283.15, 0.05 / 1.8, "degF", "50.0 deg F"}}, // the width has no offset
		{Length, "11.34", "m", Keyed{11.34, 0.005, "m", "11.34"}},
		{Ratio, ".18", "1", Keyed{0.18, 0.005, "1", ".18"}},
		{Flow, "2500", "m3/h", Keyed{2500.0 / 3600, 0.5 / 3600, "m3/h", "2500"}},
		// More digits than the quick way takes.
		{Length, "1,0000000000000000000000000000000000000000", "m", Keyed{1, 0.5e-40, "m", "1,0000000000000000000000000000000000000000"}},
	}
	for _, tt := range tests {
		got, err := ParseKeyed(tt.d, tt.s, tt.unit)
		if err != nil || got.Unit != tt.want.Unit || got.Text != tt.want.Text ||
			!near(got.SI, tt.want.SI, 1e-15, 0) || !near(got.Half, tt.want.Half, 1e-14, 0) {
			t.Errorf("ParseKeyed(%q, %s) = %+v, %v; want %+v", tt.s, tt.unit, got, err, tt.want)
		}
	}
	if got, err := ParseKeyed(Pressure, "-0.0", "bar"); math.Signbit(got.SI) || err != nil {
		t.Errorf(`ParseKeyed("-0.0") = %+v, %v; want 0`, got, err)
	}
}

func TestParseKeyedRefuses(t *testing.T) {
	tests := []struct{ s, unit, says string }{
		{"1,234.5", "bar", `pressure "1,234.5": write thousands without separators and one decimal mark, as in 1234.5`},
		{"1.234,5", "bar", "thousands"},
		{"1,234,567", "bar", "thousands"},
		{"1 234", "bar", "thousands"},
		{"1_0", "bar", "thousands"},
		{"", "bar", "want a number"},
		{"=", "bar", "want a number"},
		{"NaN", "bar", "want a number"},
		{"Inf", "bar", "want a number"},
		{"1e400", "bar", "too large"},
		{"0e400", "bar", "too large"},
		{"1e308", "bar", "too large"},
		{"1e-9223372036854775808.5", "bar", "thousands"},
		{"0x1p3", "bar", "unknown unit"},
		{"9.1", "", "unit missing"},
		{"9.1", "brr", `unknown unit "brr", nearest: bar`},
		{"9.1 rpm", "bar", `"rpm" is a unit of speed`},
		{"9.1±", "bar", `want a number without a sign after "±"`},
		{"9.1±-0.2", "bar", `want a number without a sign after "±"`},
		{"9.1±0.2±0.3", "bar", "unknown unit"},
		{"9.1±1e308", "bar", "too large"},
		{"±0.2", "bar", "want a number"},
	}
	for _, tt := range tests {
		got, err := ParseKeyed(Pressure, tt.s, tt.unit)
		if err == nil || !strings.Contains(err.Error(), tt.says) || got != (Keyed{}) {
			t.Errorf("ParseKeyed(%q) = %+v, %v; want error %q", tt.s, got, err, tt.says)
		}
	}
}

func TestParseKeyedAllocatesNothing(t *testing.T) {
	for _, s := range []string{"1.548", "1,548", "9.1±0.2 psi", "-0.31 kg/cm²"} {
		if n := testing.AllocsPerRun(100, func() { ParseKeyed(Pressure, s, "bar") }); n != 0 {
			t.Errorf("ParseKeyed(%q): %g allocations, want 0", s, n)
		}
	}
}

func BenchmarkParseKeyed(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := ParseKeyed(Pressure, "1.548", "bar"); err != nil {
			b.Fatal(err)
		}
	}
}
