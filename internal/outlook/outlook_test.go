package outlook

import (
	"encoding/json"
	"errors"
	"math"
	"os"
	"strings"
	"testing"

	"example.org/headwatch/demo"
	"example.org/headwatch/internal/hydraulics"
	"example.org/headwatch/internal/ship"
	"pgregory.net/rapid"
)

const bar = 1e5

func demoPlant(t testing.TB) *Plant {
	t.Helper()
	d, err := ship.Load(demo.Files())
	if err != nil {
		t.Fatal(err)
	}
	p, err := New(d.Ship, &d.Plan.Parcels[0])
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// settings returns three pumps at a common speed and the example's levels.
func settings(speed float64) []Setting {
	return []Setting{{17, speed, 1, false}, {16.2, speed, 1, false}, {15.4, speed, 1, false}}
}

// Source: example/forecast.json, answers computed apart from this program and
// delivered with the format; 0.01 m3/h and 1e-5 bar are the tolerances asked
// for, its own last digits are 0.01 m3/h and 1e-5 bar.
func TestForecastOfTheExample(t *testing.T) {
	raw, err := os.ReadFile("../../testdata/example/forecast.json")
	if err != nil {
		t.Fatal(err)
	}
	var cases []struct {
		Density   float64            `json:"density_kgm3"`
		Levels    map[string]float64 `json:"levels_m"`
		Speeds    map[string]float64 `json:"speeds_rpm"`
		BeyondEnd []string           `json:"beyond_end"`
		Head      float64            `json:"manifold_head_m"`
		Pressure  float64            `json:"manifold_bar"`
		Rate      float64            `json:"rate_m3h"`
		Flow      map[string]float64 `json:"flow_m3h"`
	}
	if err := json.Unmarshal(raw, &cases); err != nil || len(cases) != 8 {
		t.Fatal(len(cases), err)
	}
	p := demoPlant(t)
	var f Forecast
	for _, c := range cases {
		p.SetDensity(c.Density)
		var set []Setting
		for _, pump := range p.Pumps {
			set = append(set, Setting{Level: c.Levels[pump.Name], Speed: c.Speeds[pump.Name], Opening: 1})
		}
		if err := p.Forecast(set, &f); err != nil {
			t.Fatal(err)
		}
		near(t, "manifold, bar", f.ManifoldPressure/bar, c.Pressure, 1.05e-5)
		near(t, "manifold, m", f.ManifoldHead, c.Head, 1.05e-4)
		near(t, "rate, m3/h", f.Rate*hour, c.Rate, 0.0105)
		past := 0
		for i, pump := range p.Pumps {
			near(t, pump.Name+", m3/h", f.Pumps[i].Flow*hour, c.Flow[pump.Name], 0.0105)
			if f.Pumps[i].Standing == hydraulics.PastEnd {
				past++
			}
		}
		if past != len(c.BeyondEnd) || f.LowerBound != (past > 0) {
			t.Errorf("%v: %d pumps past their end, lower bound %v; want %v", c.Speeds, past, f.LowerBound, c.BeyondEnd)
		}
	}
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.9g, want %.9g ± %.2g", what, got, want, tol)
	}
}

// The gauges forecast for a pump read back as its head and flow.
func TestForecastGaugesReadBack(t *testing.T) {
	p := demoPlant(t)
	var f Forecast
	if err := p.Forecast(settings(1300), &f); err != nil {
		t.Fatal(err)
	}
	for i, pump := range p.Pumps {
		e, err := hydraulics.NewMeter(&pump.Pump).Estimate(hydraulics.Reading{Speed: 1300,
			Suction: f.Pumps[i].Suction, Discharge: f.Pumps[i].Discharge}, p.Liquid)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "flow read off the forecast gauges, m3/h", e.Flow*hour, f.Pumps[i].Flow*hour, 1e-5)
		near(t, "head, m", e.Head, f.Pumps[i].Head, 1e-8)
		near(t, "NPSH margin, m", e.NPSHMargin, f.Pumps[i].NPSHMargin, 1e-8)
		near(t, "power, kW", e.Power/1e3, f.Pumps[i].Power/1e3, 1e-5)
	}
}

func TestLimitsAreToldWhereNearest(t *testing.T) {
	p := demoPlant(t)
	var f Forecast
	if err := p.Forecast(settings(1480), &f); err != nil {
		t.Fatal(err)
	}
	// 8.922 of 8.5 bar, 8001 of 7200 m3/h, 2696 of 2500 m3/h (forecast.json, fifth case).
	want := map[LimitName]bool{ManifoldPressure: true, AgreedRate: true, NominalFlow: true}
	for _, l := range f.Limits {
		if l.Broken() != want[l.Name] || l.Binding != want[l.Name] {
			t.Errorf("%v at %s: %g of %g, broken %v, binding %v", l.Name, l.At, l.Figure, l.Value, l.Broken(), l.Binding)
		}
		if l.Name == NominalFlow && l.At != "COP 1" {
			t.Errorf("nominal capacity told of %s, want the pump with the highest level", l.At)
		}
	}
	if err := p.Forecast(settings(1000), &f); err != nil {
		t.Fatal(err)
	}
	bound := 0
	for _, l := range f.Limits {
		if l.Binding {
			bound++
		}
	}
	if bound != 1 {
		t.Errorf("%d limits bind at 1000 rpm, want the nearest one", bound)
	}
}

// Two pumps past their ends: what is certain is told, no margin is counted.
func TestNoMarginFromABound(t *testing.T) {
	p := demoPlant(t)
	set := settings(1300)
	set[1].Speed = 0
	var f Forecast
	if err := p.Forecast(set, &f); err != nil || !f.LowerBound {
		t.Fatal(f, err)
	}
	told := map[LimitName]bool{}
	for _, l := range f.Limits {
		told[l.Name] = true
		if l.Margin > 0 && l.Name != MaximumSpeed && l.Name != MinimumSpeed {
			t.Errorf("%v: %g left, counted from a bound", l.Name, l.Margin)
		}
	}
	if !told[CurveEnd] || !told[NominalFlow] || told[ManifoldPressure] || told[SuctionMargin] {
		t.Errorf("told %v", told)
	}
}

func TestHighestSpeedInsideEveryLimit(t *testing.T) {
	p := demoPlant(t)
	h, err := p.Highest(settings(0), []bool{true, true, true})
	if err != nil {
		t.Fatal(err)
	}
	var here, above Forecast
	if err := p.Forecast(settings(h.Speed), &here); err != nil {
		t.Fatal(err)
	}
	if err := p.Forecast(settings(h.Speed+1), &above); err != nil {
		t.Fatal(err)
	}
	broken := ""
	for _, l := range here.Limits {
		if l.Broken() {
			t.Errorf("at %g rpm %v is broken: %g of %g", h.Speed, l.Name, l.Figure, l.Value)
		}
	}
	for _, l := range above.Limits {
		if l.Broken() {
			broken += l.Name.String() + " "
		}
	}
	if len(h.Binding) == 0 || !strings.Contains(broken, h.Binding[0].Name.String()) {
		t.Errorf("binding %v, but one rpm more breaks %q", h.Binding, broken)
	}
}

func TestConflictNamesBothLimits(t *testing.T) {
	p := demoPlant(t)
	p.Limits.Manifold = 2 * bar // under the 26 m of the shore: every pump would be under its minimum flow
	_, err := p.Highest(settings(0), []bool{true, true, true})
	var conflict *ConflictError
	if !errors.As(err, &conflict) || conflict.Upper.Name != ManifoldPressure {
		t.Fatalf("got %v, want a conflict about the manifold", err)
	}
	p = demoPlant(t)
	p.Line.Static, p.Line.Loss = 40, 0 // a level line: what pushes a pump off is never in the way of the manifold
	p.Limits.Manifold = 40.001 * p.Liquid.Density * hydraulics.Gravity
	p.Limits.Rate = 300 / hour
	_, err = p.Highest(settings(0), []bool{true, true, true})
	if !errors.As(err, &conflict) || conflict.Upper.Name != AgreedRate || conflict.Lower.Name != MinimumFlow {
		t.Fatalf("got %v, want agreed rate against minimum flow", err)
	}
}

func TestAdviceForARate(t *testing.T) {
	p := demoPlant(t)
	a, err := p.Advise(settings(1300), 6000/hour)
	if err != nil {
		t.Fatal(err)
	}
	c := a.Cheapest
	if c == nil || !c.sound() {
		t.Fatalf("advice for 6000 m3/h: %+v", a)
	}
	near(t, "rate, m3/h", c.Forecast.Rate*hour, 6000, 1e-4)
	if !(c.Fuel < a.Now.Fuel) || len(a.Steps) != 2 || a.Steps[0].Choice.Forecast.Rate >= a.Now.Forecast.Rate {
		t.Errorf("fuel %g of %g now, steps %+v", c.Fuel, a.Now.Fuel, a.Steps)
	}
	if a, err = p.Advise(settings(1300), 7200/hour); err != nil || a.Cheapest == nil {
		t.Errorf("7200 m3/h is the agreed rate itself: %+v %v", a.Words, err)
	}
	if a, err = p.Advise(settings(1300), 9000/hour); err != nil || a.Cheapest != nil || len(a.Words) == 0 {
		t.Errorf("9000 m3/h is over every limit: %+v %v", a.Cheapest, err)
	}
}

// No advice rests on a bound, none passes a limit, here or on the way.
func TestAdviceIsSound(t *testing.T) {
	p := demoPlant(t)
	rapid.Check(t, func(rt *rapid.T) {
		p.Line.Static = rapid.Float64Range(0, 60).Draw(rt, "static")
		p.Line.Loss = rapid.Float64Range(0, 40).Draw(rt, "loss")
		set := settings(rapid.Float64Range(740, 1480).Draw(rt, "speed"))
		for i := range set {
			set[i].Level = rapid.Float64Range(4, 20).Draw(rt, "level")
		}
		a, err := p.Advise(set, rapid.Float64Range(500, 8000).Draw(rt, "rate")/hour)
		if err != nil {
			rt.Fatal(err)
		}
		if a.Cheapest != nil && (!a.Cheapest.sound() || !p.safeWay(set, a.Cheapest)) {
			rt.Fatalf("unsound: %+v", a.Cheapest.Forecast)
		}
		if a.Highest != nil && !a.Highest.sound() {
			rt.Fatalf("highest unsound: %+v", a.Highest.Forecast)
		}
	})
}

func TestForecastRefuses(t *testing.T) {
	p := demoPlant(t)
	var f Forecast
	for _, tt := range []struct {
		set  []Setting
		says string
	}{
		{settings(1300)[:2], "2 settings for 3 pumps"},
		{[]Setting{{1, 1300, 1, false}, {16, 0, 1, false}, {15, 0, 1, false}}, "below its impeller"},
		{[]Setting{{17, 1300, 40, false}, {16, 0, 1, false}, {15, 0, 1, false}}, "want 0 to 100 %"},
		{[]Setting{{17, math.NaN(), 1, false}, {16, 0, 1, false}, {15, 0, 1, false}}, "speed"},
		{[]Setting{{math.NaN(), 1300, 1, false}, {16, 0, 1, false}, {15, 0, 1, false}}, "level"},
	} {
		if err := p.Forecast(tt.set, &f); err == nil || !strings.Contains(err.Error(), tt.says) {
			t.Errorf("got %v, want %q", err, tt.says)
		}
	}
}

func BenchmarkForecast(b *testing.B) {
	p := demoPlant(b)
	var f Forecast
	set := settings(1300)
	b.ReportAllocs()
	for b.Loop() {
		if err := p.Forecast(set, &f); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkAdvise(b *testing.B) {
	p := demoPlant(b)
	set := settings(1300)
	b.ReportAllocs()
	for b.Loop() {
		if a, err := p.Advise(set, 6000/hour); err != nil || a.Cheapest == nil {
			b.Fatal(err)
		}
	}
}

// The rate of 6000 m3/h in 600 mm is 5.895 m/s (by hand); a sudden stop of 857.55
// kg/m3 at 1000 m/s makes 50.55 bar (Joukowsky), one in 100 s over 2500 m
// 2 ρ L Δv / t = 2.527 bar (Michaud).
func TestSurgeOfTheLine(t *testing.T) {
	p := demoPlant(t)
	f := Forecast{Rate: 6000 / hour}
	if s, known := p.Surge(&f); known {
		t.Errorf("a surge %+v of a line nothing is known of", s)
	}
	p.Shore.LineLength, p.Shore.LineBore, p.Shore.Closing = 2500, 0.6, 100
	s, known := p.Surge(&f)
	if !known || s.Sudden {
		t.Fatal(s, known)
	}
	near(t, "sudden, bar", s.Whole/bar, 50.55, 0.02)
	near(t, "in 100 s, bar", s.Rise/bar, 2.527, 0.002)
	near(t, "period, s", s.Period, 5, 1e-9)
}

// Three pumps against a tight manifold: two can give the rate at a higher speed,
// but not with the third still on; it is stopped first, and the advice says so.
func TestTheWayThere(t *testing.T) {
	p := demoPlant(t)
	p.Line.Static, p.Line.Loss = 75, 9
	set := settings(1250)
	var now Forecast
	if err := p.Forecast(set, &now); err != nil {
		t.Fatal(err)
	}
	c, err := p.atRate(set, []bool{true, true, false}, 0.93*now.Rate)
	if err != nil || c == nil {
		t.Fatal(c, err)
	}
	p.Limits.Manifold = now.ManifoldPressure * 1.005
	safe := p.safeWay(set, c)
	all := at(set, []bool{true, true, true}, c.Speed)
	if err := p.Forecast(all, &now); err != nil {
		t.Fatal(err)
	}
	if over := now.ManifoldPressure > p.Limits.Manifold; !safe || c.StopFirst != over || !over {
		t.Errorf("safe %v, stop first %v; with all three at %.0f rpm the manifold is at %.2f of %.2f bar", safe, c.StopFirst, c.Speed, now.ManifoldPressure/bar, p.Limits.Manifold/bar)
	}
}
