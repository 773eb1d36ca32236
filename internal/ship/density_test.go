package ship

import (
	"math"
	"strings"
	"testing"

	"example.org/headwatch/internal/units"
)

func TestObservedDensity(t *testing.T) {
	tests := []struct {
		text          string
		density, half float64
		says, source  string
	}{
		{"858", 858, 0.858, "", "0.1 % is more than half of the last digit"},
		{"860.0 kg/m3", 860, 0.86, "", "the same"},
		{"0.86 rel", 860, 5, "", "half of the last digit, 0.005, is more"},
		{"858±3", 858, 3, "", "as typed"},
		{"0.858", 0, 0, `density "0.858": want 400..1200 kg/m3`, "a relative density without its unit"},
		{"-858", 0, 0, "want 400..1200 kg/m3", "own range"},
	}
	for _, tt := range tests {
		k, err := units.ParseKeyed(units.Density, tt.text, "kg/m3")
		if err != nil {
			t.Fatal(err)
		}
		density, half, err := ObservedDensity(k)
		if math.Abs(density-tt.density) > 1e-9 || math.Abs(half-tt.half) > 1e-9 ||
			(err != nil) != (tt.says != "") || err != nil && !strings.Contains(err.Error(), tt.says) {
			t.Errorf("%s: %v ±%v, %v; want %v ±%v, %q (%s)", tt.text, density, half, err, tt.density, tt.half, tt.says, tt.source)
		}
	}
}
