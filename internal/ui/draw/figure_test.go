package draw

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"example.org/headwatch/internal/curves"
	"example.org/headwatch/internal/hydraulics"
	"example.org/headwatch/internal/units"
	"example.org/headwatch/internal/watch"
)

const hour = 3600.0

func TestPlusMinus(t *testing.T) {
	nan := math.NaN()
	tests := []struct {
		name      string
		dimension units.Dimension
		si, u     float64
		unit      string
		least     float64
		want      string
		source    string
	}{
		{"flow", units.Flow, 2800 / hour, 170 / hour, "m3/h", 10, "2,800 ±170", "figures of a flow at rated: trade handbook, 3.2"},
		{"rounded up", units.Flow, 2277 / hour, 311 / hour, "m3/h", 10, "2,280 ±320", "own rule: the interval never understated"},
		{"exact step not rounded up", units.Flow, 2280 / hour, 320 / hour, "m3/h", 10, "2,280 ±320", "own rule"},
		{"never finer than ten", units.Flow, 2281 / hour, 4 / hour, "m3/h", 10, "2,280 ±10", "own rule"},
		{"two figures of a large one", units.Flow, 6901 / hour, 1052 / hour, "m3/h", 10, "6,900 ±1,100", "own rule: two figures (GUM 7.2.6)"},
		{"head", units.Length, 114.79, 4.48, "m", 0.1, "114.8 ±4.5", "GUM 7.2.6"},
		{"other unit", units.Pressure, 8.2e5, 0.3e5, "kPa", 1, "820 ±30", "1 bar = 100 kPa"},
		{"no uncertainty", units.Length, 12.34, nan, "m", 0.1, "12.3", "own rule"},
		{"no figure", units.Length, nan, 1, "m", 0.1, "–", "own rule"},
		{"infinite", units.Length, math.Inf(1), 1, "m", 0.1, "–", "own rule"},
		{"no such unit", units.Length, 1, 1, "furlong", 0.1, "–", "own rule"},
		{"negative", units.Length, -0.52, 1.6, "m", 0.1, "-0.5 ±1.6", "GUM 7.2.6"},
		{"no negative zero", units.Length, -0.04, 1.6, "m", 0.1, "0.0 ±1.6", "own rule"},
	}
	for _, tt := range tests {
		if got := PlusMinus(tt.dimension, tt.si, tt.u, tt.unit, tt.least).String(); got != tt.want {
			t.Errorf("%s: %q, want %q (%s)", tt.name, got, tt.want, tt.source)
		}
	}
}

// flowOf makes an estimate from m³/h.
func flowOf(state curves.State, flow, other, low, high, u95 float64) *hydraulics.Estimate {
	return &hydraulics.Estimate{State: state, Flow: flow / hour, FlowOther: other / hour,
		FlowLow: low / hour, FlowHigh: high / hour, FlowU95: u95 / hour}
}

func TestFlow(t *testing.T) {
	nan := math.NaN()
	for _, tt := range []struct {
		name string
		e    *hydraulics.Estimate
		want string
	}{
		{"readable", flowOf(curves.OK, 2280, nan, 1950, 2610, 314), "2,280 ±320"},
		{"poor: the ends, rounded outward", flowOf(curves.OK, 1120, nan, 610, 1480, nan), "1,100 (600–1,500)"}, // trade handbook, 3.2
		{"poor and open", flowOf(curves.OK, 2600, nan, 2307, nan, nan), "2,600 (≥2,300)"},
		{"beyond the end", flowOf(curves.BeyondEnd, 2630, nan, 2410, nan, nan), "≥2,630"},
		{"above the curve", flowOf(curves.AboveCurve, nan, nan, 0, 870, nan), "– (0–900)"},
		{"far above the curve", flowOf(curves.AboveCurve, nan, nan, 0, 0, nan), "– above"},
		{"two flows", flowOf(curves.TwoFlows, 2240, 313, nan, nan, nan), "2,240 or 310"},
		{"no bounds", flowOf(curves.OK, 2240, nan, nan, nan, nan), "2,240"},
	} {
		if got := Flow(tt.e, "m3/h").String(); got != tt.want {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
		}
	}
}

func TestRate(t *testing.T) {
	for _, tt := range []struct {
		rate watch.Rate
		want string
	}{
		{watch.Rate{Flow: 6730 / hour, U95: 950 / hour}, "6,730 ±950"},
		{watch.Rate{Flow: 6730 / hour, U95: 950 / hour, LowerBound: true}, "≥6,730"},
		{watch.Rate{Flow: math.NaN(), U95: math.NaN()}, "–"},
		{watch.Rate{}, "0"},
	} {
		if got := Rate(&tt.rate, "m3/h").String(); got != tt.want {
			t.Errorf("%q, want %q", got, tt.want)
		}
	}
}

// The digits of a figure as read are those that were read.
func TestRead(t *testing.T) {
	for _, tt := range []struct {
		dimension units.Dimension
		keyed     string
		unit      string
		unchanged bool
		want      string
	}{
		{units.Pressure, "0.62 bar", "bar", false, "0.62"},
		{units.Pressure, ".6", "bar", false, "0.6"},
		{units.Pressure, "9,10", "bar", false, "9.10"},
		{units.Pressure, "9.1±0.2", "bar", false, "9.1"},
		{units.Pressure, "-0.25", "bar", true, "-0.25 ="},
		{units.Pressure, "120 psi", "bar", false, "8.27"}, // 120 × 6894.757 Pa (NIST SP 811, B.8); one psi is 0.07 bar
		{units.Speed, "1300", "rpm", false, "1300"},
		{units.Speed, "1300±20", "rpm", false, "1300"},
		{units.Length, "11.345", "m", false, "11.345"},
	} {
		k, err := units.ParseKeyed(tt.dimension, tt.keyed, tt.unit)
		if err != nil {
			t.Fatal(err)
		}
		got := Read(tt.dimension, watch.Figure{Value: k.SI, Half: k.Half, Text: tt.keyed, Unchanged: tt.unchanged}, tt.unit).String()
		if got != tt.want {
			t.Errorf("%q: %q, want %q", tt.keyed, got, tt.want)
		}
	}
	if got := Read(units.Pressure, watch.Figure{Value: math.NaN()}, "bar").String(); got != "–" {
		t.Errorf("never read: %q", got)
	}
}

func TestGroups(t *testing.T) {
	for in, want := range map[string]string{"0": "0", "999": "999", "1000": "1,000", "-1234.5": "-1,234.5", "1234567": "1,234,567"} {
		if got := grouped(in); got != want {
			t.Errorf("%s: %s, want %s", in, got, want)
		}
	}
}

// Any figures whatever give a text without the words of IEEE 754.
func TestFiguresAreTotal(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		any := func(name string) float64 {
			return rapid.OneOf(rapid.Float64(), rapid.SampledFrom([]float64{math.NaN(), math.Inf(1), math.Inf(-1), 0, math.MaxFloat64})).Draw(t, name)
		}
		e := &hydraulics.Estimate{State: curves.State(rapid.IntRange(0, 3).Draw(t, "state")), Flow: any("flow"), FlowOther: any("other"),
			FlowLow: any("low"), FlowHigh: any("high"), FlowU95: any("u"), Head: any("head"), HeadU95: any("head u")}
		for _, s := range []string{Flow(e, "m3/h").String(), Head(e).String(), Rate(&watch.Rate{Flow: any("rate"), U95: any("rate u")}, "m3/h").String(),
			Read(units.Pressure, watch.Figure{Value: any("read"), Half: any("half"), Text: "x"}, "bar").String()} {
			if s == "" || strings.Contains(s, "NaN") || strings.Contains(s, "Inf") {
				t.Fatalf("%q of %+v", s, *e)
			}
		}
	})
}

func TestClock(t *testing.T) {
	p := Pen{Zone: time.FixedZone("+01:00", 3600)}
	at := time.Date(2026, 3, 1, 13, 20, 59, 0, time.UTC)
	for _, tt := range []struct{ got, want string }{
		{p.Clock(at), "14:20"},
		{p.Clock(time.Time{}), "–"},
		{p.Stamp(at), "14:20 +01:00"},
		{Pen{}.Stamp(at), "13:20 +00:00"},
		{p.Round(&watch.Picture{FirstRead: at, LastRead: at.Add(3 * time.Minute)}), "14:20–14:23"},
		{p.Round(&watch.Picture{FirstRead: at, LastRead: at}), "14:20"},
		{Age(&watch.Picture{At: at, FirstRead: at}, at), ""},
		{Age(&watch.Picture{At: at, FirstRead: at}, time.Time{}), ""},
		{Age(&watch.Picture{At: at, FirstRead: at}, at.Add(-59*time.Minute)), "59m old"},
		{Age(&watch.Picture{At: at, FirstRead: at}, at.Add(-199*time.Minute)), "3h19 old"},
		{Age(&watch.Picture{At: at, FirstRead: at}, at.Add(-11*time.Hour)), "11h old"},
		{p.Oldest(&watch.Picture{At: at, FirstRead: at, Oldest: at}), ""},
		{p.Oldest(&watch.Picture{At: at, FirstRead: at, Oldest: at.Add(-time.Hour)}), "; oldest 13:20"},
		{p.Oldest(&watch.Picture{At: at, FirstRead: at, Oldest: at.Add(-15 * time.Hour)}), "; oldest 28 Feb 23:20"},
		{Span(59 * time.Second), "under 1 min"},
		{Span(-time.Hour), "under 1 min"},
		{Span(59*time.Minute + 59*time.Second), "59 min"},
		{Span(125 * time.Minute), "2 h 5 min"},
		{Span(50 * time.Hour), "2 days"},
	} {
		if tt.got != tt.want {
			t.Errorf("%q, want %q", tt.got, tt.want)
		}
	}
}

func ExampleUnit() {
	fmt.Println(Unit("m3/h"), Unit("kgf/cm2"), Unit("degC"), Unit("bar"))
	// Output: m³/h kgf/cm² °C bar
}
