package units

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestParse(t *testing.T) {
	tests := []struct {
		d    Dimension
		s    string
		want float64
	}{
		{Pressure, "8.5 bar", 850000},
		{Pressure, "  -0.31  kgf/cm2 ", -0.31 * 98066.5},
		{Pressure, "1000 mmWG", 9806.65},
		{Pressure, "8.5\u00a0bar", 850000}, // a no-break space, as word processors write
		{Pressure, "+1e5 Pa", 1e5},
		{Pressure, "1.5E-1bar", 15000},
		{Pressure, "1e308 Pa", 1e308},
		{Flow, "2500 m³/h", 2500.0 / 3600},
		{Density, "858 kg/m3", 858},
		{Density, "0.858 rel", 858},
		{Density, "0.858 relative", 858},
		{Temperature, "34 degC", 307.15},
		{Temperature, "34 °C", 307.15},
		{TemperatureDifference, "15 K", 15},
		{Ratio, "0.5 %", 0.005},
		{Ratio, "0.5 1", 0.5},
		{Speed, "1480 rpm", 1480},
		{Speed, "1480 1/min", 1480},
		{Duration, "60 min", 3600},
		{LengthRate, "0.4 m/h", 0.4 / 3600},
		{Angle, "180 deg", math.Pi},
	}
	for _, tt := range tests {
		if got, err := Parse(tt.d, tt.s); err != nil || !near(got, tt.want, 1e-15, 0) {
			t.Errorf("Parse(%v, %q) = %.17g, %v; want %.17g", tt.d, tt.s, got, err, tt.want)
		}
	}
}

func TestParseRefuses(t *testing.T) {
	tests := []struct {
		d       Dimension
		s, says string
	}{
		{Pressure, "8,5 bar", `pressure "8,5 bar": decimal comma, want a dot`},
		{Pressure, "8.5", `pressure "8.5": unit missing, want one of bar, kgf/cm2, `},
		{Pressure, "8.5 bsr", `pressure "8.5 bsr": unknown unit "bsr", nearest: bar`},
		{Pressure, "8.5 furlong", `unknown unit "furlong", want one of bar, `},
		{Pressure, "12 ft", `"ft" is a unit of length, want one of bar, `},
		{Pressure, "", `pressure "": want a number`},
		{Pressure, "bar", "want a number"},
		{Pressure, "- bar", "want a number"},
		{Pressure, ". bar", "want a number"},
		{Pressure, "NaN bar", "want a number"},
		{Pressure, "Inf bar", "want a number"},
		{Pressure, "-infinity bar", "want a number"},
		{Pressure, "1e400 bar", "too large"},
		{Pressure, "1e99999999999999999999 bar", "too large"},
		{Pressure, "1e308 bar", "too large"}, // after the factor
		{Pressure, "0x1p4 bar", "unknown unit"},
		{Pressure, "1_000 bar", "thousands"},
		{Pressure, "1 300 bar", "thousands"},
		{Pressure, "1'300 bar", "thousands"},
		{Pressure, "1,234.5 bar", "thousands"},
		{Pressure, "1.234.5 bar", "thousands"},
		{Pressure, "--1 bar", "want a number"},
		{Pressure, "1 bar bar", "unknown unit"},
		{Pressure, "1e bar", "unknown unit"},
		{Pressure, "1 \xff\x00", `unknown unit "\xff\x00"`},
		{Temperature, "-300 degC", "below absolute zero"},
		{Ratio, "0.5", "unit missing, want one of %, 1"}, // a half or half a percent?
	}
	for _, tt := range tests {
		got, err := Parse(tt.d, tt.s)
		if err == nil || !strings.Contains(err.Error(), tt.says) || got != 0 {
			t.Errorf("Parse(%v, %q) = %g, %v; want error %q", tt.d, tt.s, got, err, tt.says)
		}
	}
}

func TestErrorsStayShort(t *testing.T) {
	for _, s := range []string{strings.Repeat("9", 1e7), "1 " + strings.Repeat("é", 1e6), strings.Repeat("\xff", 1e6)} {
		if _, err := Parse(Pressure, s); err == nil || len(err.Error()) > 700 {
			t.Errorf("%d bytes of input: error %.200v", len(s), err)
		}
	}
}

func TestParseNumber(t *testing.T) {
	tests := []struct {
		s    string
		want float64
		says string
	}{
		{"1.548", 1.548, ""},
		{" -7 ", -7, ""},
		{".6", 0.6, ""},
		{"1e-400", 0, ""}, // too small to hold is 0
		{"1,5", 0, `number "1,5": decimal comma, want a dot`},
		{"1.5 bar", 0, `"bar" after the number`},
		{"0x10", 0, `"x10" after the number`},
		{"1_000", 0, "thousands"},
		{"", 0, "want a number"},
		{"nan", 0, "want a number"},
		{"1e400", 0, "too large"},
	}
	for _, tt := range tests {
		got, err := ParseNumber(tt.s)
		if got != tt.want || (err == nil) != (tt.says == "") || err != nil && !strings.Contains(err.Error(), tt.says) {
			t.Errorf("ParseNumber(%q) = %g, %v; want %g, %q", tt.s, got, err, tt.want, tt.says)
		}
	}
	if got, err := ParseNumber("-0"); math.Signbit(got) || err != nil {
		t.Errorf(`ParseNumber("-0") = %g, %v; want 0`, got, err)
	}
}

// The library's own parser is the reference, also past the digits and powers
// that the quick way takes.
func TestScanAgreesWithStrconv(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.StringMatching(`[+-]?[0-9]{1,18}(\.[0-9]{0,6})?(e[+-]?[0-9]{1,2})?`).Draw(t, "s")
		want, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		for _, typed := range []string{s, strings.Replace(s, ".", ",", 1)} {
			if n, rest, err := scan(typed); n.value != want || rest != "" || err != nil {
				t.Fatalf("scan(%q) = %.17g, %q, %v; want %.17g", typed, n.value, rest, err, want)
			}
		}
	})
}

// The wanted figures are hand calculations, written out.
func TestParseWithDensity(t *testing.T) {
	tests := []struct {
		name  string
		parse func(string, float64) (float64, error)
		s     string
		rho   float64
		want  float64
		says  string
	}{
		{"mass flow", ParseFlow, "858 t/h", 858, 1000.0 / 3600, ""},
		{"volume flow needs none", ParseFlow, "1000 m3/h", 0, 1000.0 / 3600, ""},
		{"mass flow without", ParseFlow, "858 t/h", 0, 0, `flow "858 t/h": a mass flow needs a density to be a flow`},
		{"negative density", ParseFlow, "858 t/h", -858, 0, "needs a density"},
		{"no figure for density", ParseFlow, "858 t/h", math.NaN(), 0, "needs a density"},
		{"infinite density", ParseFlow, "858 t/h", math.Inf(1), 0, "needs a density"},
		{"overflow", ParseFlow, "1e308 kg/s", 1e-3, 0, "too large"},
		{"less than nothing", ParseFlow, "-5e-324 kg/s", 858, 0, ""}, // not -0
		{"no flow at all", ParseFlow, "858 tonne", 858, 0, `unknown unit "tonne"`},
		{"head of liquid", ParsePressure, "10 m", 860, 10 * 860 * 9.80665, ""},
		{"in feet", ParsePressure, "100 ft", 860, 30.48 * 860 * 9.80665, ""},
		{"pressure needs none", ParsePressure, "2 bar", 0, 2e5, ""},
		{"head of water needs none", ParsePressure, "10 mWG", 0, 98066.5, ""},
		{"head without", ParsePressure, "10 m", 0, 0, `pressure "10 m": a length needs a density to be a pressure`},
	}
	for _, tt := range tests {
		got, err := tt.parse(tt.s, tt.rho)
		if math.Signbit(got) || !near(got, tt.want, 1e-14, 0) || (err == nil) != (tt.says == "") || err != nil && !strings.Contains(err.Error(), tt.says) {
			t.Errorf("%s: %q at %g = %g, %v; want %g, %q", tt.name, tt.s, tt.rho, got, err, tt.want, tt.says)
		}
	}
}

func TestParseRange(t *testing.T) {
	tests := []struct {
		d    Dimension
		s    string
		want Range
		says string
	}{
		{Pressure, "-1..5 bar", Range{-1e5, 5e5, "bar"}, ""},
		{Pressure, " 0 .. 20kg/cm² ", Range{0, 20 * 98066.5, "kgf/cm2"}, ""},
		{Temperature, "-10..80 degC", Range{263.15, 353.15, "degC"}, ""},
		{Pressure, "-1..-0.5 bar", Range{-1e5, -0.5e5, "bar"}, ""},
		{Pressure, "-1 bar", Range{}, `range of pressure "-1 bar": want two ends and a unit, as in "-1..5 bar"`},
		{Pressure, "0...5 bar", Range{}, "want two ends"}, // 0.5 or 5?
		{Pressure, "-1 bar..5 bar", Range{}, `"bar" after the lower end, want the unit once, at the end`},
		{Pressure, "..5 bar", Range{}, "want a number"},
		{Pressure, "0..x bar", Range{}, "want a number"},
		{Pressure, "5..-1 bar", Range{}, "want the lower end first"},
		{Pressure, "5..5 bar", Range{}, "want the lower end first"},
		{Pressure, "-1..5", Range{}, "unit missing"},
		{Pressure, "0,5..5 bar", Range{}, "decimal comma"},
		{Pressure, "0..1e308 bar", Range{}, "too large"},
		{Temperature, "-300..5 degC", Range{}, "below absolute zero"},
	}
	for _, tt := range tests {
		got, err := ParseRange(tt.d, tt.s)
		if got.Unit != tt.want.Unit || !near(got.Lo, tt.want.Lo, 1e-15, 0) || !near(got.Hi, tt.want.Hi, 1e-15, 0) ||
			(err == nil) != (tt.says == "") || err != nil && !strings.Contains(err.Error(), tt.says) {
			t.Errorf("ParseRange(%q) = %+v, %v; want %+v, %q", tt.s, got, err, tt.want, tt.says)
		}
	}
}

// The wanted figures are hand calculations: K = h (3600 s/h / flow in m3/h)².
func TestParseLoss(t *testing.T) {
	tests := []struct {
		s    string
		want float64
		says string
	}{
		{"4.5 m at 2500 m3/h", 9.3312, ""},            // 4.5 · 1.44²
		{"46 m at 6000 m3/h", 16.56, ""},              // 46 · 0.6²
		{"10 ft at 3600 m³/h", 3.048, ""},             // 10 · 0.3048 · 1²
		{"0 m at 1 m3/h", 0, ""},                      // no loss
		{"4.5 m", 0, `want a head and a flow, as in`}, // and at what flow?
		{"4.5 bar at 2500 m3/h", 0, `"bar" is a unit of pressure`},
		{"4.5 m at 2500 rpm", 0, `"rpm" is a unit of speed`},
		{"4.5 m at 0 m3/h", 0, "flow above 0"},
		{"4.5 m at -5 m3/h", 0, "flow above 0"},
		{"-4.5 m at 5 m3/h", 0, "head of 0 or more"},
		{"1e300 m at 1e-10 m3/h", 0, "too large"},
	}
	for _, tt := range tests {
		got, err := ParseLoss(tt.s)
		if !near(got, tt.want, 1e-14, 0) || (err == nil) != (tt.says == "") || err != nil && !strings.Contains(err.Error(), tt.says) {
			t.Errorf("ParseLoss(%q) = %.17g, %v; want %g, %q", tt.s, got, err, tt.want, tt.says)
		}
	}
}

func BenchmarkParseNumber(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := ParseNumber("1075"); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkParse(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Parse(Flow, "2500 m3/h"); err != nil {
			b.Fatal(err)
		}
	}
}
