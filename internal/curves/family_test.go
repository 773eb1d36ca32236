package curves

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// threeSpeeds is an invented pump: three printed speeds that are not exactly
// similar, the lowest one shorter in phi.
func threeSpeeds() []Sheet {
	return []Sheet{
		{Speed: 1000, Q: []float64{0, .15, .3, .45, .55}, H: []float64{70, 69, 64, 55, 47},
			Efficiency: []float64{0, .5, .75, .8, .76}, NPSHr: []float64{2, 2.2, 3, 4.4, 5.6}},
		{Speed: 1250, Q: []float64{0, .2, .4, .6, .75}, H: []float64{108, 107, 99, 83, 66},
			Efficiency: []float64{0, .52, .77, .81, .75}, NPSHr: []float64{3, 3.3, 4.6, 6.9, 9}},
		{Speed: 1500, Q: []float64{0, .2, .4, .6, .8, .9}, H: []float64{156, 155, 149, 137, 116, 101},
			Efficiency: []float64{0, .48, .72, .81, .79, .74}, NPSHr: []float64{4.2, 4.4, 5.5, 7.4, 10.6, 12.8}},
	}
}

func solve(l Line, c, base float64) Crossing {
	net := l.Net(c)
	return net.Solve(base)
}

func mustFamily(t testing.TB, law Law, sheets ...Sheet) *Family {
	t.Helper()
	f, err := NewFamily(law, sheets)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// blendByDefinition is the definition written out with two separate fits:
// psi = (1−w) psiA + w psiB, joined to the longer curve past the shorter end.
func blendByDefinition(t testing.TB, a, b Sheet, n, q float64) (h float64, oneCurve bool) {
	t.Helper()
	fitA, errA := NewFit(scaled(a.Q, 1/a.Speed), scaled(a.H, 1/(a.Speed*a.Speed)))
	fitB, errB := NewFit(scaled(b.Q, 1/b.Speed), scaled(b.H, 1/(b.Speed*b.Speed)))
	if errA != nil || errB != nil {
		t.Fatal(errA, errB)
	}
	w, phi := (n-a.Speed)/(b.Speed-a.Speed), q/n
	endA, endB := a.Q[len(a.Q)-1]/a.Speed, b.Q[len(b.Q)-1]/b.Speed
	short := min(endA, endB)
	blend := func(phi float64) float64 {
		ya, _ := fitA.At(phi)
		yb, _ := fitB.At(phi)
		return (1-w)*ya + w*yb
	}
	if phi <= short {
		return blend(phi) * n * n, false
	}
	long := fitA
	if endB > endA {
		long = fitB
	}
	y, _ := long.At(phi)
	joint, _ := long.At(short)
	return (y + blend(short) - joint) * n * n, true
}

func TestBlendFollowsItsDefinition(t *testing.T) {
	sheets := threeSpeeds()
	f := mustFamily(t, Interpolate, sheets...)
	rapid.Check(t, func(rt *rapid.T) {
		i := rapid.IntRange(0, 1).Draw(rt, "pair")
		a, b := sheets[i], sheets[i+1]
		n := rapid.Float64Range(a.Speed, b.Speed).Draw(rt, "speed")
		line := f.At(n)
		q := rapid.Float64Range(0, line.End()).Draw(rt, "flow")
		got, ok := line.At(q)
		want, oneCurve := blendByDefinition(t, a, b, n, q)
		if !ok || math.Abs(got.Head-want) > 1e-9*want {
			rt.Fatalf("head at %g rpm, %g m3/s: got %.12g %v, want %.12g", n, q, got.Head, ok, want)
		}
		if w := (n - a.Speed) / (b.Speed - a.Speed); w > 1e-6 && w < 1-1e-6 && math.Abs(q/n-shortEnd(a, b)) > 1e-12 && got.OneCurve != oneCurve {
			rt.Fatalf("one-curve at %g rpm, %g m3/s: got %v, want %v", n, q, got.OneCurve, oneCurve)
		}
	})
}

func shortEnd(a, b Sheet) float64 {
	return min(a.Q[len(a.Q)-1]/a.Speed, b.Q[len(b.Q)-1]/b.Speed)
}

func TestEndIsLinearInSpeed(t *testing.T) {
	f := mustFamily(t, Interpolate, threeSpeeds()...)
	// phi ends 0.55/1000 and 0.75/1250; half way between the speeds their mean.
	want := 1125 * (0.55/1000 + 0.75/1250) / 2
	if got := f.At(1125).End(); math.Abs(got-want) > 1e-12 {
		t.Errorf("end at 1125 rpm: got %g, want %g (by hand)", got, want)
	}
}

func TestInverseOfCurveIsIdentity(t *testing.T) {
	f := mustFamily(t, Interpolate, threeSpeeds()...)
	rapid.Check(t, func(rt *rapid.T) {
		line := f.At(rapid.Float64Range(500, 2000).Draw(rt, "speed"))
		q := rapid.Float64Range(0.02, 1).Draw(rt, "share") * line.End()
		c := rapid.Float64Range(0, 4).Draw(rt, "c")
		h, inside := line.Head(q)
		got := solve(line, c, h-c*q*q)
		if !inside || math.Abs(got.Flow-q) > 1e-9*line.End() {
			rt.Fatalf("flow %g came back as %g (%v)", q, got.Flow, got.State)
		}
	})
}

func TestAffinityIsExactForASimilarFamily(t *testing.T) {
	base := threeSpeeds()[2]
	similar := func(n float64) Sheet {
		r := n / base.Speed
		return Sheet{Speed: n, Q: scaled(base.Q, r), H: scaled(base.H, r*r)}
	}
	one := mustFamily(t, Affinity, similar(1500))
	three := mustFamily(t, Interpolate, similar(900), similar(1200), similar(1500))
	rapid.Check(t, func(rt *rapid.T) {
		n := rapid.Float64Range(900, 1500).Draw(rt, "speed")
		q := rapid.Float64Range(0, 1).Draw(rt, "share") * one.At(n).End()
		ref, _ := one.At(1500).Head(min(q*1500/n, one.At(1500).End()))
		want := ref * (n / 1500) * (n / 1500)
		a, _ := one.At(n).Head(q)
		b, _ := three.At(n).Head(min(q, three.At(n).End()))
		if math.Abs(a-want) > 1e-9*want || math.Abs(b-want) > 1e-9*want {
			rt.Fatalf("head at %g rpm, %g m3/s: affinity %.12g, interpolate %.12g, want %.12g", n, q, a, b, want)
		}
	})
	if one.At(700).SpeedOutside() || !three.At(700).SpeedOutside() || !three.At(1600).SpeedOutside() {
		t.Error("speed outside: want it flagged for law interpolate only")
	}
}

// fallingPoints draws points of a curve that falls all the way.
func fallingPoints(rt *rapid.T) (x, y []float64) {
	n := rapid.IntRange(3, 12).Draw(rt, "points")
	x, y = []float64{0}, []float64{200}
	for i := 1; i < n; i++ {
		x = append(x, x[i-1]+rapid.Float64Range(0.01, 1).Draw(rt, "dx"))
		y = append(y, y[i-1]-rapid.Float64Range(0, 15).Draw(rt, "dy"))
	}
	y[n-1] -= 1 // a curve falls somewhere
	return x, y
}

func TestMonotoneDataGiveAMonotoneCurve(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		x, y := fallingPoints(rt)
		f := mustFamily(t, Interpolate, Sheet{Speed: 1000, Q: x, H: y})
		line, last := f.At(1000), math.Inf(1)
		for i := range 201 {
			h, _ := line.Head(min(line.End()*float64(i)/200, line.End()))
			if h > last+1e-9 {
				rt.Fatalf("head rises to %g after %g at step %d", h, last, i)
			}
			last = h
		}
	})
}

// drooping rises from 100 m at no flow to 104 m at 0.3 m³/s before it falls.
func drooping() Sheet {
	return Sheet{Speed: 1000, Q: []float64{0, .1, .2, .3, .4, .6, .8}, H: []float64{100, 102, 103.5, 104, 103, 95, 78}}
}

func TestStates(t *testing.T) {
	falls := mustFamily(t, Interpolate, threeSpeeds()...).At(1500)
	droops := mustFamily(t, Interpolate, drooping()).At(1000)
	tests := []struct {
		name    string
		line    Line
		c, base float64
		want    State
	}{
		{"between", falls, 0, 130, OK},
		{"at shut-off", falls, 0, 156, OK},
		{"just above shut-off", falls, 0, math.Nextafter(156, 200) + 1e-9, AboveCurve},
		{"at the end", falls, 0, 101 + 1e-9, OK},
		{"just below the end", falls, 0, 101 - 1e-9, BeyondEnd},
		{"velocity head moves the end down", falls, 2, 100, OK},
		{"head below zero", falls, 2, -40, BeyondEnd},
		{"not a number", falls, 2, math.NaN(), AboveCurve},
		{"droop: below shut-off", droops, 0, 99, OK},
		{"droop: between", droops, 0, 103, TwoFlows},
		{"droop: above the peak", droops, 0, 104.001, AboveCurve},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := solve(tt.line, tt.c, tt.base); got.State != tt.want {
				t.Errorf("state %v (flow %g), want %v", got.State, got.Flow, tt.want)
			}
		})
	}
	net := droops.Net(0)
	if q, h := net.Peak(); math.Abs(q-0.3) > 1e-12 || math.Abs(h-104) > 1e-9 {
		t.Errorf("peak at %g m3/s, %g m; want 0.3 m3/s, 104 m (a knot)", q, h)
	}
}

func TestBothFlowsOfADroopLieOnTheCurve(t *testing.T) {
	a := drooping()
	b := Sheet{Speed: 1300, Q: scaled(a.Q, 1.25), H: scaled(a.H, 1.3*1.3)}
	f := mustFamily(t, Interpolate, a, b)
	rapid.Check(t, func(rt *rapid.T) {
		line := f.At(rapid.Float64Range(900, 1400).Draw(rt, "speed"))
		c := rapid.Float64Range(-1, 6).Draw(rt, "c")
		net := line.Net(c)
		peak, top := net.Peak()
		shut, _ := line.Head(0)
		base := shut + rapid.Float64Range(0.01, 0.99).Draw(rt, "share")*(top-shut)
		got := solve(line, c, base)
		if got.State != TwoFlows || !(got.Other < peak && peak < got.Flow) {
			rt.Fatalf("base %g under peak %g m: %+v, peak at %g", base, top, got, peak)
		}
		for _, q := range []float64{got.Flow, got.Other} {
			h, _ := line.Head(q)
			if math.Abs(h-c*q*q-base) > 1e-9*base {
				rt.Fatalf("flow %g gives %.12g m, want %.12g", q, h-c*q*q, base)
			}
		}
	})
}

func TestOutsideIsAValue(t *testing.T) {
	line := mustFamily(t, Interpolate, threeSpeeds()...).At(1100)
	for _, q := range []float64{-1e-9, math.Nextafter(line.End(), 9), math.NaN(), math.Inf(1)} {
		if h, inside := line.Head(q); inside || !math.IsNaN(h) {
			t.Errorf("head at %g: got %g, inside %v", q, h, inside)
		}
		if _, inside := line.At(q); inside {
			t.Errorf("point at %g is said to be inside", q)
		}
	}
}

func TestNewFamilyRefuses(t *testing.T) {
	good := func() Sheet { return threeSpeeds()[1] }
	with := func(change func(*Sheet)) []Sheet {
		s := good()
		change(&s)
		return []Sheet{s}
	}
	tests := []struct {
		name         string
		law          Law
		sheets       []Sheet
		sheet, point int
		quantity     string
		says         string
	}{
		{"no sheet", Interpolate, nil, -1, -1, "", "at least one speed"},
		{"two points", Interpolate, with(func(s *Sheet) { s.Q, s.H = s.Q[:2], s.H[:2] }), 0, -1, "flow", "at least 3"},
		{"equal flows", Interpolate, with(func(s *Sheet) { s.Q[2] = s.Q[1] }), 0, 2, "flow", "must rise"},
		{"unsorted", Interpolate, with(func(s *Sheet) { s.Q[2] = 0.1 }), 0, 2, "flow", "must rise"},
		{"no shut-off point", Interpolate, with(func(s *Sheet) { s.Q[0] = 0.01 }), 0, 0, "flow", "at flow 0"},
		{"not a number", Interpolate, with(func(s *Sheet) { s.H[1] = math.NaN() }), 0, 1, "head", "head above 0"},
		{"infinite", Interpolate, with(func(s *Sheet) { s.Q[4] = math.Inf(1) }), 0, 4, "flow", "0 or more"},
		{"rising", Interpolate, with(func(s *Sheet) { s.H = []float64{1, 2, 3, 4, 5} }), 0, 4, "head", "does not fall"},
		{"two humps", Interpolate, with(func(s *Sheet) { s.H = []float64{100, 90, 95, 80, 70} }), 0, 2, "head", "rises again"},
		{"lengths", Interpolate, with(func(s *Sheet) { s.H = s.H[:4] }), 0, -1, "head", "4 values for 5 flows"},
		{"no heads", Interpolate, with(func(s *Sheet) { s.H = nil }), 0, -1, "head", "0 values for 5 flows"},
		{"efficiency in per cent", Interpolate, with(func(s *Sheet) { s.Efficiency[1] = 52 }), 0, 1, "efficiency", "between 0 and 100 %"},
		{"no speed", Interpolate, with(func(s *Sheet) { s.Speed = 0 }), 0, -1, "speed", "above 0"},
		{"same speed twice", Interpolate, []Sheet{good(), good()}, 1, -1, "speed", "second curve"},
		{"affinity with two", Affinity, threeSpeeds()[:2], 1, -1, "speed", "law interpolate"},
		{"npshr on one only", Interpolate, func() []Sheet { s := threeSpeeds(); s[1].NPSHr = nil; return s }(), 1, -1, "npshr", "all or on none"},
		{"crossing", Interpolate, func() []Sheet { s := threeSpeeds(); s[2].H = []float64{156, 150, 98, 80, 60, 40}; return s }(), 2, 2, "head", "must not cross"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := NewFamily(tt.law, tt.sheets)
			var pe *PointError
			if !errors.As(err, &pe) {
				t.Fatalf("got %v, want a *PointError", err)
			}
			if pe.Sheet != tt.sheet || pe.Point != tt.point || pe.Quantity != tt.quantity || !strings.Contains(pe.Error(), tt.says) {
				t.Errorf("got %+v %q, want sheet %d point %d %q saying %q", pe, pe.Error(), tt.sheet, tt.point, tt.quantity, tt.says)
			}
		})
	}
}

// Curves whose psi–phi forms cross but whose H–Q forms don't are one pump.
func TestCrossingIsJudgedInHeadAndFlow(t *testing.T) {
	a := Sheet{Speed: 1000, Q: []float64{0, .2, .4, .6}, H: []float64{70, 68, 60, 45}}
	b := Sheet{Speed: 1500, Q: []float64{0, .3, .6, .9}, H: []float64{154, 153, 137, 99}}
	if a.H[0]/1e6 < b.H[0]/2.25e6 || a.H[3]/1e6 < b.H[3]/2.25e6 || a.H[2]/1e6 > b.H[2]/2.25e6 {
		t.Fatal("the example must cross in psi–phi")
	}
	mustFamily(t, Interpolate, a, b)
}

func FuzzSolve(f *testing.F) {
	family := mustFamily(f, Interpolate, threeSpeeds()...)
	droop := mustFamily(f, Affinity, drooping())
	f.Add(1200.0, 1.9, 90.0)
	f.Add(1e-300, -1.0, 1e300)
	f.Fuzz(func(t *testing.T, speed, c, base float64) {
		if !(speed > 0 && speed < 1e6) || math.Abs(c) > 1e6 {
			return
		}
		for _, line := range []Line{family.At(speed), droop.At(speed)} {
			got := solve(line, c, base)
			if got.State == AboveCurve != math.IsNaN(got.Flow) || got.Flow < 0 || got.Flow > line.End() {
				t.Fatalf("%g rpm, c %g, base %g: %+v", speed, c, base, got)
			}
		}
	})
}

func ExampleNet_Solve() {
	f, err := NewFamily(Affinity, []Sheet{{Speed: 1480, Q: []float64{0, 0.35, 0.7}, H: []float64{150, 138, 112}}})
	if err != nil {
		fmt.Println(err)
		return
	}
	// At half the speed the point 0.35 m3/s, 138 m becomes 0.175 m3/s, 34.5 m.
	net := f.At(740).Net(0)
	got := net.Solve(34.5)
	fmt.Printf("%.3f m3/s %v\n", got.Flow, got.State)
	fmt.Println(net.Solve(20).State)
	// Output:
	// 0.175 m3/s ok
	// beyond-end
}

// BenchmarkSolve solves for flow at random speeds and heads, so that no branch
// is learnt by heart.
func BenchmarkSolve(b *testing.B) {
	f := mustFamily(b, Interpolate, threeSpeeds()...)
	rng := rand.New(rand.NewPCG(1, 2))
	var speed, base [4096]float64
	for i := range speed {
		speed[i] = 1000 + 500*rng.Float64()
		line := f.At(speed[i])
		q := line.End() * (0.1 + 0.85*rng.Float64())
		h, _ := line.Head(q)
		base[i] = h - 1.9*q*q
	}
	b.ReportAllocs()
	i, sum := 0, 0.0
	for b.Loop() {
		sum += solve(f.At(speed[i]), 1.9, base[i]).Flow
		i = (i + 1) % len(speed)
	}
	if !(sum > 0) {
		b.Fatal("no flow")
	}
}
