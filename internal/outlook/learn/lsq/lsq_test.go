package lsq

import (
	"encoding/json"
	"errors"
	"math"
	"os"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"
)

// shoreLine is one row of shore_line in fit.json, run with numpy 1.24.2.
type shoreLine struct {
	ID   string
	Flow []float64 `json:"flow_m3h"`
	Head []float64 `json:"head_m"`

	Plain struct {
		Static      float64 `json:"static_m"`
		Loss        float64 `json:"k_m_per_m3s2"`
		ResidualStd float64 `json:"residual_std_m"`
		StaticU     float64 `json:"u_static_m"`
		LossU       float64 `json:"u_k"`
		Correlation float64
		AtFlow      float64 `json:"at_flow_m3h"`
		HeadThere   float64 `json:"head_there_m"`
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
	raw, err := os.ReadFile("../../../../testdata/checks/fit.json")
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

const hour = 3600.0

// squares returns the row (1, Q²) of each flow.
func (s shoreLine) squares() (rows [][]float64) {
	for _, q := range s.Flow {
		rows = append(rows, []float64{1, q / hour * q / hour})
	}
	return rows
}

func within(t *testing.T, what string, got, want, relative float64) {
	t.Helper()
	if !(math.Abs(got-want) <= relative*math.Abs(want)) {
		t.Errorf("%s: %.12g, want %.12g within %g of it", what, got, want, relative)
	}
}

// Source: fit.json, shore_line, at the file's tolerance.
func TestRidgeAgainstPublished(t *testing.T) {
	const tol = 1e-9
	for _, s := range shoreLines(t) {
		ones := make([]float64, len(s.Head))
		std := make([]float64, len(s.Head))
		for i := range ones {
			ones[i], std[i] = 1, s.Ridge.ReadingStd
		}
		x := s.Plain.AtFlow / hour * s.Plain.AtFlow / hour
		t.Run(s.ID+"/plain", func(t *testing.T) {
			f, err := Ridge(Equations{s.squares(), s.Head, ones}, unknown)
			if err != nil {
				t.Fatal(err)
			}
			theta, cov := f.Theta, f.Cov
			chi2 := 0.0
			for i, row := range s.squares() {
				chi2 += math.Pow(s.Head[i]-dot(row, theta), 2)
			}
			residual := math.Sqrt(chi2 / float64(len(s.Head)-2))
			within(t, "static", theta[0], s.Plain.Static, tol)
			within(t, "loss", theta[1], s.Plain.Loss, tol)
			within(t, "residual", residual, s.Plain.ResidualStd, tol)
			within(t, "u of static", residual*math.Sqrt(cov.At(0, 0)), s.Plain.StaticU, tol)
			within(t, "u of loss", residual*math.Sqrt(cov.At(1, 1)), s.Plain.LossU, tol)
			within(t, "correlation", cov.At(0, 1)/math.Sqrt(cov.At(0, 0)*cov.At(1, 1)), s.Plain.Correlation, tol)
			within(t, "head there", theta[0]+x*theta[1], s.Plain.HeadThere, tol)
		})
		t.Run(s.ID+"/ridge", func(t *testing.T) {
			r := s.Ridge
			f, err := Ridge(Equations{s.squares(), s.Head, std}, Independent([]float64{r.PriorStatic, r.PriorLoss}, []float64{r.PriorStaticStd, r.PriorLossStd}))
			if err != nil {
				t.Fatal(err)
			}
			theta, cov := f.Theta, f.Cov
			within(t, "static", theta[0], r.Static, tol)
			within(t, "loss", theta[1], r.Loss, tol)
			within(t, "u of static", math.Sqrt(cov.At(0, 0)), r.StaticU, tol)
			within(t, "u of loss", math.Sqrt(cov.At(1, 1)), r.LossU, tol)
			within(t, "head there", theta[0]+x*theta[1], r.HeadThere, tol)
			within(t, "its u", math.Sqrt(cov.At(0, 0)+2*x*cov.At(0, 1)+x*x*cov.At(1, 1)), r.HeadThereU, tol)
		})
	}
}

// unknown is no prior at all.
var unknown = Independent([]float64{0, 0}, []float64{math.Inf(1), math.Inf(1)})

func TestUndetermined(t *testing.T) {
	if _, err := Ridge(Equations{[][]float64{{1, 2}, {1, 2}}, []float64{3, 3}, []float64{1, 1}}, unknown); !errors.Is(err, ErrUndetermined) {
		t.Errorf("two coefficients from one x without a prior: %v", err)
	}
	if _, err := Correlated([]float64{0, 0}, mat.NewSymDense(2, []float64{1, 1, 1, 1})); !errors.Is(err, ErrUndetermined) {
		t.Errorf("two coefficients that are one: %v", err)
	}
}

func TestNothingObservedIsThePrior(t *testing.T) {
	prior, err := Correlated([]float64{26, 16}, mat.NewSymDense(2, []float64{9, -6, -6, 16}))
	if err != nil {
		t.Fatal(err)
	}
	f, err := Ridge(Equations{}, prior)
	if err != nil || f.Theta[0] != 26 || f.Theta[1] != 16 {
		t.Errorf("%v, error %v", f.Theta, err)
	}
	within(t, "covariance", f.Cov.At(0, 1), -6, 1e-12)
	within(t, "variance", f.Cov.At(1, 1), 16, 1e-12)
}

// Source: by hand. Three observations 0, 0, 6 ± 1 of one figure: mean 2, χ² 24
// over 2 degrees of freedom, √12; its u is √12/√3.
func TestWidenedByMisfit(t *testing.T) {
	e := Equations{[][]float64{{1}, {1}, {1}}, []float64{0, 0, 6}, []float64{1, 1, 1}}
	f, wider, err := Widened(e, Independent([]float64{0}, []float64{math.Inf(1)}))
	if err != nil {
		t.Fatal(err)
	}
	within(t, "mean", f.Theta[0], 2, 1e-12)
	within(t, "misfit", wider, math.Sqrt(12), 1e-12)
	within(t, "u", math.Sqrt(f.Cov.At(0, 0)), 2, 1e-12)
	if got := Misfit(24, 0); got != 1 {
		t.Errorf("misfit without a degree of freedom: %g", got)
	}
}

// TestGainsAreDerivatives moves one observation and looks at the solution.
func TestGainsAreDerivatives(t *testing.T) {
	e := Equations{[][]float64{{1, 1}, {1, 2}, {1, 4}}, []float64{3, 5, 8}, []float64{1, 0.5, 2}}
	prior := Independent([]float64{1, 1}, []float64{3, 2})
	f, err := Ridge(e, prior)
	if err != nil {
		t.Fatal(err)
	}
	for i := range e.Y {
		e.Y[i]++
		g, err := Ridge(e, prior)
		if err != nil {
			t.Fatal(err)
		}
		e.Y[i]--
		for j := range f.Theta {
			within(t, "gain", g.Theta[j]-f.Theta[j], f.Gain[j][i], 1e-9)
		}
	}
}

// Source: York, Can. J. Phys. 44 (1966), Pearson's data with York's weights,
// from memory: slope −0.480533407, intercept 5.47991022. A direct search of the
// least sum over slopes gives the further digits here.
func TestFitBothAgainstYork(t *testing.T) {
	var p Points
	p.X = []float64{0.0, 0.9, 1.8, 2.6, 3.3, 4.4, 5.2, 6.1, 6.5, 7.4}
	p.Y = []float64{5.9, 5.4, 4.4, 4.6, 3.5, 3.7, 2.8, 2.8, 2.4, 1.5}
	wx := []float64{1000, 1000, 500, 800, 200, 80, 60, 20, 1.8, 1}
	wy := []float64{1, 1.8, 4, 8, 20, 20, 70, 70, 100, 500}
	for i := range p.X {
		p.UX = append(p.UX, 1/math.Sqrt(wx[i]))
		p.UY = append(p.UY, 1/math.Sqrt(wy[i]))
	}
	l, err := p.FitBoth(LinePrior{A: 5, AU: math.Inf(1), B: -0.5, BU: math.Inf(1)})
	if err != nil {
		t.Fatal(err)
	}
	within(t, "slope", l.B, -0.4805334093, 1e-8)
	within(t, "intercept", l.A, 5.4799102330, 1e-8)
	within(t, "misfit", l.Misfit, math.Sqrt(11.866353194/8), 1e-9)
}

// TestMoreObservationsNeverWiden adds observations one by one.
func TestMoreObservationsNeverWiden(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		prior := Independent([]float64{26, 16}, []float64{rapid.Float64Range(0.1, 10).Draw(t, "prior a"), rapid.Float64Range(0.1, 10).Draw(t, "prior b")})
		var e Equations
		static, loss, head := math.Inf(1), math.Inf(1), math.Inf(1)
		x := rapid.Float64Range(0.1, 6).Draw(t, "x")
		for range rapid.IntRange(1, 20).Draw(t, "n") {
			e.A = append(e.A, []float64{1, rapid.Float64Range(0.1, 6).Draw(t, "x of observation")})
			e.Y = append(e.Y, rapid.Float64Range(-20, 150).Draw(t, "y"))
			e.U = append(e.U, rapid.Float64Range(0.05, 5).Draw(t, "u"))
			f, err := Ridge(e, prior)
			if err != nil {
				t.Fatal(err)
			}
			cov := f.Cov
			s, l, h := cov.At(0, 0), cov.At(1, 1), cov.At(0, 0)+2*x*cov.At(0, 1)+x*x*cov.At(1, 1)
			const rounding = 1 + 1e-9
			if s > static*rounding || l > loss*rounding || h > head*rounding {
				t.Fatalf("variances %g %g %g after %g %g %g", s, l, h, static, loss, head)
			}
			static, loss, head = s, l, h
		}
	})
}

func BenchmarkFitBoth(b *testing.B) {
	var p Points
	for i := range 24 {
		x := 1 + 0.1*float64(i%10)
		p.X, p.UX = append(p.X, x), append(p.UX, 0.02)
		p.Y, p.UY = append(p.Y, 26+16*x+0.1*float64(i%3)), append(p.UY, 0.3)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := p.FitBoth(LinePrior{26, 3, 16, 4}); err != nil {
			b.Fatal(err)
		}
	}
}
