package heat_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"example.org/headwatch/internal/curves"
	"example.org/headwatch/internal/hydraulics"
	"example.org/headwatch/internal/hydraulics/heat"
	"example.org/headwatch/internal/published"
)

// perPass recomputes a rise from a head, or from a shaft power and a flow.
func perPass(r *published.Row) {
	c := r.Or("specific_heat", r.Or("heat_capacity", math.NaN()))
	efficiency, density := r.In("efficiency"), r.Or("density", 1000)
	flow := r.Or("flow", r.Or("mass_flow", math.NaN())/density)
	head := r.Or("head", r.Or("shaft_power", math.NaN())*efficiency/(density*hydraulics.Gravity*flow))
	r.Want("temperature_rise", heat.PerPass(head, efficiency, c))
}

func TestPublishedHeating(t *testing.T) {
	published.Check(t, "heating", map[string]func(*published.Row){
		"flow_heating": perPass, "head_heating": perPass,
		"closed_heating_us": func(r *published.Row) {
			r.Want("rise", heat.Rate(r.In("shaft_power"), heat.Capacity(1, r.In("liquid_mass"), r.In("heat_capacity"))))
		},
		"closed_heating": func(r *published.Row) {
			// What goes out as head through a crack does not stay as heat.
			stays := r.In("shaft_power") * (1 - r.In("efficiency"))
			rate := heat.Rate(stays, heat.Capacity(r.In("density"), r.In("trapped_volume"), r.In("heat_capacity")))
			r.Want("rise", rate)
			r.Want("seconds_to_allowed", heat.SecondsTo(r.In("allowed_rise"), rate))
		},
	}, nil)
}

func TestPublishedTemperatureRise(t *testing.T) {
	published.Check(t, "temperature-rise", map[string]func(*published.Row){
		"pump_temperature_rise": perPass,
		"closed_valve_heating": func(r *published.Row) {
			metal := r.Or("metal_mass", 0) * r.Or("metal_specific_heat", 0)
			rate := heat.Rate(r.In("shaft_power"), metal+heat.Capacity(r.In("density"), r.In("casing_volume"), r.In("specific_heat")))
			r.Want("heating_rate", rate)
			r.Want("time_to_rise", heat.SecondsTo(r.In("allowed_rise"), rate))
		},
		"thermal_minimum_flow": func(r *published.Row) {
			r.Want("minimum_flow", heat.LeastFlow(r.In("shaft_power"), r.In("density"), r.In("specific_heat"), r.In("allowed_rise")))
		},
	}, nil)
}

// pump is a pump whose power over ρ g is w + b Q at 1480 rpm, so that it takes
// ρ g w at no flow; finely printed. Its drive is rated 1,200 kW.
func pump(t testing.TB, w float64, efficiency bool) *hydraulics.Pump {
	t.Helper()
	const h0, a, b, end, points = 150.0, 53.0, 80.0, 0.83, 401
	s := curves.Sheet{Speed: 1480}
	for i := range points {
		q := end * float64(i) / (points - 1)
		h := h0 - a*q*q
		s.Q, s.H = append(s.Q, q), append(s.H, h)
		if efficiency {
			s.Efficiency = append(s.Efficiency, q*h/(w+b*q))
		}
	}
	f, err := curves.NewFamily(curves.Affinity, []curves.Sheet{s})
	if err != nil {
		t.Fatal(err)
	}
	return &hydraulics.Pump{Curves: f, Rated: hydraulics.Duty{Speed: 1480}, RatedPower: 1200e3,
		ClosedValve: hydraulics.ClosedValve{Seconds: 45, Heat: 15, Volume: 0.9}}
}

func TestShutOffPower(t *testing.T) {
	const w, density = 50.0, 860.0
	tests := []struct {
		name       string
		efficiency bool
		speed      float64
		want, rel  float64 // W
		textbook   bool
		source     string
	}{
		{"from the curve", true, 1480, density * 9.80665 * w, 1e-4, false, "P = ρ g (w + b Q) at no flow"},
		{"at half speed", true, 740, density * 9.80665 * w / 8, 1e-4, false, "P goes with N³"},
		{"textbook", false, 1480, 0.44 * 1200e3, 1e-12, true, "44 % of rated power"},
		{"textbook at half speed", false, 740, 0.44 * 1200e3 / 8, 1e-12, true, "and N³"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := heat.ShutOffPower(pump(t, w, tt.efficiency), tt.speed, density)
			if math.Abs(got.Power-tt.want) > tt.rel*tt.want || got.Textbook != tt.textbook {
				t.Errorf("%+v, want %g W, textbook %v (%s)", got, tt.want, tt.textbook, tt.source)
			}
		})
	}
	unrated := pump(t, w, false)
	unrated.RatedPower = math.NaN()
	if got := heat.ShutOffPower(unrated, 1480, density); !math.IsNaN(got.Power) || !got.Textbook {
		t.Errorf("%+v without any rating, want none", got)
	}
}

// Trade figures: 0.9 m³ of oil at 860 kg/m³ and 2,000 J/(kg K) under 541 kW warms
// by 21 K a minute, and by 2 K a minute at 690 of 1,510 rpm; a rise of 15 K takes
// 0.7 or 7.5 minutes.
func TestWorkedExample(t *testing.T) {
	capacity := heat.Capacity(860, 0.9, heat.SpecificHeat)
	full := heat.Rate(541e3, capacity)
	slow := heat.Rate(541e3*math.Pow(690.0/1510, 3), capacity)
	for _, tt := range []struct {
		name           string
		got, want, tol float64
	}{
		{"K a minute at rated speed", full * 60, 21, 0.05}, {"K a minute at 690 rpm", slow * 60, 2, 0.01},
		{"minutes to 15 K at rated speed", heat.SecondsTo(15, full) / 60, 0.7, 0.05}, {"minutes at 690 rpm", heat.SecondsTo(15, slow) / 60, 7.5, 0.05},
	} {
		if math.Abs(tt.got-tt.want) > tt.tol {
			t.Errorf("%s: %.3f, want %g (by hand)", tt.name, tt.got, tt.want)
		}
	}
}

func TestSecondsToLimit(t *testing.T) {
	const w, density = 50.0, 860.0
	tests := []struct {
		name   string
		change func(p *hydraulics.Pump)
		want   float64
		source string
	}{
		{"all known", func(*hydraulics.Pump) {}, 15 * 0.9 * 2000 / (9.80665 * w), "ρ V c ΔT / (ρ g w): the density cancels"},
		{"no heat limit", func(p *hydraulics.Pump) { p.ClosedValve.Heat = math.NaN() }, math.NaN(), "own rule"},
		{"no volume", func(p *hydraulics.Pump) { p.ClosedValve.Volume = math.NaN() }, math.NaN(), "own rule"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			p := pump(t, w, true)
			tt.change(p)
			got, shut := heat.SecondsToLimit(p, 1480, density, heat.SpecificHeat)
			if math.IsNaN(got) != math.IsNaN(tt.want) || math.Abs(got-tt.want) > 1e-4*tt.want || shut.Textbook {
				t.Errorf("%g s, %+v, want %g (%s)", got, shut, tt.want, tt.source)
			}
		})
	}
	for _, rate := range []float64{0, -1, math.NaN()} {
		if got := heat.SecondsTo(15, rate); !math.IsNaN(got) {
			t.Errorf("%g s at %g K/s, want none", got, rate)
		}
	}
}

// What is lost on the way through is what the shaft brings less what the head
// takes: flow and power say the same as head and efficiency. A pump that only
// churns warms its least flow by just the rise that was asked for.
func TestHeatBalance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		head := rapid.Float64Range(5, 200).Draw(t, "head")
		efficiency := rapid.Float64Range(0.05, 1).Draw(t, "efficiency")
		flow := rapid.Float64Range(0.01, 1).Draw(t, "flow")
		density := rapid.Float64Range(650, 1050).Draw(t, "density")
		power := hydraulics.ShaftPower(density, flow, head, efficiency)
		lost := power - hydraulics.ShaftPower(density, flow, head, 1)
		rise := heat.PerPass(head, efficiency, heat.SpecificHeat)
		if got := density * flow * heat.SpecificHeat * rise; math.Abs(got-lost) > 1e-9*power {
			t.Fatalf("%g W warm the liquid, %g W are lost", got, lost)
		}
		if q := heat.LeastFlow(power, density, heat.SpecificHeat, 8); math.Abs(q*density*heat.SpecificHeat*8-power) > 1e-9*power {
			t.Fatalf("%g m3/s does not carry %g W off", q, power)
		}
	})
}

func ExampleShutOffPower() {
	f, err := curves.NewFamily(curves.Affinity, []curves.Sheet{{Speed: 1480,
		Q: []float64{0, .2, .4, .6}, H: []float64{150, 146, 134, 113}, Efficiency: []float64{0, .6, .8, .75}}})
	if err != nil {
		fmt.Println(err)
		return
	}
	p := &hydraulics.Pump{Curves: f, Rated: hydraulics.Duty{Speed: 1480}}
	for _, speed := range []float64{1480, 740} {
		fmt.Printf("%.0f kW at %.0f rpm\n", heat.ShutOffPower(p, speed, 858).Power/1e3, speed)
	}
	// Output:
	// 316 kW at 1480 rpm
	// 39 kW at 740 rpm
}

func ExampleRate() {
	capacity := heat.Capacity(858, 0.8, 2000) // 0.8 m³ in the casing
	rate := heat.Rate(320e3, capacity)
	fmt.Printf("%.1f K a minute, 15 K in %.0f s\n", rate*60, heat.SecondsTo(15, rate))
	// Output: 14.0 K a minute, 15 K in 64 s
}

func ExampleSecondsToLimit() {
	f, err := curves.NewFamily(curves.Affinity, []curves.Sheet{{Speed: 1480, Q: []float64{0, .4, .8}, H: []float64{150, 134, 113}}})
	if err != nil {
		fmt.Println(err)
		return
	}
	p := &hydraulics.Pump{Curves: f, Rated: hydraulics.Duty{Speed: 1480}, RatedPower: 1150e3,
		ClosedValve: hydraulics.ClosedValve{Seconds: 45, Heat: 15, Volume: 0.9}}
	seconds, shut := heat.SecondsToLimit(p, 740, 858, heat.SpecificHeat)
	fmt.Printf("%.0f s at %.0f kW, textbook %v\n", seconds, shut.Power/1e3, shut.Textbook)
	// Output: 366 s at 63 kW, textbook true
}

func ExamplePerPass() {
	fmt.Printf("%.2f K at best efficiency, %.1f K near no flow\n", heat.PerPass(130, 0.82, 2000), heat.PerPass(155, 0.2, 2000))
	// Output: 0.14 K at best efficiency, 3.0 K near no flow
}

func ExampleLeastFlow() {
	fmt.Printf("%.0f m3/h\n", 3600*heat.LeastFlow(325e3, 858, 2000, 8))
	// Output: 85 m3/h
}
