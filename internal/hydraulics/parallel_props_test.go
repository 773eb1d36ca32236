package hydraulics

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"example.org/headwatch/internal/curves"
	"pgregory.net/rapid"
)

// drawLine draws a line and up to five pumps of the demo's curves.
func drawLine(rt *rapid.T, t testing.TB, family *curves.Family) (Line, []Branch) {
	line := Line{
		Static: rapid.Float64Range(-10, 90).Draw(rt, "static"), Loss: rapid.Float64Range(0, 60).Draw(rt, "loss"),
		ManifoldHeight: 24, ManifoldBore: 0.4, Arms: rapid.IntRange(1, 4).Draw(rt, "arms"),
		UllagePressure: rapid.Float64Range(-500, 15000).Draw(rt, "gas"), Density: rapid.Float64Range(700, 1000).Draw(rt, "density"),
	}
	var branches []Branch
	for range rapid.IntRange(1, 5).Draw(rt, "pumps") {
		p := demoPump(t)
		p.Curves = family
		p.SuctionLoss = rapid.Float64Range(0, 6).Draw(rt, "Ks")
		p.RiserLoss = rapid.Float64Range(0, 20).Draw(rt, "Kr")
		b := Branch{Pump: p, Surface: rapid.Float64Range(3, 20).Draw(rt, "level")}
		if rapid.IntRange(0, 4).Draw(rt, "turns") > 0 {
			b.Speed = rapid.Float64Range(500, 1600).Draw(rt, "speed")
		}
		if rapid.IntRange(0, 3).Draw(rt, "throttled") == 0 {
			b.ValveLoss = p.ThrottleLoss(rapid.Float64Range(0, 1).Draw(rt, "opening"))
		}
		branches = append(branches, b)
	}
	return line, branches
}

func solveAll(t testing.TB, line Line, branches []Branch) (Solution, []BranchFlow) {
	t.Helper()
	flows := make([]BranchFlow, len(branches))
	s, err := Solve(&line, branches, flows)
	if err != nil {
		t.Fatal(err)
	}
	return s, flows
}

// What flows in flows out, every pump on line meets the manifold's head, and a
// pump that gives nothing can't beat it.
func TestSolveBalances(t *testing.T) {
	family := demoFamily(t)
	rapid.Check(t, func(rt *rapid.T) {
		line, branches := drawLine(rt, t, family)
		s, flows := solveAll(t, line, branches)
		sum := 0.0
		for i, f := range flows {
			sum += f.Flow
			b := branches[i]
			q2 := f.Flow * f.Flow
			supply := b.Surface + HeadOfPressure(line.UllagePressure, line.Density) - line.ManifoldHeight
			switch f.Standing {
			case OnLine:
				h, _ := family.At(b.Speed).Head(f.Flow)
				at := supply + h - (b.Pump.SuctionLoss+b.Pump.RiserLoss+b.ValveLoss)*q2
				if math.Abs(at-s.TotalHead) > 1e-6 {
					rt.Fatalf("pump %d brings %.9g m to a manifold of %.9g m", i, at, s.TotalHead)
				}
			case PushedOff:
				if h, _ := family.At(b.Speed).Head(0); supply+h > s.TotalHead+1e-6 {
					rt.Fatalf("pump %d is off though %.9g m beats %.9g m", i, supply+h, s.TotalHead)
				}
			case PastEnd:
				if end := family.At(b.Speed).End(); f.Flow != end || !math.IsNaN(f.Head) || !s.LowerBound {
					rt.Fatalf("pump %d past its end: flow %g of %g, head %g, lower bound %v", i, f.Flow, end, f.Head, s.LowerBound)
				}
			}
			if f.Standing != OnLine && f.Standing != PastEnd && f.Flow != 0 || math.IsNaN(f.Suction+f.Discharge) {
				rt.Fatalf("pump %d %v: %+v", i, f.Standing, f)
			}
		}
		if math.Abs(sum-s.Rate) > 1e-12 || math.Abs(s.TotalHead-line.Static-line.Loss*sum*sum) > 1e-9 {
			rt.Fatalf("rate %g of %g, head %g", s.Rate, sum, s.TotalHead)
		}
	})
}

func TestSolveDoesNotMindTheOrder(t *testing.T) {
	family := demoFamily(t)
	rapid.Check(t, func(rt *rapid.T) {
		line, branches := drawLine(rt, t, family)
		s, flows := solveAll(t, line, branches)
		order := rand.New(rand.NewPCG(1, uint64(len(branches)))).Perm(len(branches))
		turned := make([]Branch, len(branches))
		for k, i := range order {
			turned[k] = branches[i]
		}
		s2, flows2 := solveAll(t, line, turned)
		if math.Abs(s.Rate-s2.Rate) > 1e-7 {
			rt.Fatalf("rate %g, in another order %g", s.Rate, s2.Rate)
		}
		for k, i := range order {
			if flows2[k].Standing != flows[i].Standing || math.Abs(flows2[k].Flow-flows[i].Flow) > 1e-6 {
				rt.Fatalf("pump %d: %+v, in another order %+v", i, flows[i], flows2[k])
			}
		}
	})
}

// Raising one pump's speed never lowers the rate or that pump's own flow.
func TestSolveRisesWithSpeed(t *testing.T) {
	family := demoFamily(t)
	rapid.Check(t, func(rt *rapid.T) {
		line, branches := drawLine(rt, t, family)
		i := rapid.IntRange(0, len(branches)-1).Draw(rt, "pump")
		if branches[i].Speed == 0 {
			return
		}
		s, flows := solveAll(t, line, branches)
		faster := append([]Branch(nil), branches...)
		faster[i].Speed *= 1 + rapid.Float64Range(0, 0.2).Draw(rt, "more")
		s2, flows2 := solveAll(t, line, faster)
		if s2.Rate < s.Rate-1e-7 || flows2[i].Flow < flows[i].Flow-1e-7 {
			rt.Fatalf("rate %g after %g, own flow %g after %g", s2.Rate, s.Rate, flows2[i].Flow, flows[i].Flow)
		}
	})
}

func TestNoFlow(t *testing.T) {
	p := demoPump(t)
	line := Line{Static: 30, Loss: 16, ManifoldHeight: 24, Density: 858}
	tests := []struct {
		name     string
		line     Line
		branches []Branch
		standing Standing
	}{
		{"all stopped", line, []Branch{{Pump: p, Surface: 15}, {Pump: p, Surface: 15}}, StandsStill},
		{"all shut", line, []Branch{{Pump: p, Speed: 1200, Surface: 15, ValveLoss: math.Inf(1)}}, Shut},
		{"static over shut-off", Line{Static: 120, Loss: 16, ManifoldHeight: 24, Density: 858},
			[]Branch{{Pump: p, Speed: 1200, Surface: 15}, {Pump: p, Speed: 900, Surface: 15}}, PushedOff},
		{"no pump", line, nil, OnLine},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s, flows := solveAll(t, tt.line, tt.branches)
			if s.Rate != 0 || s.TotalHead != tt.line.Static || s.LowerBound {
				t.Errorf("rate %g, head %g, want 0 and the static %g", s.Rate, s.TotalHead, tt.line.Static)
			}
			for i, f := range flows {
				if f.Standing != tt.standing {
					t.Errorf("pump %d is %v, want %v", i, f.Standing, tt.standing)
				}
				// Shut in, the gauges show tank and shut-off head (by hand: p = ρ g Δz).
				shut, _ := p.Curves.At(max(tt.branches[i].Speed, 1)).Head(0)
				if tt.standing == StandsStill {
					shut = 0
				}
				near := 858 * Gravity * (15 - 2.4)
				within(t, "suction, Pa", f.Suction, near, 1e-6*near)
				within(t, "discharge, Pa", f.Discharge, 858*Gravity*(15+shut-3.2), 1e-3)
			}
		})
	}
}

// A pump that waits joins when its head at no flow beats the line, and not
// before: the other runs at 1300 rpm against 62.4 m of total head.
func TestWaitingPumpJoins(t *testing.T) {
	p := demoPump(t)
	line := Line{Static: 50, Loss: 16, ManifoldHeight: 24, Density: 858}
	alone, _ := solveAll(t, line, []Branch{{Pump: p, Speed: 1300, Surface: 15}})
	for _, tt := range []struct {
		speed float64
		want  Standing
	}{{940, PushedOff}, {1100, OnLine}} {
		shut, _ := p.Curves.At(tt.speed).Head(0)
		if beats := 15-24+shut > alone.TotalHead; beats != (tt.want == OnLine) {
			t.Fatalf("the example is wrong: %g m at no flow against %g m", 15-24+shut, alone.TotalHead)
		}
		s, flows := solveAll(t, line, []Branch{{Pump: p, Speed: 1300, Surface: 15}, {Pump: p, Speed: tt.speed, Surface: 15, Offline: true}})
		if flows[1].Standing != tt.want || (flows[1].Flow > 0) != (tt.want == OnLine) || s.Rate < alone.Rate-1e-9 {
			t.Errorf("at %g rpm: %+v, rate %g after %g alone", tt.speed, flows[1], s.Rate, alone.Rate)
		}
	}
}

// A drooping pump that runs stays on while demand is under its peak, says that
// it would not rejoin, and is off for good once it is off.
func TestDroopingPumpStaysUntilItsPeak(t *testing.T) {
	family, err := curves.NewFamily(curves.Affinity, []curves.Sheet{{Speed: 1000,
		Q: []float64{0, .1, .2, .3, .4, .6, .8}, H: []float64{100, 102, 103.5, 104, 103, 95, 78}}})
	if err != nil {
		t.Fatal(err)
	}
	p := demoPump(t)
	p.Curves = family
	line := Line{Static: 102, ManifoldHeight: 0, Density: 858} // between 100 m at no flow and the peak of 104 m
	_, flows := solveAll(t, line, []Branch{{Pump: p, Speed: 1000}})
	if flows[0].Standing != OnLine || !flows[0].WouldNotRejoin || flows[0].Flow < 0.4 {
		t.Errorf("running: %+v", flows[0])
	}
	if _, flows = solveAll(t, line, []Branch{{Pump: p, Speed: 1000, Offline: true}}); flows[0].Standing != PushedOff {
		t.Errorf("waiting: %+v", flows[0])
	}
	line.Static = 104.5
	if _, flows = solveAll(t, line, []Branch{{Pump: p, Speed: 1000}}); flows[0].Standing != PushedOff {
		t.Errorf("over the peak: %+v", flows[0])
	}
	// Against a line of its own the head jumps over the peak: 102 m + 15 Q² meets
	// the pump at no point right of it, only at a flow left of the peak.
	line = Line{Static: 102, Loss: 40, Density: 858}
	if s, flows := solveAll(t, line, []Branch{{Pump: p, Speed: 1000}}); flows[0].Standing != PushedOff || s.TotalHead != 102 {
		t.Errorf("jump: %+v, head %g", flows[0], s.TotalHead)
	}
}

func TestSolveRefuses(t *testing.T) {
	p := demoPump(t)
	good := Line{Static: 30, Loss: 16, ManifoldHeight: 24, Density: 858}
	with := func(change func(*Line)) Line { l := good; change(&l); return l }
	for _, tt := range []struct {
		line   Line
		branch Branch
	}{
		{with(func(l *Line) { l.Density = 0 }), Branch{Pump: p, Speed: 1000, Surface: 10}},
		{with(func(l *Line) { l.Static = math.NaN() }), Branch{Pump: p, Speed: 1000, Surface: 10}},
		{with(func(l *Line) { l.Loss = -1 }), Branch{Pump: p, Speed: 1000, Surface: 10}},
		{with(func(l *Line) { l.UllagePressure = math.Inf(1) }), Branch{Pump: p, Speed: 1000, Surface: 10}},
		{good, Branch{Pump: p, Speed: -1, Surface: 10}},
		{good, Branch{Pump: p, Speed: math.NaN(), Surface: 10}},
		{good, Branch{Pump: p, Speed: 1000, Surface: math.NaN()}},
		{good, Branch{Pump: p, Speed: 1000, Surface: 10, ValveLoss: math.NaN()}},
	} {
		if _, err := Solve(&tt.line, []Branch{tt.branch}, make([]BranchFlow, 1)); !errors.Is(err, ErrLine) {
			t.Errorf("%+v %+v: %v, want ErrLine", tt.line, tt.branch, err)
		}
	}
	if _, err := Solve(&good, make([]Branch, 2), make([]BranchFlow, 1)); !errors.Is(err, ErrLine) {
		t.Errorf("two pumps, room for one: %v", err)
	}
	huge := Line{Static: -1e300, Loss: 1e300, Density: 858}
	if _, err := Solve(&huge, []Branch{{Pump: p, Speed: 1000, Surface: 10}}, make([]BranchFlow, 1)); err != nil {
		t.Errorf("huge but finite: %v", err)
	}
}

func TestThrottleLoss(t *testing.T) {
	p := &Pump{Discharge: Gauge{Bore: 0.4}, Valve: Valve{Loss: 2, Rangeability: 10}}
	for _, tt := range []struct{ opening, want float64 }{
		{1, 0}, {1.2, 0}, {0, math.Inf(1)}, {-1, math.Inf(1)},
		{0.5, 2 * (10 - 1)}, {0.75, 2 * (math.Sqrt(10) - 1)}, // by hand: R^(2·0.5) = 10
	} {
		if got := p.ThrottleLoss(tt.opening); !(got == tt.want || math.Abs(got-tt.want) < 1e-12) {
			t.Errorf("opening %g: %g, want %g", tt.opening, got, tt.want)
		}
	}
	usual := (&Pump{Discharge: Gauge{Bore: 0.4}}).ThrottleLoss(0.5)
	// ζ/(2 g A²) (50 − 1) with ζ 0.4, A π·0.4²/4, by hand: 3.2289 · 0.4 · 49.
	within(t, "a valve nothing is said of", usual, 63.29, 0.05)
}
