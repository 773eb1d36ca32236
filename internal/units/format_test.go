package units

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestFormat(t *testing.T) {
	tests := []struct {
		d        Dimension
		si       float64
		unit     string
		decimals int
		want     string
	}{
		{Pressure, 850000, "bar", 2, "8.50 bar"},
		{Pressure, 98066.5, "kg/cm²", 1, "1.0 kgf/cm2"},
		{Flow, 2500.0 / 3600, "m3/h", 0, "2500 m3/h"},
		{Temperature, 307.15, "degC", 1, "34.0 degC"},
		{Ratio, 0.18, "%", 0, "18 %"},
		{Ratio, 0.18, "1", 2, "0.18 1"},
		{Volume, 96500, "m3", 0, "96500 m3"},
		{Pressure, -31000, "bar", 2, "-0.31 bar"},
		{Pressure, -499.9, "bar", 2, "0.00 bar"},
		{Pressure, -501, "bar", 2, "-0.01 bar"},
		{Pressure, -0.4, "Pa", 0, "0 Pa"},
		{Pressure, math.Copysign(0, -1), "bar", 1, "0.0 bar"},
		{Pressure, math.Copysign(0, -1), "bar", -1, "0 bar"},
		{Pressure, -math.SmallestNonzeroFloat64, "Pa", 3, "0.000 Pa"},
		{Pressure, 154800, "bar", -1, "1.548 bar"},
		{Temperature, 0, "K", 1, "0.0 K"},
		{Pressure, math.NaN(), "bar", 2, Absent},
		{Pressure, math.Inf(-1), "bar", 2, Absent},
		{Length, math.MaxFloat64, "mm", 2, Absent},
		{Pressure, 1, "furlong", 2, Absent},
	}
	for _, tt := range tests {
		if got := Format(tt.d, tt.si, tt.unit, tt.decimals); got != tt.want {
			t.Errorf("Format(%v, %g, %s, %d) = %q, want %q", tt.d, tt.si, tt.unit, tt.decimals, got, tt.want)
		}
	}
}

func TestNumber(t *testing.T) {
	tests := []struct {
		si   float64
		unit string
		want string
	}{
		{123456789, "Pa", "123456789.0"},
		{-4000, "bar", "0.0"},
		{math.NaN(), "bar", Absent},
		{1, "furlong", Absent},
	}
	for _, tt := range tests {
		if got := Number(Pressure, tt.si, tt.unit, 1); got != tt.want {
			t.Errorf("Number(%g, %s) = %q, want %q", tt.si, tt.unit, got, tt.want)
		}
	}
}

// What is printed is read back, as in a file and as keyed, within half a step
// of the last digit printed.
func TestFormatParseRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d, unit := anyUnit(t)
		decimals := rapid.IntRange(0, 9).Draw(t, "decimals")
		v := rapid.Float64Range(-1e7, 1e7).Draw(t, "v")
		si, err := From(d, v, unit)
		if d == Temperature && errors.Is(err, errCold) {
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		text := Format(d, si, unit, decimals)
		back, err := Parse(d, text)
		if d == Temperature && errors.Is(err, errCold) {
			return // rounded down past absolute zero
		}
		if err != nil {
			t.Fatalf("%q: %v", text, err)
		}
		k, err := ParseKeyed(d, text, "")
		if err != nil || k.SI != back || k.Unit != unit {
			t.Fatalf("%q keyed is %+v (%v), parsed %g", text, k, err, back)
		}
		if math.Abs(back-si) > k.Half*(1+1e-9)+1e-12*math.Abs(si) {
			t.Fatalf("%g printed as %q is %g, off by more than %g", si, text, back, k.Half)
		}
		if number := Number(d, si, unit, decimals); number+" "+unit != text {
			t.Fatalf("Number %q, Format %q", number, text)
		}
	})
}

func BenchmarkNumber(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if Number(Flow, 0.694, "m3/h", 1) == "" {
			b.Fatal("nothing printed")
		}
	}
}
