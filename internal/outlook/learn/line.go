package learn

import (
	"fmt"
	"math"
	"slices"
	"time"

	"example.org/headwatch/internal/hydraulics"
	"example.org/headwatch/internal/outlook/learn/lsq"
)

// What a plan's line is worth before the first reading, as standard
// uncertainties, and how far apart flows must be to free the loss.
const (
	PriorStatic = 3.0  // m
	PriorLoss   = 0.25 // of K
	FreeLossAt  = 1.5  // largest Q² over smallest
)

// alike is the share of a reading's noise variance that may be in all readings
// beside what is its own: needles that hardly move are rounded to the same digit
// hour after hour (own judgement; without it ± 2 u held the truth in 91 % of
// synthetic discharges at nearly one flow). It widens what the line is said to
// be known to, and is no part of the weights.
const alike = 0.2

// Plan is the shore line before it was learnt, h = static + K Q².
type Plan struct {
	At              time.Time // when Static is true
	Static, StaticU float64   // head over the manifold gauge at no flow and its standard uncertainty, m
	Loss, LossU     float64   // K and its standard uncertainty, s²/m⁵
	LevelRise       float64   // of the shore tank, m/s
	LevelRiseU      float64   // its standard uncertainty, m/s; 0 takes it as exact
}

// Planned returns a plan's line with the uncertainties of PriorStatic and
// PriorLoss. static in m, loss K in s²/m⁵, levelRise in m/s.
func Planned(at time.Time, static, loss, levelRise float64) Plan {
	return Plan{At: at, Static: static, StaticU: PriorStatic, Loss: loss, LossU: PriorLoss * loss, LevelRise: levelRise}
}

// LineReading is one reading of the shore line: the pumps' flows by their
// curves beside the head at the manifold.
type LineReading struct {
	At           time.Time
	Pumps        []PumpFlow // that ran
	Head         float64    // total head over the manifold gauge, m
	HeadU        float64    // standard uncertainty of what differs from reading to reading, m
	HeadLastingU float64    // and of what is the same in all, m
	Lift         float64    // of the manifold since Plan.At by tide and draught, m
}

// Line is the shore line as learnt. It is on the ship's own scales, of flows
// by the curves and of heads by the manifold gauge, since what it is for, the
// next reading, is on them too: Head says how well that is known. StaticU and
// LossU tell how far the two figures may be from the shore's own, with all
// that those scales may be wrong by.
type Line struct {
	Plan            Plan    // as given: raw beside learnt
	Static, StaticU float64 // at Plan.At, m
	Loss, LossU     float64 // s²/m⁵
	Correlation     float64 // of the errors of static and loss
	LossFreed       bool    // else held at the plan's
	Readings        int
	First, Last     time.Time // zero without a reading
	Misfit          float64   // scatter over what the uncertainties say, at least 1; noise is widened by it
	Residuals       []float64 // head read less head fitted, over its standard uncertainty, as the readings were given
	Largest         int       // index of the largest residual by size: an outlier when over 3; −1 without a reading

	readings []LineReading
	flow     []float64    // of each reading, m³/s
	shared   [][]float64  // covariance of the flows' lasting errors, m⁶/s²
	gain     [2][]float64 // by how much static and loss move with each head
	middle   time.Time    // of the readings
}

// Since returns the readings at or after the newest of the changes (of arms,
// shore tank or booster), each of which starts a new line.
func Since(readings []LineReading, changes ...time.Time) []LineReading {
	return slices.DeleteFunc(slices.Clone(readings), func(r LineReading) bool {
		return slices.ContainsFunc(changes, r.At.Before)
	})
}

// FitLine learns static and K of
//
//	h = static + rise (t − t0) − lift + K Q²
//
// from readings with errors in head and flow, starting from the plan's. It
// minimises
//
//	Σ (h − …)²/(u_h² + (2 K Q u_Q)² + u_apart²) + (Δstatic/u_static)² + (ΔK/u_K)²
//
// where u_h and u_Q are noise. Lasting errors move the whole line, and what
// they do to all readings alike is left out of the sum; u_apart is what they do
// to one and not to the mean of all, as when another pump ran. They widen the
// prior, since a plan is not on the ship's scales. How they divide between
// static and K is not known: both are widened by the whole.
//
// K is held unless max(Q²) ≥ 1.5 min(Q²), since readings at nearly one flow
// can't tell the two apart, and where it comes out at 0 or less. What it may be
// wrong by then stays in every figure. Order does not matter; the readings are
// all of one line, see Since. Without readings the line is the plan.
//
// It returns hydraulics.ErrInput for a figure that is not finite, a flow not
// above 0, an uncertainty below 0, a reading without noise, a plan without loss
// or uncertainties.
//
// Source: York, Can. J. Phys. 44 (1966), 1079–1086, from memory, for errors in
// both variables; JCGM 100:2008 (GUM), F.1.2.3 and H.3, for errors in common.
func FitLine(plan Plan, readings []LineReading) (Line, error) {
	l := Line{Plan: plan, Static: plan.Static, StaticU: plan.StaticU, Loss: plan.Loss, LossU: plan.LossU,
		Misfit: 1, Largest: -1, middle: plan.At}
	if err := plan.check(); err != nil {
		return Line{}, err
	}
	for i := range readings {
		if err := readings[i].check(); err != nil {
			return Line{}, err
		}
	}
	if len(readings) == 0 {
		return l, nil
	}
	l.describe(readings)
	if err := l.learn(); err != nil {
		return Line{}, err
	}
	return l, nil
}

func (p *Plan) check() error {
	switch {
	case !finite(p.Static), !finite(p.LevelRise), !(p.LevelRiseU >= 0), !finite(p.LevelRiseU):
		return fmt.Errorf("planned static %g m, rising %g ± %g m/s: want finite figures: %w", p.Static, p.LevelRise, p.LevelRiseU, hydraulics.ErrInput)
	case !(p.Loss > 0), !finite(p.Loss):
		return fmt.Errorf("planned loss %g s2/m5: want more than 0: %w", p.Loss, hydraulics.ErrInput)
	case !(p.StaticU > 0), !finite(p.StaticU), !(p.LossU > 0), !finite(p.LossU):
		return fmt.Errorf("planned line ± %g m, ± %g s2/m5: want more than 0: %w", p.StaticU, p.LossU, hydraulics.ErrInput)
	}
	return nil
}

func (r *LineReading) check() error {
	flow, noise := flowOf(r.Pumps), noiseOf(r.Pumps)
	switch {
	case !(flow > 0), !finite(flow):
		return fmt.Errorf("flow %g m3/s: want more than 0: %w", flow, hydraulics.ErrInput)
	case !finite(noise), !finite(shared(r.Pumps, r.Pumps)):
		return fmt.Errorf("flow %g m3/s with noise %g: want finite errors: %w", flow, noise, hydraulics.ErrInput)
	case !finite(r.Head), !finite(r.Lift):
		return fmt.Errorf("head %g m, lift %g m: want finite figures: %w", r.Head, r.Lift, hydraulics.ErrInput)
	case !(r.HeadU >= 0), !finite(r.HeadU), !(r.HeadLastingU >= 0), !finite(r.HeadLastingU):
		return fmt.Errorf("head %g m with noise %g, always %g: want 0 or more: %w", r.Head, r.HeadU, r.HeadLastingU, hydraulics.ErrInput)
	case r.HeadU == 0 && noise == 0:
		return fmt.Errorf("head %g m at %g m3/s without any noise: %w", r.Head, flow, hydraulics.ErrInput)
	}
	return nil
}

// describe takes the readings in and sets what they tell unfitted.
func (l *Line) describe(readings []LineReading) {
	l.readings = slices.Clone(readings)
	l.Readings = len(readings)
	l.First, l.Last = readings[0].At, readings[0].At
	middle := 0.0
	for i := range readings {
		r := &readings[i]
		l.flow = append(l.flow, flowOf(r.Pumps))
		if r.At.Before(l.First) {
			l.First = r.At
		}
		if r.At.After(l.Last) {
			l.Last = r.At
		}
		middle += r.At.Sub(l.Plan.At).Seconds() / float64(l.Readings)
		var row []float64
		for j := range readings {
			row = append(row, shared(r.Pumps, readings[j].Pumps))
		}
		l.shared = append(l.shared, row)
	}
	l.middle = l.Plan.At.Add(time.Duration(middle * float64(time.Second)))
}

// learn sets the line and what it may be wrong by.
func (l *Line) learn() error {
	pts := l.points()
	before := l.widened()
	var found lsq.Line
	var err error
	if slices.Max(pts.X) >= FreeLossAt*slices.Min(pts.X) {
		found, err = pts.FitBoth(before)
		l.LossFreed = err == nil && found.B > 0
	}
	if !l.LossFreed {
		if found, err = pts.FitA(before); err != nil {
			return err
		}
	}
	l.Static, l.Loss, l.gain, l.Misfit = found.A, found.B, found.Gain, found.Misfit
	l.Residuals = pts.Residuals(l.Static, l.Loss)
	for i, r := range l.Residuals {
		if l.Largest < 0 || math.Abs(r) > math.Abs(l.Residuals[l.Largest]) {
			l.Largest = i
		}
	}
	static, loss := figure{gain: l.gain[0], static: 1}, figure{gain: l.gain[1], loss: 1}
	l.StaticU = math.Sqrt(l.covariance(static, static))
	l.LossU = math.Sqrt(l.covariance(loss, loss))
	l.Correlation = l.covariance(static, loss) / (l.StaticU * l.LossU)
	return nil
}

// points returns the readings in Q² and head as at Plan.At.
func (l *Line) points() lsq.Points {
	var p lsq.Points
	n := float64(l.Readings)
	mean, withMean := 0.0, make([]float64, l.Readings)
	for i := range l.readings {
		for j := range l.readings {
			withMean[i] += l.lasting(i, j) / n
		}
		mean += withMean[i] / n
	}
	for i := range l.readings {
		r := &l.readings[i]
		p.X = append(p.X, l.flow[i]*l.flow[i])
		p.UX = append(p.UX, 2*l.flow[i]*noiseOf(r.Pumps))
		p.Y = append(p.Y, r.Head-l.rise(r.At, r.Lift))
		apart := l.lasting(i, i) - 2*withMean[i] + mean // Var(error − mean of all errors)
		p.UY = append(p.UY, math.Hypot(r.HeadU, math.Sqrt(max(0, apart))))
	}
	return p
}

// rise returns by how much static stands over that at Plan.At, m.
func (l *Line) rise(at time.Time, lift float64) float64 {
	return l.Plan.LevelRise*at.Sub(l.Plan.At).Seconds() - lift
}

// widened returns the plan's line as a prior on the ship's scales.
func (l *Line) widened() lsq.LinePrior {
	onStatic, onLoss := 0.0, 0.0
	for i, q := range l.flow {
		u := math.Sqrt(l.lasting(i, i)) / float64(l.Readings)
		onStatic += u
		onLoss += u / (q * q)
	}
	return lsq.LinePrior{
		A: l.Plan.Static, AU: math.Hypot(l.Plan.StaticU, onStatic),
		B: l.Plan.Loss, BU: math.Hypot(l.Plan.LossU, onLoss),
	}
}

// lasting returns the covariance of what lasting errors do to the heads of two
// readings, m²: 2 K Q δQ for an error δQ of the flow, and the gauge's own.
func (l *Line) lasting(i, j int) float64 {
	return l.onHead(l.flow[i], l.flow[j], l.shared[i][j]) + l.readings[i].HeadLastingU*l.readings[j].HeadLastingU
}

// noise returns the standard uncertainty that is a reading's own, widened, m.
func (l *Line) noise(i int) float64 {
	return l.Misfit * math.Hypot(l.readings[i].HeadU, 2*l.Loss*l.flow[i]*noiseOf(l.readings[i].Pumps))
}

func (l *Line) onHead(qa, qb, shared float64) float64 { return 4 * l.Loss * l.Loss * qa * qb * shared }

// figure is a sum over the readings' heads that stands for a sum of the true
// static and loss.
type figure struct {
	gain         []float64 // of each reading's head
	static, loss float64   // what it stands for
}

// covariance returns that of the errors of two figures. An error is what the
// readings' errors bring in, and what of the plan's error the readings leave.
func (l *Line) covariance(a, b figure) (sum float64) {
	aAlike, bAlike := 0.0, 0.0
	for i := range l.readings {
		x := l.flow[i] * l.flow[i]
		a.static -= a.gain[i]
		a.loss -= a.gain[i] * x
		b.static -= b.gain[i]
		b.loss -= b.gain[i] * x
		noise := l.noise(i)
		sum += a.gain[i] * b.gain[i] * noise * noise
		aAlike += a.gain[i] * noise
		bAlike += b.gain[i] * noise
		for j := range l.readings {
			sum += a.gain[i] * b.gain[j] * l.lasting(i, j)
		}
	}
	return sum + alike*aAlike*bAlike + a.static*b.static*l.Plan.StaticU*l.Plan.StaticU + a.loss*b.loss*l.Plan.LossU*l.Plan.LossU
}

// StaticAt returns the static at a moment, m, when tide and draught had lifted
// the manifold by lift m since Plan.At.
func (l *Line) StaticAt(at time.Time, lift float64) float64 { return l.Static + l.rise(at, lift) }

// Head returns the total head over the manifold gauge, m, that will be read
// when the pumps of next give their flows, and its standard uncertainty, noise
// of that reading left out:
//
//	h = static(t) + K Q²,   u² = Var(Σ g_i e_i − e) + (u_rise (t − middle))²
//
// e are errors of head, g_i the weight of reading i in h. Lasting errors cancel
// as far as next has them in common with the readings; they come back with
// other pumps and other flows. next.Head and its noise are not looked at.
//
// Source: JCGM 100:2008 (GUM), 5.2.2.
func (l *Line) Head(next LineReading) (head, u float64) {
	q := flowOf(next.Pumps)
	x := q * q
	f := figure{static: 1, loss: x}
	rising := l.Plan.LevelRiseU * next.At.Sub(l.middle).Seconds()
	variance := rising*rising + l.onHead(q, q, shared(next.Pumps, next.Pumps)) + next.HeadLastingU*next.HeadLastingU
	for i := range l.readings {
		g := l.gain[0][i] + x*l.gain[1][i]
		f.gain = append(f.gain, g)
		variance -= 2 * g * (l.onHead(q, l.flow[i], shared(next.Pumps, l.readings[i].Pumps)) + next.HeadLastingU*l.readings[i].HeadLastingU)
	}
	return l.StaticAt(next.At, next.Lift) + l.Loss*x, math.Sqrt(max(0, variance+l.covariance(f, f)))
}

func finite(v float64) bool { return math.Abs(v) <= math.MaxFloat64 }
