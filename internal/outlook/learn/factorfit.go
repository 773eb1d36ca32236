package learn

import (
	"math"
	"slices"

	"example.org/headwatch/internal/outlook/learn/lsq"
	"gonum.org/v1/gonum/mat"
)

// leastOwn is how well a pump's own factor is known beforehand at the best:
// even with perfect gauges two pumps of a curve differ (own judgement).
const leastOwn = 0.001

// factorFit is one least-squares fit. Column 0 is the factor of all pumps that
// have no own.
type factorFit struct {
	own    []string // pumps of columns 1, 2, …
	ownU   float64  // what a pump's own gauges leave open of its factor beforehand
	theta  []float64
	gain   [][]float64 // what 1 m³/s of an hour's gap adds to a column's factor, s/m³
	misfit float64
}

func (t *factorFit) column(pump string) int { return slices.Index(t.own, pump) + 1 }

// learn fits one factor for all pumps, then one for each to see which of them
// the hours fix, then those beside one for the rest.
func (f *Factors) learn() (err error) {
	for i := range f.hours {
		var row []float64
		for j := range f.hours {
			row = append(row, shared(f.hours[i].Pumps, f.hours[j].Pumps))
		}
		f.shared = append(f.shared, row)
	}
	if f.fit, err = f.fitted(nil); err != nil {
		return err
	}
	names := f.names()
	f.Common = f.factor(&f.fit, names...)
	if len(names) > 1 {
		each, err := f.fitted(names)
		if err != nil {
			return err
		}
		own := slices.DeleteFunc(slices.Clone(names), func(pump string) bool {
			return f.factor(&each, pump).U > OwnWithin*each.ownU
		})
		if f.fit, err = f.fitted(own); err != nil {
			return err
		}
	}
	f.Misfit = f.fit.misfit
	for _, pump := range names {
		f.Pumps = append(f.Pumps, PumpFactor{Pump: pump, Factor: f.factor(&f.fit, pump), Own: f.fit.column(pump) > 0})
	}
	return nil
}

// names returns the pumps that gave flow in the hours, in order of name.
func (f *Factors) names() (names []string) {
	for _, h := range f.hours {
		for _, p := range h.Pumps {
			if p.Flow > 0 {
				names = append(names, p.Pump)
			}
		}
	}
	slices.Sort(names)
	return slices.Compact(names)
}

// fitted fits factors to the hours, their own for some pumps, and again with
// the noise widened when the hours scatter more than that.
func (f *Factors) fitted(own []string) (factorFit, error) {
	t := factorFit{own: own}
	prior, err := f.before(&t)
	if err != nil {
		return t, err
	}
	var e lsq.Equations
	for i := range f.hours {
		h := &f.hours[i]
		row := make([]float64, len(own)+1)
		for _, p := range h.Pumps {
			row[t.column(p.Pump)] += p.Flow
		}
		e.A, e.Y, e.U = append(e.A, row), append(e.Y, h.Ullage), append(e.U, h.noise())
	}
	fit, misfit, err := lsq.Widened(e, prior)
	t.theta, t.gain, t.misfit = fit.Theta, fit.Gain, misfit
	return t, err
}

// before sets what a pump's own factor is worth beforehand and returns the
// factors' prior, all 1: what curve and density may be wrong by is common to
// the columns, what gauges and tachometer may be is each pump's own, and less
// where several share a column. Both are shares of all flow: a pump that gave
// next to none says next to nothing, though its own share has no bound.
func (f *Factors) before(t *factorFit) (lsq.Prior, error) {
	flow, common, own := 0.0, 0.0, 0.0
	sharing := map[string]bool{}
	for _, h := range f.hours {
		for i := range h.Pumps {
			p := &h.Pumps[i]
			if t.column(p.Pump) == 0 {
				sharing[p.Pump] = true
			}
			flow += p.Flow
			common += math.Hypot(p.Effects.Curve, p.Effects.Density)
			own += p.own()
		}
	}
	common, t.ownU = common/flow, max(own/flow, leastOwn)
	columns := len(t.own) + 1
	cov := mat.NewSymDense(columns, nil)
	for i := range columns {
		for j := i; j < columns; j++ {
			cov.SetSym(i, j, common*common)
		}
		alone := t.ownU * t.ownU
		if i == 0 {
			alone /= float64(max(len(sharing), 1))
		}
		cov.SetSym(i, i, common*common+alone)
	}
	return lsq.Correlated(slices.Repeat([]float64{1}, columns), cov)
}

// factor returns the factor of pumps over the hours in which they ran.
func (f *Factors) factor(t *factorFit, pumps ...string) Factor {
	var mean []PumpFlow
	for _, pump := range pumps {
		var ran []PumpFlow
		for _, h := range f.hours {
			for _, p := range h.Pumps {
				if p.Pump == pump {
					ran = append(ran, p)
				}
			}
		}
		m := Mean(ran...)
		m.Noise = 0
		mean = append(mean, m)
	}
	flow, u := f.corrected(t, mean)
	curve := flowOf(mean)
	return Factor{flow / curve, u / curve}
}

// corrected returns the flow of pumps that run together by the factors of t,
// and its standard uncertainty, m³/s; see Rate.
func (f *Factors) corrected(t *factorFit, pumps []PumpFlow) (flow, u float64) {
	variance := shared(pumps, pumps)
	weights := make([]float64, len(f.hours))
	for _, p := range pumps {
		c := t.column(p.Pump)
		flow += t.theta[c] * p.Flow
		variance += math.Pow(t.theta[c]*p.Noise, 2)
		for i, g := range t.gain[c] {
			weights[i] += p.Flow * g
		}
	}
	for i, g := range weights {
		variance -= 2 * g * shared(pumps, f.hours[i].Pumps)
	}
	return flow, math.Sqrt(max(0, variance+f.variance(weights, t.misfit)))
}

// variance returns that of a weighted sum of the hours' gaps, m⁶/s², with
// their noise widened.
func (f *Factors) variance(weights []float64, wider float64) (sum float64) {
	for i, g := range weights {
		noise := wider * f.hours[i].noise()
		sum += g * g * noise * noise
		for j, h := range weights {
			sum += g * h * f.shared[i][j]
		}
	}
	return sum
}
