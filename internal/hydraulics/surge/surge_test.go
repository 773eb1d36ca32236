package surge_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"example.org/headwatch/internal/hydraulics/surge"
	"example.org/headwatch/internal/published"
)

func waveSpeed(r *published.Row) float64 {
	return surge.WaveSpeed(r.In("bulk_modulus"), r.In("density"), r.Or("bore", 1), r.Or("wall", 1),
		r.Or("elastic_modulus", r.Or("youngs_modulus", math.Inf(1))))
}

// change returns the change of velocity, from a flow where a row gives that.
func change(r *published.Row) float64 {
	if v := r.Or("velocity_drop", r.Or("velocity_change", 0)); v > 0 {
		return v
	}
	bore := r.Or("bore", math.NaN())
	return r.Or("flow_drop", math.NaN()) / (math.Pi * bore * bore / 4)
}

func TestPublishedSurge(t *testing.T) {
	speed := func(r *published.Row) { r.Want("wave_speed", waveSpeed(r)) }
	published.Check(t, "surge", map[string]func(*published.Row){
		"wave_speed": speed, "wave_speed_rigid": speed,
		"joukowsky": func(r *published.Row) {
			r.Want("pressure_rise", surge.Sudden(r.In("density"), r.In("wave_speed"), change(r)))
		},
		"surge_period": func(r *published.Row) { r.Want("period_2l_over_c", surge.Period(r.In("length"), r.In("wave_speed"))) },
		"slow_closure": func(r *published.Row) {
			r.Want("pressure_rise", surge.Slow(r.In("density"), r.In("length"), change(r), r.In("closing_time")))
		},
		"surge": func(r *published.Row) {
			a := r.Or("wave_speed", 0)
			if a == 0 {
				a = waveSpeed(r)
			}
			r.Want("wave_speed", a)
			r.Want("pressure_rise", surge.Sudden(r.In("density"), a, change(r)))
			r.Want("slow_closure_pressure_rise", surge.Slow(r.In("density"), r.Or("length", 0), change(r), r.Or("closing_time", 1)))
		},
		"rigid_column_rise": func(r *published.Row) { // flow taken off evenly: half of Slow
			r.Want("pressure_rise", surge.Slow(r.In("density"), r.In("length"), change(r), r.In("closing_time"))/2)
		},
	}, nil)
}

func TestStop(t *testing.T) {
	line := surge.Line{Length: 1600, Bore: 1.2, Density: 1000, WaveSpeed: 970}
	const period, whole = 3200.0 / 970, 1000 * 970 * 0.751565009
	tests := []struct {
		name   string
		line   surge.Line
		second float64
		rise   float64 // Pa
		sudden bool
		source string
	}{
		{"at once", line, 0, whole, true, "checks.json surge-1600: 729.018 kPa"},
		{"within the period", line, period, whole, true, "2 L/a is the end of sudden"},
		{"just over", line, math.Nextafter(period, 4), whole, false, "both forms meet at the period"},
		{"slow", line, 4, 601252.01, false, "checks.json surge-1600-slow"},
		{"usual wave speed", surge.Line{Length: 1600, Bore: 1.2, Density: 1000, WaveSpeed: math.NaN()}, 0, 1000 * 1000 * 0.751565009, true, "ρ a Δv with 1,000 m/s"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := tt.line.Stop(0.85, tt.second)
			if err != nil || math.Abs(got.Rise-tt.rise) > 1e-6*tt.rise || got.Sudden != tt.sudden || math.Abs(got.Velocity-0.751565009) > 1e-9 {
				t.Errorf("%+v, %v, want %g Pa, sudden %v (%s)", got, err, tt.rise, tt.sudden, tt.source)
			}
		})
	}
}

func TestStopRefuses(t *testing.T) {
	good := surge.Line{Length: 1600, Bore: 1.2, Density: 1000}
	tests := []struct {
		name          string
		change        func(l *surge.Line)
		flow, seconds float64
		says          string
	}{
		{"no length", func(l *surge.Line) { l.Length = 0 }, 1, 1, "line of 0 m"},
		{"no bore", func(l *surge.Line) { l.Bore = math.NaN() }, 1, 1, "bore NaN"},
		{"no density", func(l *surge.Line) { l.Density = -1 }, 1, 1, "density -1"},
		{"endless", func(l *surge.Line) { l.Length = math.Inf(1) }, 1, 1, "+Inf"},
		{"backwards", func(*surge.Line) {}, -1, 1, "flow -1"},
		{"no time", func(*surge.Line) {}, 1, math.NaN(), "NaN s"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			l := good
			tt.change(&l)
			got, err := l.Stop(tt.flow, tt.seconds)
			if got != (surge.Stop{}) || err == nil || !strings.Contains(err.Error(), tt.says) {
				t.Errorf("%+v, %v, want it to say %q", got, err, tt.says)
			}
		})
	}
	for _, allowed := range []float64{0, -1, math.NaN()} {
		if got, err := good.SecondsFor(1, allowed); err == nil || !math.IsNaN(got) {
			t.Errorf("allowed %g Pa: %g s, %v", allowed, got, err)
		}
	}
	if got, err := good.SecondsFor(-1, 1e5); err == nil || !math.IsNaN(got) {
		t.Errorf("flow -1: %g s, %v", got, err)
	}
}

// A slower stop never jumps higher, none jumps higher than a sudden one, and
// the seconds for a rise make that rise.
func TestStopProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := surge.Line{Length: rapid.Float64Range(50, 20000).Draw(t, "length"), Bore: rapid.Float64Range(0.2, 1.2).Draw(t, "bore"),
			Density: rapid.Float64Range(650, 1050).Draw(t, "density"), WaveSpeed: rapid.Float64Range(300, 1400).Draw(t, "wave")}
		flow, seconds := rapid.Float64Range(0, 3).Draw(t, "flow"), rapid.Float64Range(0, 300).Draw(t, "seconds")
		fast, errF := l.Stop(flow, seconds)
		slow, errS := l.Stop(flow, 1.5*seconds)
		if errF != nil || errS != nil || slow.Rise > fast.Rise || fast.Rise > fast.Whole*(1+1e-12) {
			t.Fatalf("%+v, slower %+v: %v %v", fast, slow, errF, errS)
		}
		allowed := rapid.Float64Range(1e4, 2e6).Draw(t, "allowed")
		need, err := l.SecondsFor(flow, allowed)
		if err != nil {
			t.Fatal(err)
		}
		got, err := l.Stop(flow, need)
		if err != nil || got.Rise > allowed*(1+1e-9) && !(got.Sudden && need >= got.Period*(1-1e-12)) {
			t.Fatalf("%g s make %g Pa, allowed %g: %v", need, got.Rise, allowed, err)
		}
	})
}

func ExampleWaveSpeed() {
	steel := surge.WaveSpeed(2.06e9, 1000, 0.6, 0.018, 200e9)
	fmt.Printf("%.0f m/s\n", steel)
	// Output: 1238 m/s
}

func ExampleSudden() {
	fmt.Printf("%.0f bar\n", surge.Sudden(858, 1150, 4.2)/1e5)
	// Output: 41 bar
}

func ExamplePeriod() {
	fmt.Printf("%.1f s\n", surge.Period(1600, 970))
	// Output: 3.3 s
}

func ExampleSlow() {
	fmt.Printf("%.1f bar\n", surge.Slow(1000, 1600, 0.7516, 4)/1e5)
	// Output: 6.0 bar
}

func ExampleLine_Stop() {
	line := surge.Line{Length: 2200, Bore: 0.75, Density: 858}
	for _, seconds := range []float64{3, 30} {
		s, err := line.Stop(7000.0/3600, seconds)
		fmt.Printf("%.1f m/s stopped in %g s: %.1f bar, sudden %v %v\n", s.Velocity, seconds, s.Rise/1e5, s.Sudden, err)
	}
	// Output:
	// 4.4 m/s stopped in 3 s: 37.8 bar, sudden true <nil>
	// 4.4 m/s stopped in 30 s: 5.5 bar, sudden false <nil>
}

func ExampleLine_SecondsFor() {
	line := surge.Line{Length: 2200, Bore: 0.75, Density: 858}
	s, err := line.SecondsFor(7000.0/3600, 3e5)
	fmt.Printf("%.0f s %v\n", s, err)
	// Output: 55 s <nil>
}
