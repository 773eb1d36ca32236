package learn

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"example.org/headwatch/internal/hydraulics"
	"pgregory.net/rapid"
)

// plain is a pump of 2500 m³/h that gives a flow with a lasting error of 5 % by
// its curve and 3 % by its gauges.
func plain(name string, flow float64) PumpFlow {
	return PumpFlow{Pump: name, Rated: 2500 / hour,
		Share: hydraulics.Share{Flow: flow, Effects: hydraulics.Effects{Curve: -0.05 * flow, Discharge: 0.03 * flow}}}
}

// hourOf is hour h of a discharge in which ullages gave a rate, ± 1 %.
func hourOf(h int, ullage float64, pumps ...PumpFlow) Hour {
	return Hour{At: start.Add(time.Duration(h) * time.Hour), Pumps: pumps, Ullage: ullage, UllageU: 0.01 * ullage}
}

func fitFactors(t testing.TB, hours []Hour) Factors {
	t.Helper()
	f, err := FitFactors(hours)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// Source: by hand. One pump of 2 m³/s by its curve ± 0.1 m³/s and 1.9 ± 0.02 by
// ullage, three hours. Prior 1.00 ± 0.05 (and 0.001 of its own), so the sum of
// weights is 1/0.002501 + 3·2²/0.02² = 399.84 + 30000 and w = 1 − 3·2·0.1/0.02²
// over that. An hour's gap has 2·2/0.02² over that of a flow of 2 m³/s, three
// hours 0.98685; u² is 1.5·0.1² of what is left, (1 − 0.98685)², and of noise
// 3·0.32895²·0.02².
func TestCommonFactorByHand(t *testing.T) {
	p := PumpFlow{Pump: "COP 1", Rated: 2, Share: hydraulics.Share{Flow: 2, Effects: hydraulics.Effects{Curve: 0.1}}}
	var hours []Hour
	for h := range 3 {
		hours = append(hours, Hour{At: start.Add(time.Duration(h) * time.Hour), Pumps: []PumpFlow{p}, Ullage: 1.9, UllageU: 0.02})
	}
	f := fitFactors(t, hours)
	within(t, "w", f.Common.Value, 1-1500/30399.84, 1e-7)
	r := f.Rate([]PumpFlow{p})
	within(t, "raw", r.Raw, 2, 1e-12)
	within(t, "u of raw", r.RawU, 0.1, 1e-12)
	within(t, "corrected", r.Corrected, 2*(1-1500/30399.84), 1e-7)
	within(t, "u of corrected", r.CorrectedU, 0.01151, 1e-3)
	within(t, "u of w", f.Common.U, 0.01151/2, 1e-3)
}

func TestWhichHoursCount(t *testing.T) {
	rated := plain("COP 1", 0).Rated
	at := LeastShare * rated
	full := func(h int) Hour { return hourOf(h, 0.6, plain("COP 1", 0.62)) }
	tests := []struct {
		name   string
		hours  []Hour
		count  int
		source string
	}{
		{"none", nil, 0, "switched off"},
		{"two", []Hour{full(0), full(1)}, 2, "no figure before 3 hours"},
		{"three", []Hour{full(0), full(1), full(2)}, 3, "3 hours"},
		{"one at 0.7", []Hour{full(0), full(1), hourOf(2, 0.4, plain("COP 1", at))}, 2, "above 0.7 of rated"},
		{"one just above", []Hour{full(0), full(1), hourOf(2, 0.6, plain("COP 1", math.Nextafter(at, 1)))}, 3, "above 0.7 of rated"},
		{"a stop", []Hour{full(0), full(1), {Excluded: "stop"}}, 2, "excluded, figures not looked at"},
		{"nothing ran", []Hour{full(0), full(1), {Ullage: 0, UllageU: 1}}, 2, "above 0.7 of rated"},
		{"two pumps, one slow", []Hour{full(0), full(1), hourOf(2, 0.6, plain("COP 1", 0.62), plain("COP 2", 0.2))}, 2, "0.82 < 0.7 of 1.39"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			f := fitFactors(t, tt.hours)
			if f.Hours != tt.count || f.LeftOut != len(tt.hours)-tt.count {
				t.Errorf("%d hours count and %d not, want %d of %d (%s)", f.Hours, f.LeftOut, tt.count, len(tt.hours), tt.source)
			}
			r := f.Rate([]PumpFlow{plain("COP 1", 0.6)})
			if r.Raw != 0.6 || math.IsNaN(r.Corrected) != (tt.count < LeastHours) || math.IsNaN(r.CorrectedU) != (tt.count < LeastHours) {
				t.Errorf("rate %+v with %d hours", r, tt.count)
			}
		})
	}
	if r := new(Factors).Rate([]PumpFlow{plain("COP 1", 0.6)}); r.Raw != 0.6 || !math.IsNaN(r.Corrected) {
		t.Errorf("zero value: %+v", r)
	}
}

// TestPumpsGetTheirOwnFactors: three pumps that give 0.90, 0.96 and 1.00 of
// their curves.
func TestPumpsGetTheirOwnFactors(t *testing.T) {
	truth := map[string]float64{"COP 1": 0.90, "COP 2": 0.96, "COP 3": 1.00}
	log := func(combinations ...string) (hours []Hour) {
		for h := range 12 {
			ullage := 0.0
			var pumps []PumpFlow
			for _, n := range combinations[h%len(combinations)] {
				p := plain(fmt.Sprintf("COP %c", n), 0.65)
				pumps = append(pumps, p)
				ullage += truth[p.Pump] * p.Flow
			}
			hours = append(hours, hourOf(h, ullage, pumps...))
		}
		return hours
	}
	own := func(f Factors) (names string) {
		for _, p := range f.Pumps {
			if p.Own {
				names += strings.TrimPrefix(p.Pump, "COP ")
				within(t, p.Pump, p.Value, truth[p.Pump], 0.02)
			}
		}
		return names
	}
	for _, tt := range []struct {
		name         string
		combinations []string
		want         string
	}{
		{"always all", []string{"123"}, ""},
		{"one alone at times", []string{"123", "12"}, "3"},
		{"each left out at times", []string{"12", "23", "13"}, "123"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			f := fitFactors(t, log(tt.combinations...))
			if got := own(f); got != tt.want {
				t.Errorf("own factors of %q, want %q: %+v", got, tt.want, f.Pumps)
			}
			for _, p := range f.Pumps {
				if !p.Own && tt.want == "" && math.Abs(p.Value-f.Common.Value) > 1e-12 {
					t.Errorf("%s has %g, want the common %g", p.Pump, p.Value, f.Common.Value)
				}
			}
			r := f.Rate([]PumpFlow{plain("COP 1", 0.65), plain("COP 2", 0.65)})
			within(t, "two pumps", r.Corrected, 0.65*(0.90+0.96), 0.035)
		})
	}
}

func TestRemarks(t *testing.T) {
	log := func(ratios ...float64) (hours []Hour) {
		for h, r := range ratios {
			hours = append(hours, hourOf(h, 1.3*r, plain("COP 1", 0.65), plain("COP 2", 0.65)))
		}
		return hours
	}
	tests := []struct {
		name   string
		hours  []Hour
		want   string // part of the one remark; empty: none
		source string
	}{
		{"usual", log(0.95, 0.96, 0.95, 0.955), "", "0.90 to 1.0 is normal"},
		{"worn", log(0.88, 0.89, 0.88, 0.88), "", "slow fall is wear"},
		{"a little high", log(1.04, 1.04, 1.04), "", "below 1.05"},
		{"high", log(1.08, 1.08, 1.08), "8 % more", "above 1.05: gauge, density or ullage"},
		{"fell at once", log(0.96, 0.96, 0.955, 0.965, 0.87), "9 % less in the last hour", "strainer, air, wrong valve"},
		{"fell within scatter", log(0.99, 0.92, 0.98, 0.93, 0.92), "", "hours scatter by 3.5 %"},
		{"fell too early to tell", log(0.96, 0.96, 0.87), "", "3 hours before it"},
		{"rose", log(0.90, 0.90, 0.90, 0.90, 0.98), "", "no fall"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := fitFactors(t, tt.hours).Remarks
			if tt.want == "" && len(got) > 0 || tt.want != "" && (len(got) != 1 || !strings.Contains(got[0], tt.want)) {
				t.Errorf("remarks %q, want %q (%s)", got, tt.want, tt.source)
			}
		})
	}
}

func TestFactorsRefuse(t *testing.T) {
	nan := math.NaN()
	good := func() Hour { return hourOf(0, 0.6, plain("COP 1", 0.65)) }
	tests := map[string]func(*Hour){
		"no ullage":       func(h *Hour) { h.Ullage = nan },
		"ullage rises":    func(h *Hour) { h.Ullage = -0.1 },
		"ullage exact":    func(h *Hour) { h.UllageU = 0 },
		"u endless":       func(h *Hour) { h.UllageU = math.Inf(1) },
		"effect unknown":  func(h *Hour) { h.Pumps[0].Effects.Curve = nan },
		"noise below 0":   func(h *Hour) { h.Pumps[0].Noise = -1 },
		"one runs back":   func(h *Hour) { h.Pumps = append(h.Pumps, PumpFlow{Pump: "COP 2", Share: hydraulics.Share{Flow: -0.1}}) },
		"flow is endless": func(h *Hour) { h.Pumps[0].Flow = math.Inf(1) },
	}
	for name, spoil := range tests {
		h := good()
		spoil(&h)
		if _, err := FitFactors([]Hour{good(), good(), good(), h}); !errors.Is(err, hydraulics.ErrInput) {
			t.Errorf("%s: error %v, want ErrInput", name, err)
		}
	}
}

// TestFactorsAreAlwaysFinite: whatever counts, a figure comes out.
func TestFactorsAreAlwaysFinite(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var hours []Hour
		for h := range rapid.IntRange(LeastHours, 8).Draw(t, "n") {
			var pumps []PumpFlow
			for _, name := range []string{"COP 1", "COP 2", "COP 3"} {
				if rapid.Bool().Draw(t, name+" runs") {
					p := plain(name, rapid.Float64Range(0, 0.8).Draw(t, "flow"))
					p.Effects = hydraulics.Effects{Curve: rapid.Float64Range(-0.2, 0).Draw(t, "curve"), Discharge: rapid.Float64Range(0, 0.1).Draw(t, "gauge")}
					p.Noise = rapid.Float64Range(0, 0.1).Draw(t, "noise")
					pumps = append(pumps, p)
				}
			}
			hour := hourOf(h, 1, pumps...)
			hour.Ullage = rapid.Float64Range(0, 3).Draw(t, "ullage")
			hours = append(hours, hour)
		}
		f, err := FitFactors(hours)
		if err != nil {
			t.Fatal(err)
		}
		r := f.Rate([]PumpFlow{plain("COP 1", 0.6), plain("COP 4", 0.6)})
		if f.Hours >= LeastHours != finite(r.Corrected) || f.Hours >= LeastHours != finite(f.Common.U) || !finite(r.RawU) {
			t.Fatalf("%d hours, rate %+v, common %+v", f.Hours, r, f.Common)
		}
		for _, p := range f.Pumps {
			if !finite(p.Value) || !finite(p.U) {
				t.Fatalf("%+v", p)
			}
		}
	})
}

// A pump that just hangs on the line, its flow next to nothing beside its own
// uncertainty, must not drown what the others say.
func TestAPumpThatHardlyFlows(t *testing.T) {
	var hours []Hour
	for h := range 5 {
		idle := plain("COP 3", 1e-9)
		idle.Rated, idle.Effects = 0, hydraulics.Effects{Curve: -0.2, Discharge: 0.1}
		hours = append(hours, hourOf(h, 1.26, plain("COP 1", 0.66), plain("COP 2", 0.67), idle))
	}
	f, err := FitFactors(hours)
	if err != nil {
		t.Fatal(err)
	}
	// By hand: 1.26 of 1.33 m³/s by the curves, 0.947, between it and the prior's 1.
	if !(f.Common.Value > 0.94 && f.Common.Value < 1) || !finite(f.Common.U) {
		t.Errorf("common factor %+v", f.Common)
	}
}

func ExampleFitFactors() {
	var hours []Hour
	for h := range 4 {
		hours = append(hours, hourOf(h, 1.26, plain("COP 1", 0.66), plain("COP 2", 0.67)))
	}
	f, err := FitFactors(hours)
	if err != nil {
		fmt.Println(err)
		return
	}
	r := f.Rate([]PumpFlow{plain("COP 1", 0.64), plain("COP 2", 0.65)})
	fmt.Printf("w %.3f ± %.3f from %d hours\n", f.Common.Value, f.Common.U, f.Hours)
	fmt.Printf("raw %.3f ± %.3f m³/s, corrected %.3f ± %.3f\n", r.Raw, r.RawU, r.Corrected, r.CorrectedU)
	// Output:
	// w 0.948 ± 0.005 from 4 hours
	// raw 1.290 ± 0.070 m³/s, corrected 1.223 ± 0.006
}

func BenchmarkFitFactors(b *testing.B) {
	_, hours := draw(b, newShip(b), 1, 0.04).log(24, combinations)
	b.ReportAllocs()
	for b.Loop() {
		fitFactors(b, hours)
	}
}

func BenchmarkFactorsRate(b *testing.B) {
	_, hours := draw(b, newShip(b), 1, 0.04).log(24, combinations)
	f := fitFactors(b, hours)
	b.ReportAllocs()
	for b.Loop() {
		f.Rate(hours[0].Pumps)
	}
}
