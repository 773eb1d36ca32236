package viscosity_test

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"example.org/headwatch/internal/curves"
	"example.org/headwatch/internal/hydraulics"
	"example.org/headwatch/internal/hydraulics/viscosity"
	"example.org/headwatch/internal/published"
)

const hour = 3600.0

// factors compares what a row expects of the factors at b.
func factors(r *published.Row, b float64) viscosity.Factors {
	f, err := viscosity.New(b)
	if err != nil {
		r.T.Fatal(err)
	}
	ratio := r.Or("flow_over_bep", r.Or("flow_ratio", 1))
	for _, name := range []string{"b", "parameter_B"} {
		r.Want(name, b)
	}
	for _, name := range []string{"c_q", "C_Q"} {
		r.Want(name, f.Flow)
	}
	for _, name := range []string{"c_eta", "C_eta"} {
		r.Want(name, f.Efficiency)
	}
	r.Want("c_h_at_ratio", f.Head(ratio))
	r.Want("C_H", f.Head(ratio))
	return f
}

func TestPublishedViscosity(t *testing.T) {
	fromWater := func(r *published.Row) float64 {
		return viscosity.Parameter(r.Or("viscosity", r.Or("kinematic_viscosity", 0)), r.Or("flow_bep", r.Or("bep_flow", 0)),
			r.Or("head_bep", r.Or("bep_head", 0)), r.In("speed"))
	}
	published.Check(t, "viscosity", map[string]func(*published.Row){
		"viscosity_factors_from_b": func(r *published.Row) { factors(r, r.In("b")) },
		"viscosity_factors": func(r *published.Row) {
			if b := r.Or("parameter_B", 0); b > 0 {
				factors(r, b)
				return
			}
			factors(r, fromWater(r))
		},
		"viscosity_factors_us": func(r *published.Row) {
			// The US form has a constant of its own; in one set of units the two
			// differ by this.
			const feet, gallonsPerMinute = 1 / 0.3048, 1 / 0.2271247 // of a metre, of 1 m³/h
			us := 26.6 / 16.5 * math.Pow(feet, 0.0625) / math.Pow(gallonsPerMinute, 0.375)
			factors(r, us*fromWater(r))
		},
		"viscosity_from_water_bep": func(r *published.Row) { factors(r, fromWater(r)) },
		"viscosity_from_viscous_duty": func(r *published.Row) {
			flow, head := r.In("viscous_flow"), r.In("viscous_head")
			f := factors(r, viscosity.ParameterForDuty(r.In("kinematic_viscosity"), flow, head))
			efficiency := f.Efficiency * r.In("water_efficiency")
			r.Want("water_flow", flow/f.Flow)
			r.Want("water_head", head/f.Head(1))
			r.Want("viscous_efficiency", efficiency)
			r.Want("viscous_power", hydraulics.ShaftPower(r.In("density"), flow, head, efficiency))
		},
	}, map[string]string{
		"vi-below1 C_eta_ratio": "the branch of efficiency below B = 1 is from memory and does not meet the other at B = 1",
	})
}

func TestNew(t *testing.T) {
	tests := []struct {
		name   string
		b      float64
		flow   float64 // NaN for none
		err    error
		source string
	}{
		{"water", 0.2, 1, nil, "no correction up to B = 1"},
		{"limit", 1, 1, nil, "no correction up to B = 1"},
		{"just over", math.Nextafter(1, 2), 1, nil, "log10 1 = 0: the factor leaves 1 without a step"},
		{"end", math.Nextafter(40, 0), 0.4839, nil, "2.71^(−0.165 · 1.60206^3.15) by hand"},
		{"over the end", 40, math.NaN(), viscosity.ErrOutside, "not valid from B = 40"},
		{"nothing", 0, math.NaN(), viscosity.ErrInput, "own rule"},
		{"no number", math.NaN(), math.NaN(), viscosity.ErrInput, "own rule"},
		{"infinite", math.Inf(1), math.NaN(), viscosity.ErrOutside, "own rule"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			f, err := viscosity.New(tt.b)
			if !errors.Is(err, tt.err) || math.IsNaN(f.Flow) != math.IsNaN(tt.flow) || math.Abs(f.Flow-tt.flow) > 5e-5 || math.IsNaN(f.Efficiency) != (tt.err != nil) {
				t.Errorf("%+v, %v, want C_Q %g, %v (%s)", f, err, tt.flow, tt.err, tt.source)
			}
		})
	}
}

// Thicker is never better, and head at no flow stays.
func TestFactorsFall(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := rapid.Float64Range(0.5, 38).Draw(t, "b")
		ratio := rapid.Float64Range(0.05, 1.3).Draw(t, "ratio")
		thin, errA := viscosity.New(b)
		thick, errB := viscosity.New(b * 1.05)
		if errors.Join(errA, errB) != nil {
			t.Fatal(errA, errB)
		}
		if thick.Flow > thin.Flow || thick.Efficiency > thin.Efficiency || thick.Head(ratio) > thin.Head(ratio) || thick.Head(0) != 1 {
			t.Fatalf("%+v, thicker %+v", thin, thick)
		}
	})
}

// single is one printed speed of a pump with its best point second to last.
func single(speed, flow, head, efficiency float64) curves.Sheet {
	return curves.Sheet{Speed: speed, Q: []float64{0, flow / 2, flow, 1.2 * flow}, H: []float64{1.25 * head, 1.18 * head, head, 0.88 * head},
		Efficiency: []float64{0, 0.8 * efficiency, efficiency, 0.95 * efficiency}, NPSHr: []float64{2, 2.2, 3, 4}}
}

func family(t testing.TB, law curves.Law, sheets ...curves.Sheet) *curves.Family {
	t.Helper()
	f, err := curves.NewFamily(law, sheets)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// The worked example of ISO/TR 17766 and ANSI/HI 9.6.7 (110 m³/h, 77 m, 2950 rpm,
// 120 cSt), with the factors of handbook.json row vi-hi-ex1.
func TestCorrectWorkedExample(t *testing.T) {
	const cq, ceta = 0.937762, 0.738007
	got, err := viscosity.Correct(family(t, curves.Affinity, single(2950, 110/hour, 77, 0.68)), 120e-6)
	if err != nil || len(got.Warnings) != 0 || len(got.Factors) != 1 {
		t.Fatalf("%+v, %v, want no warning: the pump is of the size that was tested", got, err)
	}
	pt, ok := got.Curves.At(2950).At(110 * cq / hour)
	if !ok || math.Abs(pt.Head-77*cq) > 1e-3 || math.Abs(pt.Efficiency-0.68*ceta) > 1e-5 || math.Abs(pt.NPSHr-3) > 1e-3 {
		t.Errorf("%+v, want head %.3f m, efficiency %.5f, NPSH required 3 m", pt, 77*cq, 0.68*ceta)
	}
	if h, _ := got.Curves.At(2950).Head(0); h != 1.25*77 {
		t.Errorf("%g m at no flow, want that of water, %g", h, 1.25*77)
	}
	if got.Curves.Law() != curves.Affinity {
		t.Error("the law of speeds has changed")
	}
}

func TestCorrect(t *testing.T) {
	cargoPump := []curves.Sheet{single(740, 1250/hour, 31, 0.81), single(1480, 2500/hour, 125, 0.81)}
	water := family(t, curves.Interpolate, cargoPump...)
	bare := cargoPump[1]
	bare.Efficiency = nil
	tests := []struct {
		name      string
		from      *curves.Family
		viscosity float64 // cSt
		same      bool
		warnings  []string
		err       error
		source    string
	}{
		{"thin crude", water, 9, true, nil, nil, "B 0.56 at 1480 rpm, 0.79 at 740"},
		{"thick at the lower speed only", water, 20, false, []string{"740 rpm: best-efficiency flow 1250 m3/h, drawn from 3 to 260 m3/h"}, nil, "B 0.84 and 1.18"},
		{"fuel oil", water, 380, false, []string{"740 rpm: best-efficiency flow", "1480 rpm: best-efficiency flow 2500 m3/h"}, nil, "B 3.6 and 5.2"},
		{"far too thick", water, 40000, false, nil, viscosity.ErrOutside, "B 37 and 53"},
		{"thicker than tested", family(t, curves.Affinity, single(2950, 110/hour, 77, 0.68)), 3500, false, []string{"viscosity 3500 cSt, drawn from 1 to 3000 cSt"}, nil, "B 30"},
		{"too high", family(t, curves.Affinity, single(3600, 100/hour, 140, 0.68)), 200, false, []string{"head there 140 m, drawn from 6 to 130 m"}, nil, "range of the source"},
		{"no efficiency", family(t, curves.Affinity, bare), 380, false, nil, viscosity.ErrNoEfficiency, "own rule"},
		{"no viscosity", water, math.NaN(), false, nil, viscosity.ErrInput, "own rule"},
		{"negative", water, -1, false, nil, viscosity.ErrInput, "own rule"},
		{"infinite", water, math.Inf(1), false, nil, viscosity.ErrInput, "own rule"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := viscosity.Correct(tt.from, tt.viscosity*1e-6)
			if !errors.Is(err, tt.err) || (got.Curves == tt.from) != tt.same || (got.Curves == nil) != (tt.err != nil) {
				t.Fatalf("%+v, %v, want the same curves: %v, %v (%s)", got, err, tt.same, tt.err, tt.source)
			}
			if len(got.Warnings) != len(tt.warnings) {
				t.Fatalf("warnings %v, want %d", got.Warnings, len(tt.warnings))
			}
			for i, w := range got.Warnings {
				if !errors.Is(w, viscosity.ErrOutside) || !strings.Contains(w.Error(), tt.warnings[i]) {
					t.Errorf("warning %q, want it to say %q", w, tt.warnings[i])
				}
			}
		})
	}
}

// At any flow and speed a thicker cargo is lifted less high, at more power for
// what it delivers.
func TestCorrectedCurvesLieBelow(t *testing.T) {
	water := family(t, curves.Interpolate, single(740, 1250/hour, 31, 0.81), single(1480, 2500/hour, 125, 0.81))
	rapid.Check(t, func(t *rapid.T) {
		thick := rapid.Float64Range(50, 10000).Draw(t, "cSt") * 1e-6
		a, errA := viscosity.Correct(water, thick)
		b, errB := viscosity.Correct(water, 1.2*thick)
		if errors.Join(errA, errB) != nil {
			t.Fatal(errA, errB)
		}
		speed := rapid.Float64Range(740, 1480).Draw(t, "speed")
		q := rapid.Float64Range(0, 1).Draw(t, "share") * b.Curves.At(speed).End()
		w, _ := water.At(speed).At(q)
		x, _ := a.Curves.At(speed).At(q)
		y, ok := b.Curves.At(speed).At(q)
		const rounding = 1 + 1e-12
		if !ok || x.Head > w.Head*rounding || y.Head > x.Head*rounding {
			t.Fatalf("at %g rpm, %g m3/s: water %g m, thick %g m, thicker %g m", speed, q, w.Head, x.Head, y.Head)
		}
		if slices.Max([]float64{x.Efficiency, y.Efficiency}) > 0.81 {
			t.Fatalf("efficiency %g, thicker %g", x.Efficiency, y.Efficiency)
		}
	})
}

func ExampleParameter() {
	// 380 cSt fuel in a pump with its best efficiency at 3,000 m³/h and 125 m, 1300 rpm.
	fmt.Printf("%.2f\n", viscosity.Parameter(380e-6, 3000.0/3600, 125, 1300))
	// Output: 3.60
}

func ExampleParameterForDuty() {
	fmt.Printf("%.2f\n", viscosity.ParameterForDuty(120e-6, 100.0/3600, 70))
	// Output: 5.70
}

func ExampleNew() {
	f, err := viscosity.New(5)
	fmt.Printf("flow %.3f, head at 60 %% of best flow %.3f, efficiency %.3f %v\n", f.Flow, f.Head(0.6), f.Efficiency, err)
	_, err = viscosity.New(52)
	fmt.Println(err)
	// Output:
	// flow 0.948, head at 60 % of best flow 0.965, efficiency 0.765 <nil>
	// parameter B 52: want less than 40: outside the range of the viscosity correction
}

func ExampleCorrect() {
	water, err := curves.NewFamily(curves.Affinity, []curves.Sheet{{Speed: 1480,
		Q: []float64{0, .3, .6, .7, .83}, H: []float64{150, 145, 131, 125, 113}, Efficiency: []float64{0, .58, .79, .81, .78}}})
	if err != nil {
		fmt.Println(err)
		return
	}
	got, err := viscosity.Correct(water, 600e-6)
	if err != nil {
		fmt.Println(err)
		return
	}
	h, _ := got.Curves.At(1480).Head(0.6)
	fmt.Printf("%.1f m at 2160 m3/h instead of 131\n", h)
	for _, w := range got.Warnings {
		fmt.Println(w)
	}
	// Output:
	// 124.0 m at 2160 m3/h instead of 131
	// 1480 rpm: best-efficiency flow 2520 m3/h, drawn from 3 to 260 m3/h: outside the range of the viscosity correction
}

func BenchmarkCorrect(b *testing.B) {
	water := family(b, curves.Interpolate, single(740, 1250/hour, 31, 0.81), single(1480, 2500/hour, 125, 0.81))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := viscosity.Correct(water, 380e-6); err != nil {
			b.Fatal(err)
		}
	}
}
