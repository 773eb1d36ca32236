package ship

import (
	"math"
	"os"
	"reflect"
	"strings"
	"testing"
	"time"

	"example.org/headwatch/internal/cargo"
	"example.org/headwatch/internal/hydraulics"
)

func loadExample(t *testing.T) *Discharge {
	t.Helper()
	d, err := Load(os.DirFS("testdata"))
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// near compares figures that a conversion may put off by their last bits.
func near(t *testing.T, what string, got, want float64) {
	t.Helper()
	if math.Abs(got-want) > 1e-12*math.Abs(want) || math.IsNaN(got) != math.IsNaN(want) {
		t.Errorf("%s: got %v, want %v", what, got, want)
	}
}

func equal(t *testing.T, what string, got, want any) {
	t.Helper()
	if !reflect.DeepEqual(got, want) {
		t.Errorf("%s: got %v, want %v", what, got, want)
	}
}

// Every figure of the example ship, read off testdata/ship.yaml by eye and put
// into SI by hand: 1 bar = 1e5 Pa, 1 m3/h = 1/3600 m3/s.
func TestExampleShip(t *testing.T) {
	s := loadExample(t).Ship
	equal(t, "name", s.Name, "MT Skerry Venture")
	equal(t, "fictional", s.Fictional, true)
	near(t, "length", s.Length, 233)
	equal(t, "units", s.Units, Gauging{"bar", "m3/h", "m", "degC", "rpm"})
	near(t, "pump room", s.PumpRoomAlong, 28)
	equal(t, "missing", s.Missing, []string(nil))
	equal(t, "notes", s.Notes, []string(nil))

	b := s.BringOnLine
	near(t, "open at head", b.OpenAtHead, 48)
	near(t, "margin", b.Margin, 4)
	near(t, "crack", b.Crack, 0.08)
	near(t, "join at", b.JoinAtSpeed, 950)
	near(t, "full in", b.FullIn, 2400)
	near(t, "alike", b.AlikeWithin, 0.12)

	equal(t, "manifolds", s.Manifolds, []Manifold{{
		Name: "M2", Height: 24, Bore: 0.4, Arms: 3, Unit: "bar",
		Gauge: hydraulics.Gauge{Height: 24, Bore: 0.4, Lo: 0, Hi: 16e5, Class: 0.016},
	}})
}

func TestExamplePumps(t *testing.T) {
	s := loadExample(t).Ship
	equal(t, "pumps", s.pumpNames(), []string{"COP 1", "COP 2", "COP 3"})
	for i := range s.Pumps {
		p := &s.Pumps[i]
		if p.Curves != s.Pumps[0].Curves {
			t.Errorf("%s has curves of its own; pumps that name one set share it", p.Name)
		}
		equal(t, "suction", p.Suction, hydraulics.Gauge{Height: 2.4, Bore: 0.5, Lo: -1e5, Hi: 5e5, Class: 0.016})
		equal(t, "discharge", p.Discharge, hydraulics.Gauge{Height: 3.2, Bore: 0.4, Lo: 0, Hi: 20e5, Class: 0.016})
		equal(t, "gauge units", p.SuctionUnit+" "+p.DischargeUnit, "bar bar")
		near(t, "head tolerance", p.HeadTolerance, 0.05) // grade 2B, ISO 9906:2012 Table 8, from memory
		near(t, "read error", p.ReadError, 0.005)
		near(t, "tachometer", p.Tachometer, 0.005)
		near(t, "rated speed", p.Rated.Speed, 1480)
		near(t, "rated flow", p.Rated.Flow, 2500.0/3600)
		near(t, "rated head", p.Rated.Head, 125)
		near(t, "min speed", p.MinSpeed, 740)
		near(t, "max speed", p.MaxSpeed, 1480)
		near(t, "min flow", p.MinFlow, 750.0/3600)
		near(t, "nominal flow", p.NominalFlow, 2500.0/3600)
		near(t, "centre", p.Centre, 2.6)
		near(t, "suction loss", p.SuctionLoss, 1.6/(2500.0/3600)/(2500.0/3600))
		near(t, "riser loss", p.RiserLoss, 4.5/(2500.0/3600)/(2500.0/3600))
		equal(t, "closed valve", p.ClosedValve, hydraulics.ClosedValve{Seconds: 45, Heat: 15, Volume: 0.9})
		near(t, "rated power", p.RatedPower, 1.15e6)
		equal(t, "drive", p.Drive, Drive{Kind: "steam turbine", NoLoad: 0.18})
	}
}

// Every printed point lies on the curve of its speed.
func TestExampleCurves(t *testing.T) {
	family := loadExample(t).Ship.Pumps[0].Curves
	equal(t, "speeds", family.Speeds(), []float64{740, 1110, 1480})
	for _, sheet := range []struct {
		speed               float64
		q, h, percent, npsh []float64
	}{
		{740,
			[]float64{0, 120, 250, 380, 500, 620, 750, 880, 1000, 1120, 1250, 1380, 1500},
			[]float64{37.5, 37.5, 37.3, 37, 36.6, 36.1, 35.3, 34.5, 33.5, 32.4, 31.1, 29.6, 28.1},
			[]float64{0, 21.9, 36.1, 48.2, 57.6, 65.3, 71.8, 76.4, 79.2, 80.7, 81, 80.2, 78.2},
			[]float64{1.05, 1.06, 1.08, 1.12, 1.17, 1.24, 1.34, 1.47, 1.6, 1.76, 1.95, 2.17, 2.39}},
		{1110,
			[]float64{0, 190, 380, 560, 750, 940, 1120, 1310, 1500, 1690, 1880, 2060, 2250},
			[]float64{84.4, 84.3, 83.9, 83.3, 82.3, 81.1, 79.6, 77.7, 75.5, 73, 70.1, 67.1, 63.5},
			[]float64{0, 22.7, 36.4, 47.7, 57.6, 65.7, 71.6, 76.2, 79.2, 80.7, 81, 80.3, 78.2},
			[]float64{1.99, 2, 2.05, 2.13, 2.26, 2.43, 2.64, 2.91, 3.23, 3.6, 4.02, 4.48, 5.01}},
		{1480,
			[]float64{0, 250, 500, 750, 1000, 1250, 1500, 1750, 2000, 2250, 2500, 2750, 3000},
			[]float64{150, 149.8, 149.1, 148, 146.4, 144.2, 141.4, 138.2, 134.4, 130, 125, 119.5, 113.3},
			[]float64{0, 22.5, 36.1, 47.8, 57.6, 65.6, 71.8, 76.3, 79.2, 80.7, 81, 80.3, 78.2},
			[]float64{3.3, 3.32, 3.4, 3.55, 3.78, 4.08, 4.47, 4.94, 5.5, 6.16, 6.9, 7.74, 8.68}},
	} {
		line := family.At(sheet.speed)
		for i, q := range sheet.q {
			pt, inside := line.At(q / 3600)
			if !inside {
				t.Fatalf("%g m3/h is outside the curve of %g rpm", q, sheet.speed)
			}
			near(t, "head", pt.Head, sheet.h[i])
			near(t, "efficiency", pt.Efficiency, sheet.percent[i]/100)
			near(t, "npshr", pt.NPSHr, sheet.npsh[i])
		}
	}
}

func TestExampleTanks(t *testing.T) {
	d := loadExample(t)
	want := []Tank{
		{Name: "1C", Table: "tanks/1c.csv", Reference: 21.4, Along: 176, Pump: "COP 1"},
		{Name: "2C", Table: "tanks/2c.csv", Reference: 21.6, Along: 146, Pump: "COP 1"},
		{Name: "3C", Table: "tanks/3c.csv", Reference: 21.6, Along: 118, Pump: "COP 2"},
		{Name: "4C", Table: "tanks/4c.csv", Reference: 21.6, Along: 90, Pump: "COP 3"},
		{Name: "5C", Table: "tanks/5c.csv", Reference: 21.6, Along: 62, Pump: "COP 2"},
		{Name: "6C", Table: "tanks/6c.csv", Reference: 21.5, Along: 36, Pump: "COP 3"},
	}
	for i, got := range d.Ship.Tanks {
		if got.Volumes == nil {
			t.Fatalf("tank %s has no volumes", got.Name)
		}
		got.Volumes = nil
		equal(t, "tank", got, want[i])
	}
	volume, err := d.Ship.Tanks[0].Volumes.Volume(0.25, 1) // second line, second trim of tanks/1c.csv
	if err != nil {
		t.Fatal(err)
	}
	near(t, "volume", volume, 15926.4)

	for name, data := range d.Files {
		onDisk, err := os.ReadFile("testdata/" + name)
		if err != nil || string(onDisk) != string(data) {
			t.Errorf("Files holds other bytes for %s than the folder: %v", name, err)
		}
	}
	equal(t, "files", len(d.Files), 8)
}

// Every figure of the example plan, by hand as above; 1 psi = 6894.757293168 Pa
// (NIST SP 811), 1 mmWG = 9.80665 Pa.
func TestExamplePlan(t *testing.T) {
	p := loadExample(t).Plan
	equal(t, "fictional", p.Fictional, true)
	equal(t, "voyage", p.Voyage+"|"+p.Port+"|"+p.Berth, "014 D|Oyrarvik Deepwater Jetty|2")
	equal(t, "every", p.ReadingsEvery, time.Hour)
	equal(t, "zone", time.Date(2026, 3, 1, 0, 0, 0, 0, p.Zone).Format(time.RFC3339), "2026-03-01T00:00:00+01:00")
	near(t, "clause time", p.Clause.Time, 86400)
	near(t, "clause pressure", p.Clause.Pressure, 689475.7293168)
	equal(t, "clause", p.Clause.FirstLine, "lines-excluded")
	equal(t, "missing", p.Missing, []string(nil))
	equal(t, "notes", p.Notes, []string(nil))
	equal(t, "parcels", len(p.Parcels), 1)
}

func TestExampleParcel(t *testing.T) {
	a := loadExample(t).Plan.Parcels[0]
	equal(t, "names", a.Name+"|"+a.Grade, "A|Fulmar Blend")
	equal(t, "pumps", a.Pumps, []string{"COP 1", "COP 2", "COP 3"})
	equal(t, "manifolds", a.Manifolds, []string{"M2"})
	equal(t, "tanks", a.Tanks, []string{"1C", "2C", "3C", "4C", "5C", "6C"})
	near(t, "quantity", a.Quantity, 96500)
	near(t, "remainder", a.StrippingRemainder, 700)
	near(t, "manifold limit", a.Limits.Manifold, 8.5e5)
	near(t, "rate", a.Limits.Rate, 2)
	near(t, "first rate", a.Limits.FirstRate, 1000.0/3600)
	near(t, "static", a.Shore.Static, 26)
	near(t, "shore loss", a.Shore.Loss, 46/(6000.0/3600)/(6000.0/3600))
	near(t, "level rise", a.Shore.LevelRise, 0.4/3600)
	near(t, "time to stop", a.Shore.TimeToStop, 180)
	near(t, "booster", a.Shore.Booster, math.NaN())
	near(t, "ullage pressure", a.UllagePressure, 9806.65)
	equal(t, "basis", a.Basis, "m3 at 15")
	near(t, "temperature", a.Temperature, 307.15)
	near(t, "viscosity", a.Viscosity, 9e-6)
	near(t, "density at 15", a.Density15, 871)
	equal(t, "group", a.Group, cargo.Crude)
	equal(t, "observed", a.ObservedDensity, false)

	// ASTM D1250-80, table 54A, by hand: α = 613.9723/871² = 8.09305e-4 per K,
	// α Δt = 0.01537680 for 19 K, VCF = exp(−0.01537680 (1 + 0.01230144)) = 0.984554.
	if rho := a.Liquid.Density; math.Abs(rho-857.547) > 0.001 {
		t.Errorf("density at 34 degC: got %v, want 857.547", rho)
	}
	near(t, "half width", a.Liquid.DensityHalfWidth, 0.005*a.Liquid.Density)
	// AP-42 figure 7.1-16, by hand: RVP 6.0916 psi, ln = 1.80691, T = 552.87 °R:
	// exp(12.82 − 1.74764 − (7261 − 2197.20)/552.87) = exp(1.91325) = 6.7751 psi.
	if p := a.Liquid.VapourPressure; math.Abs(p/6894.757-6.7751) > 0.001 {
		t.Errorf("vapour pressure: got %v Pa, want 6.7751 psi", p)
	}
	near(t, "vapour half width", a.Liquid.VapourHalfWidth, 0.06*a.Liquid.VapourPressure)
}

func TestShipAlone(t *testing.T) {
	data, err := os.ReadFile("testdata/ship.yaml")
	if err != nil {
		t.Fatal(err)
	}
	bom := "\ufeff" + strings.ReplaceAll(string(data), "\n", "\r\n")
	for _, text := range []string{string(data), bom} {
		s, err := LoadShip("ship.yaml", []byte(text), nil)
		if err != nil {
			t.Fatal(err)
		}
		equal(t, "table", s.Tanks[5].Table, "tanks/6c.csv")
		if s.Tanks[5].Volumes != nil {
			t.Error("a table was read from nowhere")
		}
	}
}
