package cargo_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"example.org/headwatch/internal/cargo"
)

func TestVCF2004Range(t *testing.T) {
	const near = 1e-6
	const density = "ASTM D1250-08, table 1: at 15 °C 611.16 to 1163.8, lubes from 801.25 kg/m³, from memory"
	const temperature = "limits of API MPMS 11.1-2004, seen quoted in unrelated public programs"
	tests := []struct {
		name     string
		group    cargo.Group
		r, c     float64 // kg/m³ at 15 °C, °C
		want     error
		mentions []string
		source   string
	}{
		{"lightest", cargo.Crude, 611.2, 20, nil, nil, density},
		{"too light", cargo.Crude, 611.1, 20, cargo.ErrOutside, []string{"crude", "610.6 to 1163.5"}, density},
		{"heaviest", cargo.Products, 1163.7, 20, nil, nil, density},
		{"too heavy", cargo.Products, 1163.9, 20, cargo.ErrOutside, []string{"products", "1163.5"}, density},
		{"lightest lube", cargo.Lubes, 801.3, 20, nil, nil, density},
		{"too light lube", cargo.Lubes, 801.2, 20, cargo.ErrOutside, []string{"lubes", "800.9"}, density},
		{"coldest", cargo.Crude, 860, -50, nil, nil, temperature},
		{"too cold", cargo.Crude, 860, -50 - near, cargo.ErrOutside, []string{"-50 to 150 degC"}, temperature},
		{"hottest", cargo.Crude, 860, 150, nil, nil, temperature},
		{"too hot", cargo.Crude, 860, 150 + near, cargo.ErrOutside, []string{"150"}, temperature},
		{"no density", cargo.Crude, math.NaN(), 20, cargo.ErrInput, nil, "own rule"},
		{"no temperature", cargo.Crude, 860, math.Inf(1), cargo.ErrInput, nil, "own rule"},
		{"no such group", cargo.Group(9), 860, 20, cargo.ErrInput, []string{"group 9"}, "own rule"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := cargo.VCF2004(tt.group, tt.r, kelvin(tt.c))
			if !errors.Is(err, tt.want) || math.IsNaN(got) != (tt.want != nil) || !mentions(err, tt.mentions...) {
				t.Errorf("VCF2004 = %g, %v, want %v with %q (%s)", got, err, tt.want, tt.mentions, tt.source)
			}
		})
	}
}

// The density at 60 °F is the one that CTL(15 °C) leads back to: a little less
// than at 15 °C, by 0.01 to 0.1 %.
func TestDensity60F(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := rapid.SampledFrom([]cargo.Group{cargo.Crude, cargo.Products, cargo.Lubes}).Draw(t, "group")
		r := rapid.Float64Range(802, 1160).Draw(t, "density")
		r60, err := cargo.Density60F(g, r)
		if drop := 1 - r60/r; err != nil || drop < 1e-4 || drop > 1e-3 {
			t.Fatalf("%v %g kg/m3: %g at 60 degF, %v", g, r, r60, err)
		}
	})
}

func TestVCF2004Falls(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := rapid.SampledFrom([]cargo.Group{cargo.Crude, cargo.Products, cargo.Lubes}).Draw(t, "group")
		r := rapid.Float64Range(802, 1160).Draw(t, "density")
		a := rapid.Float64Range(-50, 149).Draw(t, "t")
		va, errA := cargo.VCF2004(g, r, kelvin(a))
		vb, errB := cargo.VCF2004(g, r, kelvin(a+rapid.Float64Range(0.01, 1).Draw(t, "step")))
		if errA != nil || errB != nil || !(va > vb) {
			t.Fatalf("%v %g kg/m3: %g, then %g: %v %v", g, r, va, vb, errA, errB)
		}
		if v, err := cargo.VCF2004(g, r, kelvin(15)); err != nil || math.Abs(v-1) > 1e-12 {
			t.Fatalf("%g at 15 degC: %v", v, err)
		}
	})
}

// What is observed of an oil gives that oil back, in both editions.
func TestDensity15IsTheInverse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := rapid.SampledFrom([]cargo.Edition{cargo.Tables1980, cargo.Tables2004}).Draw(t, "edition")
		g := rapid.SampledFrom([]cargo.Group{cargo.Crude, cargo.Products, cargo.Lubes}).Draw(t, "group")
		r := rapid.SampledFrom([]float64{805, 845, 901.5, 978.5, 1040}).Draw(t, "density")
		c := rapid.Float64Range(-17, 124).Draw(t, "t")
		v, err := e.VCF(g, r, kelvin(c))
		if err != nil {
			t.Fatal(err)
		}
		back, err := cargo.Density15(e, g, r*v, kelvin(c), cargo.DensityMeter)
		if err != nil || math.Abs(back-r) > 1e-9*r {
			t.Fatalf("%v %v: %g kg/m3 came back as %g: %v", e, g, r, back, err)
		}
	})
}

func TestDensity15(t *testing.T) {
	tests := []struct {
		name        string
		group       cargo.Group
		observed, c float64
		with        cargo.Instrument
		lo, hi      float64 // kg/m³
		err         error
		source      string
	}{
		{"at 15 °C nothing changes", cargo.Crude, 858, 15, cargo.GlassHydrometer, 858 - 1e-9, 858 + 1e-9, nil, "Δt = 0"},
		{"warm glass reads too much", cargo.Crude, 858, 35, cargo.GlassHydrometer, 871.2, 871.9, nil,
			"858 (1 + 0.00083·20) is 872.2 with a meter; the glass takes off 0.00047 · 858 = 0.40"},
		{"between two classes", cargo.Products, 729.99, 60, cargo.DensityMeter, 770.499, 770.501, nil,
			"by hand: 770.5 kg/m³ of 54B is 729.97 at 60 °C as a gasoline, 730.01 in the class above"},
		{"lighter than the table", cargo.Crude, 560, 30, cargo.DensityMeter, 0, 0, cargo.ErrOutside, "54A from 610.5 kg/m³"},
		{"hotter than the table", cargo.Crude, 800, 160, cargo.DensityMeter, 0, 0, cargo.ErrOutside, "54A to 150 °C"},
		{"nothing", cargo.Crude, math.NaN(), 30, cargo.DensityMeter, 0, 0, cargo.ErrInput, "own rule"},
		{"far too little", cargo.Crude, 1e-300, 30, cargo.DensityMeter, 0, 0, cargo.ErrOutside, "own rule"},
		{"far too much", cargo.Lubes, 1e308, 15, cargo.DensityMeter, 0, 0, cargo.ErrInput, "own rule"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := cargo.Density15(cargo.Tables1980, tt.group, tt.observed, kelvin(tt.c), tt.with)
			if !errors.Is(err, tt.err) || math.IsNaN(got) != (tt.err != nil) || tt.err == nil && !(tt.lo <= got && got <= tt.hi) {
				t.Errorf("%.4f, %v, want %g to %g, %v (%s)", got, err, tt.lo, tt.hi, tt.err, tt.source)
			}
		})
	}
}

func TestRounding(t *testing.T) {
	tests := []struct {
		by      cargo.Rounding
		v, want float64
		source  string
	}{
		{cargo.Unrounded, 0.98765432, 0.98765432, "as it is"},
		{cargo.FourDecimals, 0.98765432, 0.9877, "half up"},
		{cargo.FiveDecimals, 0.98765432, 0.98765, "half up"},
		{cargo.FourDecimals, 0.96875, 0.9688, "a half that a float holds goes up"},
		{cargo.FourDecimals, math.Nextafter(0.96875, 0), 0.9687, "just below goes down"},
	}
	for _, tt := range tests {
		if got := tt.by.Round(tt.v); math.Abs(got-tt.want) > 1e-15 {
			t.Errorf("%g to %d decimals is %g, want %g (%s)", tt.v, tt.by, got, tt.want, tt.source)
		}
	}
}

func ExampleVCF2004() {
	old, _ := cargo.VCF1980(cargo.Products, 774, 45+273.15)
	vcf, err := cargo.VCF2004(cargo.Products, 774, 45+273.15)
	fmt.Printf("%.5f by %v, %.5f by %v, %v\n", old, cargo.Tables1980, vcf, cargo.Tables2004, err)
	// Output: 0.96636 by ASTM D1250-80, 0.96622 by API MPMS 11.1-2004, <nil>
}

func ExampleDensity60F() {
	rho, err := cargo.Density60F(cargo.Crude, 858)
	fmt.Printf("%.2f kg/m3 %v\n", rho, err)
	// Output: 857.60 kg/m3 <nil>
}

func ExampleDensity15() {
	rho, err := cargo.Density15(cargo.Tables1980, cargo.Crude, 845.2, 31+273.15, cargo.GlassHydrometer)
	fmt.Printf("%.1f kg/m3 %v\n", rho, err)
	// Output: 856.4 kg/m3 <nil>
}

func ExampleRounding_Round() {
	vcf, err := cargo.VCF1980(cargo.Products, 842.8, 22.5+273.15)
	fmt.Println(cargo.FourDecimals.Round(vcf), cargo.FiveDecimals.Round(vcf), err)
	// Output: 0.9937 0.99369 <nil>
}

func ExampleMass() {
	vacuum, air := cargo.Mass(1000, 856)
	fmt.Printf("%.1f t in vacuum, %.1f t in air\n", vacuum/1e3, air/1e3)
	// Output: 856.0 t in vacuum, 854.9 t in air
}

func BenchmarkDensity15(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := cargo.Density15(cargo.Tables2004, cargo.Products, 845.2, 304, cargo.DensityMeter); err != nil {
			b.Fatal(err)
		}
	}
}
