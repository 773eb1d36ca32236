package ship

import (
	"io"
	"math"
	"strings"
	"testing"

	"example.org/headwatch/demo"
)

func TestThickCargoCorrectsTheCurvesOnce(t *testing.T) {
	d, err := Load(demo.Files())
	if err != nil {
		t.Fatal(err)
	}
	s, p := d.Ship, d.Plan.Parcels[0]
	printed := s.Pumps[0].Curves
	for _, tt := range []struct {
		cSt     float64
		thinner bool
		says    string
	}{
		{9, false, ""}, // the demo's own: B under 1
		{math.NaN(), false, ""},
		{900, true, "corrected for 900 cSt"},
		{900000, false, "beyond what ISO/TR 17766 corrects for"},
	} {
		p.Viscosity = tt.cSt * 1e-6
		pumps, words := s.ForCargo(&p)
		if len(pumps) != 3 || pumps[0].Curves != pumps[1].Curves {
			t.Fatalf("%g cSt: %d pumps, curves shared %v", tt.cSt, len(pumps), pumps[0].Curves == pumps[1].Curves)
		}
		h, _ := pumps[0].Curves.At(1480).Head(2000.0 / 3600)
		was, _ := printed.At(1480).Head(2000.0 / 3600)
		if (h < was) != tt.thinner {
			t.Errorf("%g cSt: head %g after %g m", tt.cSt, h, was)
		}
		if said := strings.Join(words, "; "); !strings.Contains(said, tt.says) || (tt.says == "") != (said == "") || len(words) > 1 {
			t.Errorf("%g cSt: %q, want one saying %q", tt.cSt, said, tt.says)
		}
	}
	if s.Pumps[0].Curves != printed {
		t.Error("the ship's own curves were changed")
	}
}

func TestValveOfTheShip(t *testing.T) {
	ship, err := demo.Files().Open(ShipFile)
	if err != nil {
		t.Fatal(err)
	}
	defer ship.Close()
	data, err := io.ReadAll(ship)
	if err != nil {
		t.Fatal(err)
	}
	with := func(valve string) []byte {
		return []byte(strings.Replace(string(data), "    closed-valve:", "    valve: "+valve+"\n    closed-valve:", 1))
	}
	s, err := LoadShip(ShipFile, with("{loss: 0.4 m at 2500 m3/h, rangeability: 30}"), nil)
	if err != nil {
		t.Fatal(err)
	}
	// By hand: 0.4 m over (2500/3600 m³/s)² = 0.82944 s²/m⁵.
	if v := s.Pumps[0].Valve; math.Abs(v.Loss-0.82944) > 1e-9 || v.Rangeability != 30 {
		t.Errorf("valve %+v", v)
	}
	if !math.IsNaN(s.Pumps[1].Valve.Loss) {
		t.Errorf("a valve nothing is said of: %+v", s.Pumps[1].Valve)
	}
	for _, tt := range []struct{ valve, says string }{
		{"{loss: 0.4 m at 2500 m3/h}", `key "rangeability" is missing`},
		{"{loss: 0.4 m at 2500 m3/h, rangeability: 1}", "want more than 1"},
		{"{loss: 0.4 m, rangeability: 50}", "want a head and a flow"},
	} {
		if _, err := LoadShip(ShipFile, with(tt.valve), nil); err == nil || !strings.Contains(err.Error(), tt.says) {
			t.Errorf("%s: %v, want %q", tt.valve, err, tt.says)
		}
	}
}
