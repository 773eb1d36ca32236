package watch

import (
	"math"
	"slices"
	"time"

	"example.org/headwatch/internal/cargo"
	"example.org/headwatch/internal/curves"
	"example.org/headwatch/internal/hydraulics"
	"example.org/headwatch/internal/ship"
)

// Assess returns the picture of a state at a moment. It never walks the log.
func Assess(s State, now time.Time) Picture {
	s = Advance(s, now)
	b := s.basis
	p := Picture{
		At: now, Training: s.training, Seq: s.seq,
		Ship: b.ship.Name, Fictional: b.ship.Fictional || b.plan.Fictional,
		Voyage: b.plan.Voyage, Port: b.plan.Port, Berth: b.plan.Berth,
		FirstRead: s.first, LastRead: s.last,
		Missing: slices.Concat(b.ship.Missing, b.plan.Missing, b.words),
	}
	for i := range b.plan.Parcels {
		p.Parcels = append(p.Parcels, s.parcel(&b.plan.Parcels[i]))
	}
	p.Oldest = oldest(p.Parcels)
	if !p.Oldest.IsZero() {
		p.NextRound = p.Oldest.Add(b.plan.ReadingsEvery)
	}
	p.Notices = notices(s, &p)
	return p
}

func (s State) parcel(from *ship.Parcel) Parcel {
	out := Parcel{Name: from.Name, Grade: from.Grade, Density: from.Liquid.Density, Observed: from.ObservedDensity}
	sum := rateSum{Rate: Rate{Limit: from.Limits.Rate}}
	for i := range s.pumps {
		if slices.Contains(from.Pumps, s.basis.ship.Pumps[i].Name) {
			out.Pumps = append(out.Pumps, s.pump(i, from.Liquid))
			sum.add(&out.Pumps[len(out.Pumps)-1], s.basis.meters[i].Pump().Curves)
		}
	}
	out.Rate = sum.rate()
	out.ByUllage = s.byUllage(from)
	for i := range s.manifolds {
		if m := &s.basis.ship.Manifolds[i]; slices.Contains(from.Manifolds, m.Name) {
			out.Manifolds = append(out.Manifolds, manifold(m, s.manifolds[i], from.Limits.Manifold))
		}
	}
	for i := range s.tanks {
		if t := &s.basis.ship.Tanks[i]; slices.Contains(from.Tanks, t.Name) {
			out.Tanks = append(out.Tanks, s.tanks[i].view(t))
			out.Volume += out.Tanks[len(out.Tanks)-1].Volume
			out.TanksRead = earlier(out.TanksRead, s.tanks[i].ullage.At)
		}
	}
	if math.IsNaN(out.Volume) || len(out.Tanks) == 0 {
		out.Volume, out.TanksRead = math.NaN(), time.Time{}
	}
	out.Remaining = max(out.Volume-from.StrippingRemainder, 0)
	return out
}

// pump returns pump i of the ship as its newest figures show it.
func (s State) pump(i int, l hydraulics.Liquid) Pump {
	from, f := &s.basis.ship.Pumps[i], s.pumps[i]
	p := Pump{
		Name: from.Name, Speed: f.speed, Suction: f.suction, Discharge: f.discharge,
		ToNominal: math.NaN(), ToMinimum: math.NaN(),
		Nominal: from.NominalFlow, MaxSpeed: from.MaxSpeed,
		SuctionUnit: from.SuctionUnit, DischargeUnit: from.DischargeUnit,
	}
	switch {
	case !f.speed.Known():
		return p
	case f.speed.Value == 0:
		p.Run, p.Oldest = Stopped, f.speed.At
		return p
	case !f.suction.Known() || !f.discharge.Known():
		return p
	}
	e, err := s.basis.meters[i].Estimate(hydraulics.Reading{
		Speed: f.speed.Value, SpeedHalf: f.speed.Half,
		Suction: f.suction.Value, SuctionHalf: f.suction.Half,
		Discharge: f.discharge.Value, DischargeHalf: f.discharge.Half,
	}, l)
	if err != nil {
		return p // no figure passes take that Estimate refuses; unread is the safe word
	}
	p.Run, p.Estimate = Running, e
	p.Oldest = slices.MinFunc([]time.Time{f.speed.At, f.suction.At, f.discharge.At}, time.Time.Compare)
	p.ToNominal = from.NominalFlow - e.Flow
	p.ToMinimum = e.Flow - from.MinFlow*f.speed.Value/from.Rated.Speed
	return p
}

func manifold(from *ship.Manifold, f Figure, limit float64) Manifold {
	f.Value = from.Gauge.Pressure(f.Value) // the limit is of the pressure, not of what a gauge with a known error shows
	gauge := hydraulics.Standard(hydraulics.GaugeLimit(from.Gauge))
	return Manifold{Name: from.Name, Pressure: f, Unit: from.Unit,
		U95: 2 * math.Hypot(gauge, hydraulics.Standard(f.Half)), Limit: limit, Margin: limit - f.Value}
}

// rateSum adds the flows of the pumps that can be read.
type rateSum struct {
	Rate
	shares []hydraulics.Share
}

func (r *rateSum) add(p *Pump, family *curves.Family) {
	switch {
	case p.Run == Stopped:
	case p.Run == Unknown || math.IsNaN(p.Estimate.Flow):
		r.Unread = append(r.Unread, p.Name)
	default:
		r.shares = append(r.shares, hydraulics.Share{Flow: p.Estimate.Flow, Effects: p.Estimate.FlowEffects, Curves: family})
		r.LowerBound = r.LowerBound || p.Estimate.State == curves.BeyondEnd
		r.Oldest = earlier(r.Oldest, p.Oldest)
	}
}

// rate returns the sum; it is not known when pumps run and none can be read.
func (r *rateSum) rate() Rate {
	flow, u := hydraulics.TotalFlow(r.shares)
	if len(r.shares) == 0 && len(r.Unread) > 0 {
		flow, u = math.NaN(), math.NaN()
	}
	r.Flow, r.U95 = flow, 2*u
	return r.Rate
}

// oldest returns the time of the oldest figure of a pump that runs or of a
// manifold; zero when none was read.
func oldest(parcels []Parcel) time.Time {
	var t time.Time
	for i := range parcels {
		for k := range parcels[i].Pumps {
			if p := &parcels[i].Pumps[k]; p.Run == Running {
				t = earlier(t, p.Oldest)
			}
		}
		for k := range parcels[i].Manifolds {
			if m := &parcels[i].Manifolds[k]; m.Pressure.Known() {
				t = earlier(t, m.Pressure.At)
			}
		}
	}
	return t
}

// earlier returns the earlier of two times, of which a zero one does not count.
func earlier(a, b time.Time) time.Time {
	if a.IsZero() || !b.IsZero() && b.Before(a) {
		return b
	}
	return a
}

// timeHalf is how far off the time of an ullage may be, s: it is logged when
// keyed (own judgement).
const timeHalf = 30

// ullageHalf is how far off an ullage may be beyond its last digit, m: swell and
// the table's own steps (own judgement).
const ullageHalf = 0.02

// byUllage returns the rate of a parcel by its tanks; not known while one of
// them was read less than twice or has no table.
func (s State) byUllage(from *ship.Parcel) ByUllage {
	unknown := ByUllage{Flow: math.NaN(), U95: math.NaN()}
	var spans []cargo.Span
	for i := range s.tanks {
		tank, t := &s.basis.ship.Tanks[i], s.tanks[i]
		if !slices.Contains(from.Tanks, tank.Name) {
			continue
		}
		if tank.Volumes == nil || !t.previous.Known() {
			return unknown
		}
		spans = append(spans, cargo.Span{Tank: tank.Name, Table: tank.Volumes,
			First: ullage(t.previous), Second: ullage(t.ullage)})
	}
	r, err := cargo.TotalRate(spans, timeHalf)
	if err != nil {
		return unknown
	}
	return ByUllage{Flow: r.Flow, U95: 2 * r.U, From: r.From, To: r.To}
}

func ullage(f Figure) cargo.Ullage {
	return cargo.Ullage{At: f.At, Value: f.Value, Half: f.Half + ullageHalf}
}

// view returns the tank with what its last two ullages say. Volumes are for an
// even keel.
func (t tankState) view(from *ship.Tank) Tank {
	out := Tank{Name: from.Name, Ullage: t.ullage, Previous: t.previous,
		Volume: volume(from, t.ullage), Gone: math.NaN(), Rate: math.NaN()}
	out.Gone = volume(from, t.previous) - out.Volume
	if span := t.ullage.At.Sub(t.previous.At).Seconds(); t.previous.Known() && span > 0 {
		out.Rate = out.Gone / span
	}
	return out
}

// volume returns the volume in m³ at an ullage, NaN where the table gives none.
func volume(from *ship.Tank, ullage Figure) float64 {
	if from.Volumes == nil || !ullage.Known() {
		return math.NaN()
	}
	v, err := from.Volumes.Volume(ullage.Value, 0)
	if err != nil {
		return math.NaN()
	}
	return v
}
