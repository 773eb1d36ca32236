package cargo_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"example.org/headwatch/internal/cargo"
	"example.org/headwatch/internal/published"
)

var byTable = map[string]cargo.Group{"54A": cargo.Crude, "54B": cargo.Products, "54D": cargo.Lubes}

func kelvin(celsius float64) float64 { return celsius + 273.15 }

// vcf.json: a grid made by the equation of ASTM D1250-80, tables 54A and 54B,
// and by the procedure of API MPMS 11.1-2004; a rounded figure is the file's
// unrounded one, half up.
func TestVCFGrid(t *testing.T) {
	var doc struct {
		Tolerance struct {
			Unrounded float64 `json:"vcf_unrounded_abs"`
			New       float64 `json:"vcf_2004_abs"`
		}
		Rows []struct {
			Table     string
			Density15 float64   `json:"density15_kg_per_m3"`
			Celsius   []float64 `json:"temperature_degC"`
			VCF       []float64 `json:"vcf_unrounded"`
			Four      []float64 `json:"vcf_4dp"`
			Five      []float64 `json:"vcf_5dp"`
			New       []float64 `json:"vcf_2004_unrounded"`
		}
	}
	published.Read(t, "vcf.json", &doc)
	n := 0
	for _, r := range doc.Rows {
		for k, c := range r.Celsius {
			at := fmt.Sprintf("%s %g kg/m3 %g degC", r.Table, r.Density15, c)
			old := vcf(t, cargo.Tables1980, r.Table, r.Density15, c)
			within(t, at, old, r.VCF[k], doc.Tolerance.Unrounded)
			within(t, at+", 4 decimals", cargo.FourDecimals.Round(old), r.Four[k], 1e-12)
			within(t, at+", 5 decimals", cargo.FiveDecimals.Round(old), r.Five[k], 1e-12)
			within(t, at+", 2004", vcf(t, cargo.Tables2004, r.Table, r.Density15, c), r.New[k], doc.Tolerance.New)
			n++
		}
	}
	if n != 25*13 {
		t.Errorf("%d points compared, want 325", n)
	}
}

// density.json: the same equations, made apart, with table 54D.
func TestVCFSecondGrid(t *testing.T) {
	var doc struct {
		Tolerance struct {
			VCF float64 `json:"vcf_1980_abs"`
			New float64 `json:"vcf_2004_abs"`
		}
		Largest map[string]float64 `json:"largest_difference_1980_2004"`
		Tables  []struct {
			Table     string
			Density15 []float64   `json:"density15_kg_per_m3"`
			Density60 []float64   `json:"rho60_2004"`
			Celsius   []float64   `json:"temperature_degC"`
			VCF       [][]float64 `json:"vcf_1980"`
			Four      [][]float64 `json:"vcf_1980_4dp"`
			New       [][]float64 `json:"vcf_2004"`
			NewFour   [][]float64 `json:"vcf_2004_4dp"`
		}
	}
	published.Read(t, "density.json", &doc)
	n := 0
	for _, tab := range doc.Tables {
		for i, r := range tab.Density15 {
			r60, err := cargo.Density60F(byTable[tab.Table], r)
			if err != nil {
				t.Error(err)
			}
			within(t, "density at 60 degF", r60, tab.Density60[i], 1e-6)
			for j, c := range tab.Celsius {
				at := fmt.Sprintf("%s %g kg/m3 %g degC", tab.Table, r, c)
				old, now := vcf(t, cargo.Tables1980, tab.Table, r, c), vcf(t, cargo.Tables2004, tab.Table, r, c)
				within(t, at, old, tab.VCF[i][j], doc.Tolerance.VCF)
				within(t, at+", 4 decimals", cargo.FourDecimals.Round(old), tab.Four[i][j], 1e-12)
				within(t, at+", 2004", now, tab.New[i][j], doc.Tolerance.New)
				within(t, at+", 2004, 4 decimals", cargo.FourDecimals.Round(now), tab.NewFour[i][j], 1e-12)
				within(t, at+", 1980 against 2004", now, old, 1.01*doc.Largest[tab.Table])
				n++
			}
		}
	}
	if n != 3*20*12 {
		t.Errorf("%d points compared, want 720", n)
	}
}

func vcf(t *testing.T, e cargo.Edition, table string, density15, celsius float64) float64 {
	t.Helper()
	v, err := e.VCF(byTable[table], density15, kelvin(celsius))
	if err != nil {
		t.Error(err)
	}
	return v
}

func within(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: %.12g, want %.12g ± %.2g", what, got, want, tol)
	}
}

func TestVCF1980Range(t *testing.T) {
	const near = 1e-6
	tests := []struct {
		name     string
		group    cargo.Group
		r, c     float64 // kg/m³, °C
		want     error
		mentions []string
		source   string
	}{
		{"54A lightest", cargo.Crude, 610.5, 20, nil, nil, "table 54A, from memory"},
		{"54A too light", cargo.Crude, 610.5 - near, 20, cargo.ErrOutside, []string{"54A", "610.5", "1075"}, "table 54A, from memory"},
		{"54A heaviest", cargo.Crude, 1075, 20, nil, nil, "table 54A, from memory"},
		{"54A too heavy", cargo.Crude, 1075 + near, 20, cargo.ErrOutside, []string{"54A"}, "table 54A, from memory"},
		{"54B lightest", cargo.Products, 653, 20, nil, nil, "limits quoted in two manuals"},
		{"54B too light", cargo.Products, 653 - near, 20, cargo.ErrOutside, []string{"54B", "653"}, "limits quoted in two manuals"},
		{"54D lightest", cargo.Lubes, 800, 20, nil, nil, "limits quoted in two manuals"},
		{"54D too light", cargo.Lubes, 800 - near, 20, cargo.ErrOutside, []string{"54D", "800"}, "limits quoted in two manuals"},
		{"54D heaviest", cargo.Lubes, 1164, 150, nil, nil, "limits quoted in two manuals"},
		{"54D too heavy", cargo.Lubes, 1164 + near, 20, cargo.ErrOutside, []string{"1164"}, "limits quoted in two manuals"},
		{"coldest", cargo.Crude, 860, -18, nil, nil, "temperatures from memory"},
		{"too cold", cargo.Crude, 860, -18 - near, cargo.ErrOutside, []string{"-18 to 150 degC"}, "temperatures from memory"},
		{"hottest", cargo.Crude, 824.5, 150, nil, nil, "temperatures from memory"},
		{"too hot", cargo.Crude, 824.5, 150 + near, cargo.ErrOutside, []string{"150"}, "temperatures from memory"},
		{"hottest, middling", cargo.Products, 779, 125, nil, nil, "temperatures from memory"},
		{"too hot, middling", cargo.Products, 824, 125 + near, cargo.ErrOutside, []string{"125"}, "temperatures from memory"},
		{"hottest, light", cargo.Products, 700, 95, nil, nil, "temperatures from memory"},
		{"too hot, light", cargo.Crude, 778.5, 95 + near, cargo.ErrOutside, []string{"95"}, "temperatures from memory"},
		{"no density", cargo.Crude, math.NaN(), 20, cargo.ErrInput, nil, "own rule"},
		{"infinite density", cargo.Crude, math.Inf(1), 20, cargo.ErrInput, nil, "own rule"},
		{"negative density", cargo.Crude, -860, 20, cargo.ErrInput, nil, "own rule"},
		{"no temperature", cargo.Crude, 860, math.NaN(), cargo.ErrInput, nil, "own rule"},
		{"below absolute zero", cargo.Crude, 860, -274, cargo.ErrInput, nil, "own rule"},
		{"no such group", cargo.Group(9), 860, 20, cargo.ErrInput, []string{"group 9"}, "own rule"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := cargo.VCF1980(tt.group, tt.r, kelvin(tt.c))
			if !errors.Is(err, tt.want) || math.IsNaN(got) != (tt.want != nil) {
				t.Errorf("VCF1980 = %g, %v, want %v (%s)", got, err, tt.want, tt.source)
			}
			if !mentions(err, tt.mentions...) {
				t.Errorf("%v: want it to say %q", err, tt.mentions)
			}
			if d, err := cargo.DensityAt(tt.group, tt.r, kelvin(tt.c)); math.IsNaN(d) != (err != nil) {
				t.Errorf("DensityAt = %g, %v", d, err)
			}
		})
	}
}

// The factor is 1 at 15 °C, falls as the oil warms, and the density with it.
func TestVCF1980Falls(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := rapid.SampledFrom([]cargo.Group{cargo.Crude, cargo.Products, cargo.Lubes}).Draw(t, "group")
		r := rapid.Float64Range(800, 1075).Draw(t, "density")
		a := rapid.Float64Range(-18, 124).Draw(t, "t")
		b := a + rapid.Float64Range(0.01, 1).Draw(t, "step")
		va, errA := cargo.VCF1980(g, r, kelvin(a))
		vb, errB := cargo.VCF1980(g, r, kelvin(b))
		if errA != nil || errB != nil || !(va > vb) {
			t.Fatalf("%v %g kg/m3: %g at %g, %g at %g degC: %v %v", g, r, va, a, vb, b, errA, errB)
		}
		if v, err := cargo.VCF1980(g, r, kelvin(15)); err != nil || math.Abs(v-1) > 1e-12 {
			t.Fatalf("%g at 15 degC: %v", v, err)
		}
	})
}

func TestParseGroup(t *testing.T) {
	for _, g := range []cargo.Group{cargo.Crude, cargo.Products, cargo.Lubes} {
		if got, err := cargo.ParseGroup(g.String()); got != g || err != nil {
			t.Errorf("ParseGroup(%q) = %v, %v", g, got, err)
		}
	}
	for _, s := range []string{"", "Crude", "oil", "group 9"} {
		if _, err := cargo.ParseGroup(s); !mentions(err, "crude, products or lubes") {
			t.Errorf("ParseGroup(%q): %v", s, err)
		}
	}
}

func ExampleVCF1980() {
	vcf, err := cargo.VCF1980(cargo.Crude, 884, 26+273.15)
	fmt.Printf("%.4f %v\n", vcf, err)
	_, err = cargo.VCF1980(cargo.Crude, 600, 26+273.15)
	fmt.Println(err)
	// Output:
	// 0.9913 <nil>
	// density 600 kg/m3 at 15 degC: table 54A for crude runs from 610.5 to 1075 kg/m3: outside the range
}

func ExampleDensityAt() {
	rho, err := cargo.DensityAt(cargo.Crude, 858, 32.5+273.15)
	fmt.Printf("%.2f kg/m3 %v\n", rho, err)
	// Output: 845.42 kg/m3 <nil>
}

func BenchmarkDensityAt(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := cargo.DensityAt(cargo.Products, 782, 305); err != nil {
			b.Fatal(err)
		}
	}
}
