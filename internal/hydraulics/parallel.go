package hydraulics

import (
	"errors"
	"fmt"
	"math"

	"example.org/headwatch/internal/curves"
)

// Line is what the pumps of one parcel push into, seen from the manifold.
type Line struct {
	Static         float64 // head of the shore over the manifold gauge at no flow, m
	Loss           float64 // K of the shore line, s²/m⁵
	ManifoldHeight float64 // of the manifold gauge above keel, m
	ManifoldBore   float64 // of the pipe there, m; NaN or 0: its velocity head is left out
	Arms           int     // that share the rate; 0 counts as 1
	UllagePressure float64 // of the gas over the cargo, Pa gauge
	Density        float64 // kg/m³
}

// Branch is one pump between its tank and the manifold.
type Branch struct {
	Pump      *Pump
	Speed     float64 // rpm; 0 is stopped
	Surface   float64 // of the liquid in its tank above keel, m
	ValveLoss float64 // K of its discharge valve beyond fully open, s²/m⁵; +Inf is shut
	Offline   bool    // turning, but not on the line yet
}

// Standing says how a pump stands to the line.
type Standing uint8

// The standings of a pump.
const (
	OnLine    Standing = iota // gives flow
	PushedOff                 // turns, but the line's head shuts its non-return valve
	StandsStill
	PastEnd // would run past the end of its curve and is held there
	Shut    // turns against its shut discharge valve
)

// String returns the standing as the command line prints it.
func (s Standing) String() string {
	return [...]string{"on-line", "pushed-off", "stopped", "beyond-end", "shut"}[s]
}

// BranchFlow is what one pump does in a solved line.
type BranchFlow struct {
	Standing       Standing
	Flow           float64 // m³/s; a lower bound when PastEnd
	Head           float64 // of the pump, m; NaN when PastEnd, at no flow when pushed off or shut, 0 when stopped
	Suction        float64 // gauge pressure where its gauge sits, Pa
	Discharge      float64 // likewise
	WouldNotRejoin bool    // on a drooping curve: once off, it would stay off
	point          curves.Point
}

// Solution is a solved line.
type Solution struct {
	Rate       float64 // of all pumps, m³/s
	TotalHead  float64 // at the manifold over its gauge, m
	GaugeHead  float64 // what the manifold gauge shows, m: less by its velocity head
	LowerBound bool    // a pump is held at its curve's end: rate and heads are at least these, the other flows at most theirs
}

// ErrLine says that a line can't be solved.
var ErrLine = errors.New("line can't be solved")

// Solve finds what pumps in parallel do, in total head (Bernoulli):
//
//	supply_i + H_i(Q_i, N_i) − (Ks + Kr + Kv) Q_i² = static + K (Σ Q)²
//	supply_i = z_surface + p_ullage/(ρ g) − z_manifold
//
// It fills flows, which must be as long as branches, and allocates nothing. A
// running pump stays on the branch right of its curve's peak until demand
// exceeds the peak; one that is off joins only when its head at no flow
// exceeds demand. A pump that would run past its curve's end is held there.
//
// The common head is bracketed between the static head and the highest a pump
// can give, so a solution is always found; ErrLine is returned for input that
// is not finite or not physical.
func Solve(line *Line, branches []Branch, flows []BranchFlow) (Solution, error) {
	if err := line.check(branches, flows); err != nil {
		return Solution{}, err
	}
	var nets [maxPumps]curves.Net
	s := solver{line: line, branches: branches, flows: flows, nets: nets[:len(branches)]}
	if len(branches) > maxPumps {
		s.nets = make([]curves.Net, len(branches))
	}
	s.prepare()
	for range 4*len(branches) + 1 {
		s.balance()
		if !s.joins() {
			break
		}
	}
	return s.finish(), nil
}

// maxPumps is how many pumps are solved without allocation.
const maxPumps = 8

func (l *Line) check(branches []Branch, flows []BranchFlow) error {
	if len(flows) != len(branches) {
		return fmt.Errorf("%d results for %d pumps: %w", len(flows), len(branches), ErrLine)
	}
	switch {
	case !(l.Density > 0 && l.Density <= math.MaxFloat64):
		return fmt.Errorf("density %g kg/m3: want more than 0: %w", l.Density, ErrLine)
	case !finite(l.Static), !finite(l.ManifoldHeight), !finite(l.UllagePressure):
		return fmt.Errorf("shore static %g m, manifold %g m, ullage pressure %g Pa: want finite figures: %w", l.Static, l.ManifoldHeight, l.UllagePressure, ErrLine)
	case !finite(l.Loss) || l.Loss < 0:
		return fmt.Errorf("shore loss %g s2/m5: want 0 or more: %w", l.Loss, ErrLine)
	}
	for i := range branches {
		b := &branches[i]
		switch {
		case !finite(b.Speed) || b.Speed < 0:
			return fmt.Errorf("%s: speed %g rpm: want 0 or more: %w", b.Pump.Name, b.Speed, ErrLine)
		case !finite(b.Surface):
			return fmt.Errorf("%s: level %g m: want a finite height: %w", b.Pump.Name, b.Surface, ErrLine)
		case !(b.ValveLoss >= 0):
			return fmt.Errorf("%s: valve loss %g s2/m5: want 0 or more: %w", b.Pump.Name, b.ValveLoss, ErrLine)
		}
	}
	return nil
}

func finite(v float64) bool { return math.Abs(v) <= math.MaxFloat64 }

// solver is one line while it is solved.
type solver struct {
	line     *Line
	branches []Branch
	flows    []BranchFlow
	nets     []curves.Net // head less all losses of the branch
	head     float64      // at the manifold
}

// supply returns the head the tank alone gives at the manifold.
func (s *solver) supply(i int) float64 {
	return s.branches[i].Surface + HeadOfPressure(s.line.UllagePressure, s.line.Density) - s.line.ManifoldHeight
}

func (s *solver) prepare() {
	for i := range s.branches {
		b, f := &s.branches[i], &s.flows[i]
		*f = BranchFlow{}
		switch {
		case b.Speed == 0:
			f.Standing = StandsStill
			continue
		case math.IsInf(b.ValveLoss, 1):
			f.Standing = Shut
		case b.Offline:
			f.Standing = PushedOff
		}
		loss := 0.0
		if f.Standing != Shut {
			loss = lossOf(b.Pump.SuctionLoss) + lossOf(b.Pump.RiserLoss) + b.ValveLoss
		}
		s.nets[i].Set(b.Pump.Curves.At(b.Speed), loss)
	}
}

// lossOf reads a loss that the ship leaves out as none.
func lossOf(k float64) float64 { return orElse(k, 0) }

// balance finds the head at which the pumps on line give what the shore takes
// at that head. A drooping pump that the head would have to pass over its peak
// is pushed off, and the rest balanced again.
func (s *solver) balance() {
	for {
		hi := s.line.Static
		for i := range s.flows {
			if s.onLine(i) {
				_, top := s.nets[i].Peak()
				hi = max(hi, s.supply(i)+top)
			}
		}
		var smooth bool
		if s.head, smooth = s.root(s.line.Static, hi, s.guess(hi)); smooth || !s.pushOffAtPeak() {
			return
		}
	}
}

// guess returns about where the head will be: where one parabola in place of
// all pumps, through the highest head and the ends of their curves, meets the
// shore's.
func (s *solver) guess(top float64) float64 {
	conductance := 0.0
	for i := range s.flows {
		if s.onLine(i) {
			end, q := s.nets[i].End()
			conductance += q / math.Sqrt(max(top-s.supply(i)-end, 1e-9))
		}
	}
	pumps := 1 / (conductance * conductance)
	return (top*s.line.Loss + s.line.Static*pumps) / (s.line.Loss + pumps)
}

func (s *solver) onLine(i int) bool {
	return s.flows[i].Standing == OnLine || s.flows[i].Standing == PastEnd
}

// root returns the head in [lo, hi] where excess is 0, and whether excess is
// continuous there. Newton steps from h are kept inside the shrinking bracket.
func (s *solver) root(lo, hi, h float64) (head float64, smooth bool) {
	const enough, balanced = 1e-9, 1e-8 // m, of a step and of what it starts from: the error left is far smaller
	if hi <= lo {
		return lo, true
	}
	if !(h > lo && h < hi) {
		h = (lo + hi) / 2
	}
	for i := 0; i < 200 && hi-lo > 1e-13; i++ {
		e, slope := s.excess(h)
		step := e / slope
		// Where a pump just hangs on, the slope has no bound and a short step
		// alone says nothing.
		if math.Abs(step) <= enough && math.Abs(e) <= balanced {
			return h - step, true
		}
		if e > 0 {
			hi = h
		} else {
			lo = h
		}
		if h -= step; !(h > lo && h < hi) {
			h = (lo + hi) / 2
		}
	}
	e, _ := s.excess(h)
	return h, math.Abs(e) <= 1e-3
}

// excess returns by how much head h exceeds what the shore asks for at the
// flow the pumps give at h, and its slope over h.
func (s *solver) excess(h float64) (e, slope float64) {
	total, fall := 0.0, 0.0
	for i := range s.flows {
		if !s.onLine(i) {
			continue
		}
		x := s.nets[i].Solve(h - s.supply(i))
		switch x.State {
		case curves.AboveCurve:
			continue
		case curves.BeyondEnd:
			total += x.Flow
			continue
		}
		total += x.Flow
		fall += 1 / s.nets[i].Slope(x)
	}
	return h - s.line.Static - s.line.Loss*total*total, 1 - 2*s.line.Loss*total*fall
}

// pushOffAtPeak takes off the line the drooping pump whose peak is nearest the
// head, if there is one.
func (s *solver) pushOffAtPeak() bool {
	nearest, off := math.Inf(1), -1
	for i := range s.flows {
		if q, top := s.nets[i].Peak(); s.onLine(i) && q > 0 {
			if d := math.Abs(s.supply(i) + top - s.head); d < nearest {
				nearest, off = d, i
			}
		}
	}
	if off >= 0 {
		s.flows[off].Standing = PushedOff
	}
	return off >= 0
}

// joins puts on line the pump that waits with the highest head over demand at
// no flow, if there is one.
func (s *solver) joins() bool {
	most, join := 0.0, -1
	for i := range s.flows {
		if s.flows[i].Standing == PushedOff && s.branches[i].Offline {
			if over := s.supply(i) + s.nets[i].ShutOff() - s.head; over > most {
				most, join = over, i
			}
		}
	}
	if join >= 0 {
		s.flows[join].Standing = OnLine
	}
	return join >= 0
}

// finish sets the flows and gauges at the head found.
func (s *solver) finish() Solution {
	out := Solution{TotalHead: s.head}
	for i := range s.flows {
		s.settle(i)
		out.Rate += s.flows[i].Flow
		out.LowerBound = out.LowerBound || s.flows[i].Standing == PastEnd
	}
	// The head belongs to the rate: written again from it, both agree to the last digit.
	out.TotalHead = s.line.Static + s.line.Loss*out.Rate*out.Rate
	out.GaugeHead = out.TotalHead - s.line.manifoldVelocity()*out.Rate*out.Rate
	for i := range s.flows {
		s.gauges(i, out.TotalHead)
	}
	return out
}

// manifoldVelocity returns v²/(2 g Q²) at the manifold gauge, s²/m⁵.
func (l *Line) manifoldVelocity() float64 {
	if !(l.ManifoldBore > 0) {
		return 0
	}
	arms := float64(max(l.Arms, 1))
	return velocity(l.ManifoldBore) / (arms * arms)
}

// settle sets the flow of pump i at the head found.
func (s *solver) settle(i int) {
	f := &s.flows[i]
	if f.Standing == StandsStill {
		return
	}
	base := s.head - s.supply(i)
	if s.onLine(i) {
		x := s.nets[i].Solve(base)
		f.point = s.nets[i].Point(x)
		switch x.State {
		case curves.AboveCurve:
			f.Standing = PushedOff
		case curves.BeyondEnd:
			f.Standing, f.Flow, f.Head = PastEnd, x.Flow, math.NaN()
			return
		default:
			f.Standing, f.Flow, f.Head = OnLine, x.Flow, f.point.Head
			f.WouldNotRejoin = s.nets[i].ShutOff() < base
			return
		}
	}
	f.Flow, f.Head = 0, s.nets[i].ShutOff()
	f.point, _ = s.branches[i].Pump.Curves.At(s.branches[i].Speed).At(0)
}

// gauges sets what the gauges of pump i show. Past the curve's end the head is
// not known and the discharge gauge is taken from the manifold side.
func (s *solver) gauges(i int, manifold float64) {
	b, f := &s.branches[i], &s.flows[i]
	p, q2 := b.Pump, f.Flow*f.Flow
	weight := s.line.Density * Gravity
	atSuction := b.Surface + s.line.UllagePressure/weight - lossOf(p.SuctionLoss)*q2
	atDischarge := atSuction + f.Head
	if f.Standing == PastEnd {
		atDischarge = manifold + s.line.ManifoldHeight + (lossOf(p.RiserLoss)+b.ValveLoss)*q2
	}
	f.Suction = weight * (atSuction - p.Suction.Height - velocity(p.Suction.Bore)*q2)
	f.Discharge = weight * (atDischarge - p.Discharge.Height - velocity(p.Discharge.Bore)*q2)
}

// Taken where a ship says nothing of its valve (common practice for butterfly
// valves, no source): loss coefficient fully open over the bore of the discharge
// pipe, and rangeability.
const (
	usualZeta         = 0.4
	usualRangeability = 50.0
)

// ThrottleLoss returns the K in s²/m⁵ that the discharge valve adds at an
// opening between 0 (shut: +Inf) and 1 (fully open: 0), for an equal-percentage
// valve,
//
//	K = K_open (R^(2 (1 − opening)) − 1)
//
// with the flow coefficient falling by R over the whole travel.
//
// Source: definition of the equal-percentage characteristic, IEC 60534-2-4 (from
// memory).
func (p *Pump) ThrottleLoss(opening float64) float64 {
	switch {
	case opening <= 0:
		return math.Inf(1)
	case opening >= 1:
		return 0
	}
	open, r := p.Valve.Loss, p.Valve.Rangeability
	if !(open > 0) {
		open = usualZeta * velocity(p.Discharge.Bore)
	}
	if !(r > 0) {
		r = usualRangeability
	}
	return open * (math.Pow(r, 2*(1-opening)) - 1)
}
