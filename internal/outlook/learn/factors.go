package learn

import (
	"fmt"
	"math"
	"slices"
	"time"

	"example.org/headwatch/internal/hydraulics"
)

// When hours count, when a pump gets a factor of its own, what looks wrong.
const (
	LeastHours = 3    // behind a factor
	LeastShare = 0.7  // of rated flow, to be above
	OwnWithin  = 0.5  // of what a pump's own gauges leave open beforehand
	HighFactor = 1.05 // above it a gauge, density or ullage is wrong (common practice, no source)
	LeastFall  = 0.03 // of the ratio in one hour, to be told (own judgement)
)

// Hour is what the pumps gave in one hour by their curves and by ullage, both
// as observed volume.
type Hour struct {
	At              time.Time  // its end
	Pumps           []PumpFlow // of each pump that ran, its mean over the hour
	Ullage, UllageU float64    // rate by ullage and its standard uncertainty, m³/s
	Excluded        string     // why it must not count: a stop, COW, unsteady speeds, no ullage; empty: it counts
}

// Factor is what a flow by the curves is multiplied by, with its standard
// uncertainty.
type Factor struct{ Value, U float64 }

// PumpFactor is the factor that holds for one pump.
type PumpFactor struct {
	Pump string
	Factor
	Own bool // its own; else shared by all pumps that have none
}

// Factors are what ullages say about the pumps' curve flows. The zero value
// knows nothing and corrects nothing.
type Factors struct {
	Hours   int          // behind the factors
	LeftOut int          // excluded, or not above LeastShare of rated flow
	Common  Factor       // one for all pumps; NaN before LeastHours
	Pumps   []PumpFactor // by name; empty before LeastHours
	Scatter float64      // standard deviation of the hours' ratios of ullage to curves; NaN below two hours
	Misfit  float64      // scatter over what the uncertainties say, at least 1; noise is widened by it
	Remarks []string     // what looks wrong, a sentence each

	hours  []Hour      // that count, in order of time
	shared [][]float64 // covariance of the hours' lasting errors, m⁶/s²
	fit    factorFit
}

// Rate is a flow by the curves, raw beside corrected, m³/s, with standard
// uncertainties.
type Rate struct {
	Raw, RawU             float64
	Corrected, CorrectedU float64 // NaN before LeastHours
}

// FitFactors learns the factors w of
//
//	Q_ullage = Σ w_p Q_p
//
// by least squares over the hours that count, starting from 1.00 ± the lasting
// errors of the curve flows. From LeastHours on one common w is learnt. A pump
// gets its own where hours with different pumps fix it to within OwnWithin of
// what its own gauges leave open beforehand; the others then share one. The
// ullages are taken as right but for their noise. Order does not matter.
//
// It returns hydraulics.ErrInput for an hour that counts with a figure not
// finite, a flow below 0 or an ullage uncertainty not above 0.
//
// Source: least squares with a Gaussian prior; JCGM 100:2008 (GUM), 5.2, for
// errors in common.
func FitFactors(hours []Hour) (Factors, error) {
	f := Factors{Common: Factor{math.NaN(), math.NaN()}, Misfit: 1}
	for i := range hours {
		if !hours[i].counts() {
			f.LeftOut++
			continue
		}
		if err := hours[i].check(); err != nil {
			return Factors{}, err
		}
		f.hours = append(f.hours, hours[i])
	}
	f.Hours = len(f.hours)
	slices.SortStableFunc(f.hours, func(a, b Hour) int { return a.At.Compare(b.At) })
	f.Scatter = scatter(f.hours)
	if f.Hours < LeastHours {
		return f, nil
	}
	if err := f.learn(); err != nil {
		return Factors{}, err
	}
	f.remark()
	return f, nil
}

func (h *Hour) counts() bool {
	rated := 0.0
	for _, p := range h.Pumps {
		rated += p.Rated
	}
	return h.Excluded == "" && flowOf(h.Pumps) > LeastShare*rated
}

func (h *Hour) check() error {
	at := h.At.Format("15:04")
	if !(h.Ullage >= 0) || !finite(h.Ullage) || !(h.UllageU > 0) || !finite(h.UllageU) {
		return fmt.Errorf("hour to %s: rate by ullage %g ± %g m3/s: want a rate with an uncertainty above 0: %w", at, h.Ullage, h.UllageU, hydraulics.ErrInput)
	}
	for _, p := range h.Pumps {
		if !(p.Flow >= 0) || !finite(p.Flow) || !finite(p.Effects.Sum()) || !(p.Noise >= 0) || !finite(p.Noise) {
			return fmt.Errorf("hour to %s: %s gives %g m3/s with noise %g: want finite figures: %w", at, p.Pump, p.Flow, p.Noise, hydraulics.ErrInput)
		}
	}
	return nil
}

// ratio returns ullage over curves.
func (h *Hour) ratio() float64 { return h.Ullage / flowOf(h.Pumps) }

// noise returns the standard uncertainty that is the hour's own, m³/s.
func (h *Hour) noise() float64 { return math.Hypot(h.UllageU, noiseOf(h.Pumps)) }

// scatter returns the standard deviation of the hours' ratios, NaN below two.
func scatter(hours []Hour) float64 {
	n, mean, sum := float64(len(hours)), 0.0, 0.0
	for i := range hours {
		mean += hours[i].ratio() / n
	}
	for i := range hours {
		d := hours[i].ratio() - mean
		sum += d * d
	}
	if n < 2 {
		return math.NaN()
	}
	return math.Sqrt(sum / (n - 1))
}

// Rate returns the flow of pumps that run together, raw and corrected; one
// pump alone is a sum of one. The corrected flow Σ w_p Q_p brings in the gap of
// hour i with a weight g_i, and with it that hour's errors e_i, so that of the
// pumps' own lasting errors e the part in common cancels:
//
//	u² = Var(e − Σ g_i e_i) + Σ (g_i u_i)² + Σ (w_p u_noise,p)²
//
// It grows where pumps, or flows, are others than in the hours behind w: one
// error of head is not the same share of every flow. RawU is as everywhere;
// CorrectedU also allows for wear.
//
// Source: JCGM 100:2008 (GUM), 5.2.2.
func (f *Factors) Rate(pumps []PumpFlow) Rate {
	shares := make([]hydraulics.Share, len(pumps))
	for i := range pumps {
		shares[i] = pumps[i].Share
	}
	raw, u := hydraulics.TotalFlow(shares)
	out := Rate{Raw: raw, RawU: math.Hypot(u, noiseOf(pumps)), Corrected: math.NaN(), CorrectedU: math.NaN()}
	if f.Hours >= LeastHours {
		out.Corrected, out.CorrectedU = f.corrected(&f.fit, pumps)
	}
	return out
}

// remark says what looks wrong about the factors.
func (f *Factors) remark() {
	if w := f.Common.Value; w > HighFactor {
		f.Remarks = append(f.Remarks, fmt.Sprintf(
			"ullages give %.0f %% more than the curves: more than pumps can; look for a wrong gauge, density or ullage", 100*(w-1)))
	}
	if fall, sure := f.fall(); sure {
		f.Remarks = append(f.Remarks, fmt.Sprintf(
			"the pumps gave %.0f %% less in the last hour than curves and hours before let expect: look for a blocked strainer, air or a wrong valve", 100*fall))
	}
}

// fall returns by what share the ratio of ullage to curves fell in the last
// hour against those before it, and whether that is over LeastFall and over
// three times both its standard uncertainty and the scatter before, so that a
// day of hours rarely cries wolf. The last hour must not widen what it is held
// against, so misfit is left out.
func (f *Factors) fall() (share float64, sure bool) {
	last := len(f.hours) - 1
	if last < LeastHours {
		return 0, false
	}
	ullage, flow := 0.0, 0.0
	for i := range f.hours[:last] {
		ullage += f.hours[i].Ullage
		flow += flowOf(f.hours[i].Pumps)
	}
	weights := slices.Repeat([]float64{-1 / flow}, last+1)
	weights[last] = 1 / flowOf(f.hours[last].Pumps)
	before := ullage / flow
	drop := before - f.hours[last].ratio()
	return drop / before, drop > max(LeastFall*before, 3*math.Sqrt(f.variance(weights, 1)), 3*scatter(f.hours[:last]))
}
