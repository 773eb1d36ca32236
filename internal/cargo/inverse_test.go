package cargo

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestUllageIsTheInverseOfVolume(t *testing.T) {
	table, err := NewTable([]float64{0, 1, 2.5, 4}, []float64{0, 2}, [][]float64{{900, 890}, {700, 680}, {350, 330}, {10, 4}})
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(rt *rapid.T) {
		ullage := rapid.Float64Range(0, 4).Draw(rt, "ullage")
		trim := rapid.Float64Range(0, 2).Draw(rt, "trim")
		v, err := table.Volume(ullage, trim)
		if err != nil {
			rt.Fatal(err)
		}
		got, err := table.Ullage(v, trim)
		if err != nil || math.Abs(got-ullage) > 1e-9 {
			rt.Fatalf("%g m3 at trim %g: ullage %g (%v), want %g", v, trim, got, err, ullage)
		}
	})
	for _, v := range []float64{900.1, 9.9, math.NaN(), math.Inf(1)} {
		if u, err := table.Ullage(v, 0); err == nil || !math.IsNaN(u) {
			t.Errorf("volume %g: ullage %g, error %v", v, u, err)
		}
	}
	if _, err := table.Ullage(5, 0); !errors.Is(err, ErrOutside) {
		t.Errorf("under the table: %v, want ErrOutside", err)
	}
}
