package learn

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"
	"time"

	"example.org/headwatch/internal/hydraulics"
	"example.org/headwatch/internal/outlook/learn/lsq"
	"pgregory.net/rapid"
)

// one is a pump that gives a flow with some noise and no lasting error.
func one(flow, noise float64) []PumpFlow {
	return []PumpFlow{{Pump: "COP 1", Share: hydraulics.Share{Flow: flow}, Noise: noise, Rated: 2500 / hour}}
}

// on returns a reading that lies on a line, with noise of 0.5 m.
func on(static, loss, flow, hours float64) LineReading {
	return LineReading{At: start.Add(time.Duration(hours * float64(time.Hour))), Pumps: one(flow, 0),
		Head: static + loss*flow*flow, HeadU: 0.5}
}

func fitLine(t testing.TB, plan Plan, readings []LineReading) Line {
	t.Helper()
	l, err := FitLine(plan, readings)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func thePlan() Plan { return Planned(start, planStatic, planLoss, levelRise) }

func TestNoReadingsIsThePlan(t *testing.T) {
	l := fitLine(t, thePlan(), nil)
	if l.Static != planStatic || l.StaticU != PriorStatic || l.Loss != planLoss || l.LossU != PriorLoss*planLoss ||
		l.Correlation != 0 || l.LossFreed || l.Readings != 0 || l.Largest != -1 || !l.Last.IsZero() {
		t.Errorf("line without readings: %+v", l)
	}
	// By hand at 6000 m³/h after 10 h: 26 + 0.4·10 + 46 m; √(3² + (0.25·46)²) m.
	head, u := l.Head(LineReading{At: start.Add(10 * time.Hour), Pumps: one(6000/hour, 0)})
	within(t, "head", head, 76, 1e-9)
	within(t, "u", u, math.Hypot(3, 11.5), 1e-9)
}

// shoreLine is one row of shore_line in fit.json, run with numpy 1.24.2.
type shoreLine struct {
	ID    string
	Flow  []float64 `json:"flow_m3h"`
	Head  []float64 `json:"head_m"`
	Plain struct {
		AtFlow float64 `json:"at_flow_m3h"`
	}
	Ridge struct {
		ReadingStd     float64 `json:"reading_std_m"`
		PriorStatic    float64 `json:"prior_static_m"`
		PriorStaticStd float64 `json:"prior_static_std_m"`
		PriorLoss      float64 `json:"prior_k"`
		PriorLossStd   float64 `json:"prior_k_std"`
		Static         float64 `json:"static_m"`
		Loss           float64 `json:"k_m_per_m3s2"`
		StaticU        float64 `json:"u_static_m"`
		LossU          float64 `json:"u_k"`
		HeadThere      float64 `json:"head_there_m"`
		HeadThereU     float64 `json:"u_head_there_m"`
	}
}

func shoreLines(t *testing.T) []shoreLine {
	t.Helper()
	raw, err := os.ReadFile("../../../testdata/checks/fit.json")
	if err != nil {
		t.Fatal(err)
	}
	var f struct {
		ShoreLine []shoreLine `json:"shore_line"`
	}
	if err := json.Unmarshal(raw, &f); err != nil {
		t.Fatal(err)
	}
	if len(f.ShoreLine) != 4 {
		t.Fatalf("%d shore lines, want 4", len(f.ShoreLine))
	}
	return f.ShoreLine
}

func within(t testing.TB, what string, got, want, relative float64) {
	t.Helper()
	if !(math.Abs(got-want) <= relative*math.Abs(want)) {
		t.Errorf("%s: %.12g, want %.12g within %g of it", what, got, want, relative)
	}
}

// Source: fit.json, shore_line. FitLine and the file's ridge are one where the
// readings scatter no more than stated.
func TestFitLineAgainstPublished(t *testing.T) {
	for _, s := range shoreLines(t) {
		r := s.Ridge
		plan := Plan{At: start, Static: r.PriorStatic, StaticU: r.PriorStaticStd, Loss: r.PriorLoss, LossU: r.PriorLossStd}
		var readings []LineReading
		for i, q := range s.Flow {
			readings = append(readings, LineReading{At: start, Pumps: one(q/hour, 0), Head: s.Head[i], HeadU: r.ReadingStd})
		}
		l := fitLine(t, plan, readings)
		if freed := s.ID != "close"; l.LossFreed != freed {
			t.Errorf("%s: loss freed %v, want %v", s.ID, l.LossFreed, freed)
		}
		switch s.ID {
		case "low-static":
			within(t, "static", l.Static, r.Static, 1e-9)
			within(t, "loss", l.Loss, r.Loss, 1e-9)
			head, u := l.Head(LineReading{At: start, Pumps: one(s.Plain.AtFlow/hour, 0)})
			within(t, "head there", head, r.HeadThere, 1e-9)
			// Alike adds 0.2 of a reading's variance to what all readings share: all
			// of it to static and head, next to nothing to the loss.
			shared := alike * r.ReadingStd * r.ReadingStd
			within(t, "u of static", l.StaticU, math.Sqrt(r.StaticU*r.StaticU+shared), 1e-3)
			within(t, "u of loss", l.LossU, r.LossU, 1e-3)
			within(t, "u of head there", u, math.Sqrt(r.HeadThereU*r.HeadThereU+shared), 1e-3)
		case "close":
			if l.Loss != r.PriorLoss {
				t.Errorf("loss %g with flows close together, want the plan's %g", l.Loss, r.PriorLoss)
			}
		case "outlier":
			// Least squares bends to an outlier at the end, but it stays the largest by far of the misfit.
			if l.Misfit < 2 || math.Abs(l.Residuals[l.Largest]) < 3 {
				t.Errorf("an outlier of 6 m: misfit %g, largest residual %g", l.Misfit, l.Residuals[l.Largest])
			}
		}
	}
}

func TestWhenLossIsFreed(t *testing.T) {
	const q = 1.6
	edge := q * math.Sqrt(FreeLossAt)
	tests := []struct {
		name   string
		flow   float64
		static float64 // of the second reading
		want   bool
		source string
	}{
		{"one flow", q, 26, false, "design: flows too alike"},
		{"just below", edge * (1 - 1e-12), 26, false, "max(Q²) < 1.5 min(Q²)"},
		{"just above", edge * (1 + 1e-12), 26, true, "max(Q²) ≥ 1.5 min(Q²)"},
		{"head falls with flow", 2 * q, -400, false, "a loss can't be below 0"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			l := fitLine(t, thePlan(), []LineReading{on(26, planLoss, q, 0), on(tt.static, planLoss, tt.flow, 0)})
			if l.LossFreed != tt.want || !tt.want && l.Loss != planLoss {
				t.Errorf("freed %v with loss %g, want %v (%s)", l.LossFreed, l.Loss, tt.want, tt.source)
			}
		})
	}
}

// TestReadingsAtNearlyOneFlow is the trap: noise between nearly equal flows
// makes plain least squares find any loss, and a static to match.
func TestReadingsAtNearlyOneFlow(t *testing.T) {
	const draws = 100
	s := newShip(t)
	steady := func(int) []float64 { return []float64{1300, 1300, 1300} }
	plain, learnt, there := 0.0, 0.0, 0.0
	for seed := range uint64(draws) {
		d := draw(t, s, seed, 0)
		readings, _ := d.log(4, steady)
		next, err := d.read(5, steady(5), true)
		if len(readings) < 4 || err != nil {
			continue // a pump ran out past its curve
		}
		var rows [][]float64
		var heads, ones []float64
		for _, r := range readings {
			rows = append(rows, []float64{1, math.Pow(flowOf(r.Pumps), 2)})
			heads, ones = append(heads, r.Head-levelRise*r.At.Sub(start).Seconds()), append(ones, 1)
		}
		unknown := lsq.Independent([]float64{0, 0}, []float64{math.Inf(1), math.Inf(1)})
		squares, err := lsq.Ridge(lsq.Equations{A: rows, Y: heads, U: ones}, unknown)
		if err != nil {
			t.Fatal(err)
		}
		l := fitLine(t, thePlan(), readings)
		if l.LossFreed {
			t.Errorf("seed %d: loss freed by flows at one speed", seed)
		}
		head, _ := l.Head(next.line)
		plain += math.Pow(squares.Theta[1]-d.loss, 2) / draws
		learnt += math.Pow(l.Loss-d.loss, 2) / draws
		there += math.Pow(head-next.line.Head, 2) / draws
	}
	t.Logf("loss off by %.1f by least squares, by %.1f here; head by %.2f m", math.Sqrt(plain), math.Sqrt(learnt), math.Sqrt(there))
	if math.Sqrt(plain) < 2*math.Sqrt(learnt) {
		t.Errorf("loss is off by %.1f by least squares and by %.1f here: no trap", math.Sqrt(plain), math.Sqrt(learnt))
	}
	if math.Sqrt(there) > 1 {
		t.Errorf("head at the flow of the readings is off by %.2f m, want under 1 m", math.Sqrt(there))
	}
}

func TestLineRisesWithShoreTankAndFallsWithLift(t *testing.T) {
	var readings []LineReading
	for h := range 6 {
		r := on(26+0.4*float64(h)-0.1*float64(h), planLoss, 1.5, float64(h))
		r.Lift = 0.1 * float64(h)
		readings = append(readings, r)
	}
	l := fitLine(t, thePlan(), readings)
	within(t, "static at the start", l.Static, 26, 1e-9)
	within(t, "static after 6 h, 0.6 m up", l.StaticAt(start.Add(6*time.Hour), 0.6), 26+2.4-0.6, 1e-9)
}

func TestRiseNotKnownWidensWithTime(t *testing.T) {
	plan := thePlan()
	plan.LevelRiseU = 0.1 / hour
	l := fitLine(t, plan, []LineReading{on(26, planLoss, 1.5, 0), on(26.8, planLoss, 1.5, 2)})
	at := func(hours float64) float64 {
		_, u := l.Head(on(0, 0, 1.5, hours))
		return u
	}
	// By hand: 10 h after the middle of the readings 0.1 m/h make 1 m.
	within(t, "u after 11 h", at(11), math.Hypot(at(1), 1), 1e-9)
}

func TestSinceStartsANewLine(t *testing.T) {
	readings := []LineReading{on(26, 16, 1, 1), on(26, 16, 1, 2), on(26, 16, 1, 3)}
	hours := func(h float64) time.Time { return start.Add(time.Duration(h * float64(time.Hour))) }
	for _, tt := range []struct {
		name    string
		changes []time.Time
		want    int
	}{
		{"no change", nil, 3}, {"before all", []time.Time{hours(0)}, 3}, {"at a reading", []time.Time{hours(2)}, 2},
		{"newest counts", []time.Time{hours(2.5), hours(1.5)}, 1}, {"after all", []time.Time{hours(4)}, 0},
	} {
		if got := Since(readings, tt.changes...); len(got) != tt.want {
			t.Errorf("%s: %d readings, want %d", tt.name, len(got), tt.want)
		}
	}
	if len(readings) != 3 {
		t.Error("readings were changed")
	}
}

func TestOrderDoesNotMatter(t *testing.T) {
	d := draw(t, newShip(t), 1, 0.04)
	readings, hours := d.log(12, combinations)
	next, err := d.read(13, []float64{1250, 1250, 1250}, true)
	if err != nil {
		t.Fatal(err)
	}
	l := fitLine(t, thePlan(), readings)
	f := fitFactors(t, hours)
	head, headU := l.Head(next.line)
	rate := f.Rate(next.pumps)
	rng := rand.New(rand.NewPCG(1, 2))
	for range 5 {
		rng.Shuffle(len(readings), func(i, j int) { readings[i], readings[j] = readings[j], readings[i] })
		rng.Shuffle(len(hours), func(i, j int) { hours[i], hours[j] = hours[j], hours[i] })
		l, f := fitLine(t, thePlan(), readings), fitFactors(t, hours)
		h, u := l.Head(next.line)
		within(t, "head", h, head, 1e-9)
		within(t, "u of head", u, headU, 1e-9)
		r := f.Rate(next.pumps)
		within(t, "rate", r.Corrected, rate.Corrected, 1e-9)
		within(t, "u of rate", r.CorrectedU, rate.CorrectedU, 1e-9)
	}
}

// TestLastingErrorsAreNotAveragedAway: fifty readings with nothing but noise
// pin the line down; the gauge's own error stays in the static.
func TestLastingErrorsAreNotAveragedAway(t *testing.T) {
	var readings []LineReading
	for h := range 50 {
		r := on(26+0.4*float64(h), planLoss, 1.2+0.01*float64(h), float64(h))
		r.HeadLastingU = 2
		readings = append(readings, r)
	}
	l := fitLine(t, thePlan(), readings)
	if !l.LossFreed || l.StaticU < 2 {
		t.Errorf("static ± %g m with a gauge ± 2 m, freed %v", l.StaticU, l.LossFreed)
	}
	next := readings[49]
	if _, u := l.Head(next); u > 0.3 {
		t.Errorf("next reading of the same gauge ± %g m, want it to cancel", u)
	}
	next.HeadLastingU = 0
	if _, u := l.Head(next); u < 1.9 {
		t.Errorf("reading of a gauge without error ± %g m, want about 2 m", u)
	}
}

// TestMoreReadingsOfOneLine: with readings on a line and no lasting error no
// figure gets worse, but for the static when the first reading makes it take up
// what a held loss may be wrong by. 1 % is for the noise in common, which is no
// part of the weights.
func TestMoreReadingsOfOneLine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var readings []LineReading
		lossU, headU := math.Inf(1), math.Inf(1)
		for h := range rapid.IntRange(1, 12).Draw(t, "n") {
			flow := rapid.SampledFrom([]float64{1, 1.5, 2}).Draw(t, "flow")
			readings = append(readings, on(26+0.4*float64(h), planLoss, flow, float64(h)))
			l, err := FitLine(thePlan(), readings)
			if err != nil {
				t.Fatal(err)
			}
			_, u := l.Head(on(0, 0, flowOf(readings[0].Pumps), 0))
			if l.LossU > lossU*1.01 || u > headU*1.01 {
				t.Fatalf("after %d readings loss ± %g (before %g), head ± %g (%g)", h+1, l.LossU, lossU, u, headU)
			}
			lossU, headU = l.LossU, u
		}
	})
}

func TestLineRefuses(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	plan := func(change func(*Plan)) (Plan, []LineReading) {
		p := thePlan()
		change(&p)
		return p, nil
	}
	reading := func(change func(*LineReading)) (Plan, []LineReading) {
		r := on(26, planLoss, 1.5, 0)
		change(&r)
		return thePlan(), []LineReading{on(26, planLoss, 1.5, 0), r}
	}
	tests := map[string]func() (Plan, []LineReading){
		"no static":         func() (Plan, []LineReading) { return plan(func(p *Plan) { p.Static = nan }) },
		"no loss":           func() (Plan, []LineReading) { return plan(func(p *Plan) { p.Loss = 0 }) },
		"endless loss":      func() (Plan, []LineReading) { return plan(func(p *Plan) { p.Loss = inf }) },
		"static exact":      func() (Plan, []LineReading) { return plan(func(p *Plan) { p.StaticU = 0 }) },
		"rise not known":    func() (Plan, []LineReading) { return plan(func(p *Plan) { p.LevelRise = nan }) },
		"no pump":           func() (Plan, []LineReading) { return reading(func(r *LineReading) { r.Pumps = nil }) },
		"flow back":         func() (Plan, []LineReading) { return reading(func(r *LineReading) { r.Pumps = one(-1, 0.1) }) },
		"flow not known":    func() (Plan, []LineReading) { return reading(func(r *LineReading) { r.Pumps = one(nan, 0.1) }) },
		"noise not known":   func() (Plan, []LineReading) { return reading(func(r *LineReading) { r.Pumps = one(1, nan) }) },
		"head not known":    func() (Plan, []LineReading) { return reading(func(r *LineReading) { r.Head = nan }) },
		"lift endless":      func() (Plan, []LineReading) { return reading(func(r *LineReading) { r.Lift = inf }) },
		"u below 0":         func() (Plan, []LineReading) { return reading(func(r *LineReading) { r.HeadU = -1 }) },
		"no noise whatever": func() (Plan, []LineReading) { return reading(func(r *LineReading) { r.HeadU = 0 }) },
	}
	for name, given := range tests {
		if _, err := FitLine(given()); !errors.Is(err, hydraulics.ErrInput) {
			t.Errorf("%s: error %v, want ErrInput", name, err)
		}
	}
}

// TestLineIsAlwaysFinite: whatever is read, a figure comes out.
func TestLineIsAlwaysFinite(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var readings []LineReading
		for range rapid.IntRange(0, 8).Draw(t, "n") {
			r := on(0, 0, rapid.Float64Range(1e-3, 10).Draw(t, "flow"), rapid.Float64Range(-100, 100).Draw(t, "hours"))
			r.Head = rapid.Float64Range(-1e3, 1e3).Draw(t, "head")
			r.HeadU = rapid.Float64Range(1e-3, 100).Draw(t, "u")
			r.HeadLastingU = rapid.Float64Range(0, 100).Draw(t, "lasting")
			r.Pumps[0].Noise = rapid.Float64Range(0, 5).Draw(t, "noise")
			r.Pumps[0].Effects.Curve = rapid.Float64Range(-2, 2).Draw(t, "curve")
			readings = append(readings, r)
		}
		l, err := FitLine(thePlan(), readings)
		if err != nil {
			t.Fatal(err)
		}
		head, u := l.Head(on(0, 0, 1.5, 0))
		for _, v := range append([]float64{l.Static, l.StaticU, l.Loss, l.LossU, l.Correlation, l.Misfit, head, u}, l.Residuals...) {
			if !finite(v) {
				t.Fatalf("not finite: %+v", l)
			}
		}
		if l.Loss <= 0 || math.Abs(l.Correlation) > 1+1e-9 {
			t.Fatalf("loss %g, correlation %g", l.Loss, l.Correlation)
		}
	})
}

func ExampleFitLine() {
	plan := Planned(start, 26, 16.56, 0.4/3600)
	var readings []LineReading
	for i, q := range []float64{1.3, 1.5, 1.7} { // m³/s; the shore is in truth 28 m + 18 Q²
		readings = append(readings, LineReading{
			At:    start.Add(time.Duration(i) * time.Hour),
			Pumps: one(q, 0.005), Head: 28 + 0.4*float64(i) + 18*q*q, HeadU: 0.3,
		})
	}
	l, err := FitLine(plan, readings)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("planned %.1f m + %.1f Q², learnt %.1f ± %.1f m + %.1f ± %.1f Q² from %d readings\n",
		l.Plan.Static, l.Plan.Loss, l.Static, l.StaticU, l.Loss, l.LossU, l.Readings)
	head, u := l.Head(LineReading{At: start.Add(3 * time.Hour), Pumps: one(1.6, 0)})
	fmt.Printf("next reading %.1f ± %.1f m\n", head, u)
	// Output:
	// planned 26.0 m + 16.6 Q², learnt 27.8 ± 1.0 m + 18.1 ± 0.4 Q² from 3 readings
	// next reading 75.3 ± 0.3 m
}

func BenchmarkFitLine(b *testing.B) {
	readings, _ := draw(b, newShip(b), 1, 0.04).log(24, spread)
	b.ReportAllocs()
	for b.Loop() {
		fitLine(b, thePlan(), readings)
	}
}

func BenchmarkLineHead(b *testing.B) {
	readings, _ := draw(b, newShip(b), 1, 0.04).log(24, spread)
	l := fitLine(b, thePlan(), readings)
	next := slices.Clone(readings)[0]
	b.ReportAllocs()
	for b.Loop() {
		l.Head(next)
	}
}
