package units

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// dimensions are all that exist, in order.
func dimensions() []Dimension {
	var all []Dimension
	for d := Pressure; int(d) < len(table); d++ {
		all = append(all, d)
	}
	return all
}

// anyUnit draws a dimension and one of its units.
func anyUnit(t *rapid.T) (Dimension, string) {
	d := rapid.SampledFrom(dimensions()).Draw(t, "dimension")
	return d, rapid.SampledFrom(Units(d)).Draw(t, "unit")
}

func near(got, want, rel, abs float64) bool {
	return math.Abs(got-want) <= max(rel*math.Abs(want), abs)
}

func TestEveryDimensionHasNameAndUnits(t *testing.T) {
	all := dimensions()
	if last := all[len(all)-1]; last != Angle || len(dimensionNames) != len(table) {
		t.Fatalf("last dimension %v, %d names, %d rows of the table", last, len(dimensionNames), len(table))
	}
	for _, d := range all {
		if len(Units(d)) == 0 || strings.HasPrefix(d.String(), "dimension") {
			t.Errorf("%v (%d): units %q", d, d, Units(d))
		}
	}
	for _, none := range []Dimension{0, Angle + 1, 255} {
		if len(Units(none)) != 0 || !strings.HasPrefix(none.String(), "dimension ") {
			t.Errorf("%v has units %q", none, Units(none))
		}
		if _, err := Parse(none, "1 bar"); err == nil {
			t.Errorf("Parse(%v) accepts", none)
		}
	}
}

// A spelling must name one unit of its dimension, and be spelt so that the
// number before it ends where the unit begins.
func TestSpellingsAreUnambiguous(t *testing.T) {
	for _, d := range dimensions() {
		seen := map[string]string{}
		for _, u := range table[d] {
			for _, name := range append([]string{u.name}, u.aliases...) {
				if other, twice := seen[name]; twice {
					t.Errorf("%v: %q is both %s and %s", d, name, other, u.name)
				}
				seen[name] = u.name
				k, err := ParseKeyed(d, "300 "+name, "")
				if err != nil || k.Unit != u.name {
					t.Errorf("%v 300 %s: unit %q, want %q (%v)", d, name, k.Unit, u.name, err)
				}
			}
		}
	}
}

func TestCanonical(t *testing.T) {
	tests := []struct {
		d          Dimension
		typed, out string
	}{
		{Pressure, "kg/cm²", "kgf/cm2"},
		{Pressure, "kgf/cm²", "kgf/cm2"},
		{Pressure, " mmH2O ", "mmWG"},
		{Flow, "m³/h", "m3/h"},
		{Temperature, "°C", "degC"},
		{Temperature, "deg C", "degC"},
		{Speed, "r/min", "rpm"},
		{Density, "relative", "rel"},
	}
	for _, tt := range tests {
		if got, err := Canonical(tt.d, tt.typed); got != tt.out || err != nil {
			t.Errorf("Canonical(%v, %q) = %q, %v; want %q", tt.d, tt.typed, got, err, tt.out)
		}
	}
	if got, err := Canonical(Pressure, "m3/h"); err == nil {
		t.Errorf(`Canonical(Pressure, "m3/h") = %q without an error`, got)
	}
}

func TestFromToIsIdentity(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d, unit := anyUnit(t)
		v := rapid.Float64Range(-1e12, 1e12).Draw(t, "v")
		si, err := From(d, v, unit)
		if d == Temperature && errors.Is(err, errCold) {
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		back, err := To(d, si, unit)
		// Near 0 °C the kelvins hold 1e-12 of 273 K, not of the Celsius figure.
		if abs := 1e-12 * 459.67 * float64(btoi(d == Temperature)); err != nil || !near(back, v, 1e-12, abs) {
			t.Fatalf("%v %g %s is %g, back %g (%v)", d, v, unit, si, back, err)
		}
	})
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

func TestConversionLimits(t *testing.T) {
	largest := math.MaxFloat64 / 1e5 // bar
	tests := []struct {
		name string
		d    Dimension
		v    float64
		unit string
		want float64
		err  error
	}{
		{"largest pressure", Pressure, largest, "bar", largest * 1e5, nil},
		{"and its neighbour", Pressure, math.Nextafter(largest, math.Inf(1)), "bar", 0, errRange},
		{"negative", Pressure, -math.MaxFloat64, "bar", 0, errRange},
		{"infinite", Pressure, math.Inf(1), "Pa", 0, errNoFinite},
		{"NaN", Pressure, math.NaN(), "Pa", 0, errNoFinite},
		{"absolute zero", Temperature, -273.15, "degC", 0, nil},
		{"and its neighbour", Temperature, math.Nextafter(-273.15, -300), "degC", 0, errCold},
		{"absolute zero in degF", Temperature, -459.67, "degF", 0, nil},
		{"a fall", TemperatureDifference, -300, "degC", -300, nil},
		{"57 % is exact", Ratio, 57, "%", 0.57, nil},
	}
	for _, tt := range tests {
		got, err := From(tt.d, tt.v, tt.unit)
		if got != tt.want || !errors.Is(err, tt.err) {
			t.Errorf("%s: From(%v, %g, %s) = %g, %v; want %g, %v", tt.name, tt.d, tt.v, tt.unit, got, err, tt.want, tt.err)
		}
	}
	if got, err := From(Length, math.Copysign(0, -1), "m"); math.Signbit(got) || err != nil {
		t.Errorf("From(-0) = %g, %v; want 0", got, err)
	}
	if got, err := To(Length, math.Copysign(0, -1), "m"); math.Signbit(got) || err != nil {
		t.Errorf("To(-0) = %g, %v; want 0", got, err)
	}
	if got, err := To(Pressure, math.NaN(), "bar"); !math.IsNaN(got) || err != nil {
		t.Errorf("To(NaN) = %g, %v; want NaN", got, err)
	}
	for _, si := range []float64{math.Inf(-1), 1e308} {
		if got, err := To(Length, si, "mm"); !errors.Is(err, errRange) {
			t.Errorf("To(%g) = %g, %v; want %v", si, got, err, errRange)
		}
	}
	if got, err := To(Length, 1, "furlong"); err == nil {
		t.Errorf("To furlong = %g without an error", got)
	}
}

func TestNearest(t *testing.T) {
	tests := []struct {
		word string
		want []string
	}{
		{"bsr", []string{"bar"}},
		{"PSI", []string{"psi"}},
		{"kgf/cm3", []string{"kgf/cm2"}},
		{"kg", []string{"kgf/cm2"}},
		{"mmgw", []string{"mmWG", "mWG", "mmHg"}},
		{"mm", []string{"mmWG", "mmHg"}},
		{"furlong", nil},
		{strings.Repeat("bar", 1e6), nil},
		{"", nil},
	}
	for _, tt := range tests {
		if got := Nearest(tt.word, Units(Pressure)); !slices.Equal(got, tt.want) {
			t.Errorf("Nearest(%.20q) = %q, want %q", tt.word, got, tt.want)
		}
	}
}

func TestSlips(t *testing.T) {
	tests := []struct {
		a, b string
		want int
	}{
		{"kitten", "sitting", 3}, // the textbook example of the edit distance, from memory
		{"bar", "bar", 0},
		{"ba", "bar", 1}, // cut short
		{"b", "barrel", 1},
		{"abcdef", "a", 4}, // over the limit of 3, not counted further
	}
	for _, tt := range tests {
		if got := slips(tt.a, tt.b, 3); got != tt.want {
			t.Errorf("slips(%q, %q) = %d, want %d", tt.a, tt.b, got, tt.want)
		}
	}
}
