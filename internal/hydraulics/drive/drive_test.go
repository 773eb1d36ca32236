package drive_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"example.org/headwatch/internal/hydraulics/drive"
)

func TestInput(t *testing.T) {
	tests := []struct {
		shaft        float64 // hp
		efficiencies []float64
		want, tol    float64
		source       string
	}{
		{107.056, []float64{0.95, 0.96}, 117.386, 1e-3, "Crane TP-410, example 7-34; handbook.json pw-crane-7.34"},
		{100, []float64{0.5}, 200, 0, "definition"},
		{100, nil, 100, 0, "nothing between"},
	}
	for _, tt := range tests {
		if got := drive.Input(tt.shaft, tt.efficiencies...); math.Abs(got-tt.want) > tt.tol {
			t.Errorf("%g through %v draws %g, want %g (%s)", tt.shaft, tt.efficiencies, got, tt.want, tt.source)
		}
	}
}

func TestFullLoads(t *testing.T) {
	none := math.NaN()
	tests := []struct {
		name        string
		drive       drive.Drive
		power, want float64
		source      string
	}{
		{"full load", drive.Drive{drive.SteamTurbine, 1150e3, 0.18}, 1150e3, 1, "by definition"},
		{"no load", drive.Drive{drive.SteamTurbine, 1150e3, 0.18}, 0, 0.18, "by definition"},
		{"half load", drive.Drive{drive.SteamTurbine, 1150e3, 0.18}, 575e3, 0.59, "half way between"},
		{"overload", drive.Drive{drive.DieselEngine, 1000, 0.1}, 1200, 1.18, "the line goes on"},
		{"usual of its kind", drive.Drive{drive.SteamTurbine, 1000, none}, 0, 0.20, "15 to 25 %, from memory"},
		{"lossless", drive.Drive{drive.ElectricMotor, 1000, 0}, 300, 0.3, "proportional"},
		{"no kind", drive.Drive{"", 1000, none}, 300, none, "own rule"},
		{"no rating", drive.Drive{drive.SteamTurbine, none, 0.2}, 300, none, "own rule"},
		{"no power", drive.Drive{drive.SteamTurbine, 1000, 0.2}, none, none, "own rule"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := tt.drive.FullLoads(tt.power)
			if math.IsNaN(got) != math.IsNaN(tt.want) || math.Abs(got-tt.want) > 1e-12 {
				t.Errorf("%g full loads, want %g (%s)", got, tt.want, tt.source)
			}
		})
	}
	for _, k := range []drive.Kind{drive.SteamTurbine, drive.ElectricMotor, drive.DieselEngine, drive.HydraulicMotor} {
		if s := drive.UsualNoLoad(k); !(s >= 0 && s < 0.3) {
			t.Errorf("%s: no-load share %g", k, s)
		}
	}
}

// A worked example: where 60 % of the head is static, three pumps at 0.90 speed
// take 0.67 of full power each; with 20 % at no load that costs 2.20 full loads.
// Two pumps at 0.97 speed give the same flow at 1.22 of rated flow, 0.83 of rated
// head and 0.98 of best efficiency each, so at 1.03 of full power.
func TestThreeSlowOrTwoFast(t *testing.T) {
	d := drive.Drive{Kind: drive.SteamTurbine, Rated: 1, NoLoad: 0.20}
	three := drive.Use{FullLoads: 3 * d.FullLoads(0.67), Flow: 1}
	two := drive.Use{FullLoads: 2 * d.FullLoads(1.03), Flow: 1}
	if math.Abs(three.FullLoads-2.208) > 1e-9 || two.FullLoads < 2.0 || two.FullLoads > 2.1 {
		t.Errorf("three pumps take %.3f, two %.3f full loads; want 2.208 and 2.0 to 2.1 (by hand)", three.FullLoads, two.FullLoads)
	}
	if s := drive.Saving(three, two); math.Abs(s-(1-2.048/2.208)) > 1e-9 {
		t.Errorf("saving %.4f, want %.4f (by hand)", s, 1-2.048/2.208)
	}
	if s := drive.Saving(three, drive.Use{FullLoads: 1}); !math.IsNaN(s) {
		t.Errorf("saving %g where nothing is delivered, want none", s)
	}
}

// More power never takes less, and less at no load never costs more.
func TestFullLoadsProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := drive.Drive{Kind: drive.SteamTurbine, Rated: rapid.Float64Range(1e5, 3e6).Draw(t, "rated"), NoLoad: rapid.Float64Range(0, 0.4).Draw(t, "no load")}
		power := rapid.Float64Range(0, 1).Draw(t, "share") * d.Rated
		better := d
		better.NoLoad /= 2
		m := d.FullLoads(power)
		if !(m >= d.NoLoad && m <= 1+1e-12) || d.FullLoads(1.01*power) < m || better.FullLoads(power) > m+1e-12 {
			t.Fatalf("%+v at %g W: %g full loads, %g with half the no-load share", d, power, m, better.FullLoads(power))
		}
		now := drive.Use{FullLoads: m, Flow: rapid.Float64Range(0.1, 3).Draw(t, "flow")}
		if s := drive.Saving(now, now); math.Abs(s) > 1e-12 {
			t.Fatalf("saving of nothing is %g", s)
		}
	})
}

func ExampleDrive_FullLoads() {
	d := drive.Drive{Kind: drive.SteamTurbine, Rated: 1150e3, NoLoad: 0.18}
	fmt.Printf("%.2f of full steam at 700 kW\n", d.FullLoads(700e3))
	// Output: 0.68 of full steam at 700 kW
}

func ExampleInput() {
	fmt.Printf("%.1f kW\n", drive.Input(79.8e3, 0.95, 0.96)/1e3)
	// Output: 87.5 kW
}

func ExampleSaving() {
	d := drive.Drive{Kind: drive.SteamTurbine, Rated: 1150e3, NoLoad: 0.18}
	now := drive.Use{FullLoads: 3 * d.FullLoads(700e3), Flow: 7000.0 / 3600}
	slower := drive.Use{FullLoads: 3 * d.FullLoads(520e3), Flow: 6300.0 / 3600}
	fmt.Printf("%.0f %% less steam for each m3\n", 100*drive.Saving(now, slower))
	// Output: 10 % less steam for each m3
}
