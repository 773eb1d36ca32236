package watch

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"time"

	"example.org/headwatch/internal/curves"
	"example.org/headwatch/internal/hydraulics"
	"example.org/headwatch/internal/units"
)

// Shares of a limit at which a notice is given (common practice, no source).
const (
	nearLimit     = 0.95 // of the agreed manifold pressure
	rateAlarm     = 1.05 // of the agreed rate
	overdueAfter  = 10 * time.Minute
	overdueFactor = 2 // intervals until an overdue round is a warning
)

// notices returns what stands out at the last readings, highest priority
// first. It says nothing of the time between them.
func notices(s State, p *Picture) []Notice {
	var all []Notice
	for i := range p.Parcels {
		parcel := &p.Parcels[i]
		for k := range parcel.Manifolds {
			all = append(all, manifoldNotices(&parcel.Manifolds[k])...)
		}
		all = append(all, rateNotices(parcel, s.basis.ship.Units.Flow)...)
		for k := range parcel.Pumps {
			all = append(all, pumpNotices(s, &parcel.Pumps[k])...)
		}
	}
	all = append(all, overdue(p, s.basis.plan.ReadingsEvery)...)
	slices.SortStableFunc(all, func(a, b Notice) int { return int(b.Priority) - int(a.Priority) })
	return all
}

func manifoldNotices(m *Manifold) []Notice {
	if !m.Pressure.Known() {
		return nil
	}
	of := fmt.Sprintf("%s: %s of %s", m.Name, units.Number(units.Pressure, m.Pressure.Value, m.Unit, 2), units.Format(units.Pressure, m.Limit, m.Unit, 2))
	switch {
	case m.Pressure.Value > m.Limit:
		return []Notice{{Alarm, "over agreed manifold pressure", of,
			"Slow all pumps at once; still rising: trip them; call the shore.", m.Pressure.At}}
	case m.Pressure.Value > nearLimit*m.Limit:
		return []Notice{{Warning, "near manifold limit", of, "Do not raise speed; ease.", m.Pressure.At}}
	}
	return nil
}

func rateNotices(p *Parcel, unit string) []Notice {
	r := &p.Rate
	n := Notice{Caution, "rate above agreed", fmt.Sprintf("parcel %s: %s ±%s of %s, %s", p.Name, number(r.Flow, unit), number(r.U95, unit),
		units.Format(units.Flow, r.Limit, unit, 0), grade(r.Flow-r.U95 > r.Limit)), "Slow.", r.Oldest}
	switch low := r.Flow - r.U95; {
	case r.LowerBound && r.Flow > rateAlarm*r.Limit, low > rateAlarm*r.Limit:
		n.Priority = Alarm
	case r.LowerBound && r.Flow > r.Limit, low > r.Limit:
		n.Priority = Warning
	case !(r.Flow > r.Limit):
		return nil
	}
	return []Notice{n}
}

// number prints a flow without unit, to the ten: no curve tells more.
func number(flow float64, unit string) string {
	v, err := strconv.ParseFloat(units.Number(units.Flow, flow, unit, 0), 64)
	if err != nil || v < 100 {
		return units.Number(units.Flow, flow, unit, 0)
	}
	return strconv.FormatFloat(math.Round(v/10)*10, 'f', -1, 64)
}

// rule is one notice that a pump's estimate may give.
type rule struct {
	when     bool
	priority Priority
	name     string
	text     string
	action   string
}

func pumpNotices(s State, p *Pump) []Notice {
	tooFast := Notice{Alarm, "speed above maximum", fmt.Sprintf("%s: %.0f of %.0f rpm", p.Name, p.Speed.Value, p.MaxSpeed), "Reduce speed.", p.Speed.At}
	if p.Run != Running && p.Speed.Value > p.MaxSpeed { // a gauge was never read, but the speed was
		return []Notice{tooFast}
	}
	if p.Run != Running {
		return nil
	}
	e, flow := &p.Estimate, s.basis.ship.Units.Flow
	minimum := e.Flow - p.ToMinimum
	rules := []rule{
		{p.Speed.Value > p.MaxSpeed, Alarm, "speed above maximum",
			fmt.Sprintf("%.0f of %.0f rpm", p.Speed.Value, p.MaxSpeed), "Reduce speed."},
		{e.Flags.Has(hydraulics.NearCurveEnd), Alarm, "near the end of the curve",
			atLeast(e) + number(e.Flow, flow) + " " + flow, "Slow the pump; only when it can't go lower throttle its discharge valve."},
		{e.NPSHMargin < -e.NPSHMarginU95, Alarm, "no NPSH margin", margin(e), "Slow the pump, then throttle its discharge valve; never the suction valve."},
		{e.Flags.Has(hydraulics.LowMargin) && e.NPSHMargin >= -e.NPSHMarginU95, Warning, "NPSH margin low", margin(e),
			"Slow the pump, then throttle its discharge valve; never the suction valve."},
		{e.Flags.Has(hydraulics.BelowMinimumFlow) && e.State != curves.AboveCurve, Warning, "below minimum flow",
			fmt.Sprintf("%s of %s %s, %s", number(e.Flow, flow), number(minimum, flow), flow, grade(e.FlowHigh < minimum)),
			"Raise its flow, or run fewer pumps."},
		{e.State == curves.AboveCurve, Warning, "head above its curve",
			fmt.Sprintf("%.0f m: no flow can be read, at most %s %s", e.Head, number(e.FlowHigh, flow), flow),
			"Read the gauges again; shut valve, pushed off the line or wrong density?"},
		{e.Flags.Has(hydraulics.AboveNominal) && !e.Flags.Has(hydraulics.NearCurveEnd), Caution, "over nominal capacity",
			fmt.Sprintf("%s of %s %s, %s", number(e.Flow, flow), number(p.Nominal, flow), flow, grade(e.FlowLow > p.Nominal)), "Slow the pump."},
		{e.Flags.Has(hydraulics.SuctionAboveDischarge) || e.Flags.Has(hydraulics.OutOfSpan), Caution, "reading implausible",
			fmt.Sprintf("suction %s, discharge %s", p.Suction.Text, p.Discharge.Text), "Read again; compare with a second gauge."},
	}
	var out []Notice
	for _, r := range rules {
		if r.when {
			out = append(out, Notice{r.priority, r.name, p.Name + ": " + r.text, r.action, p.Oldest})
		}
	}
	return out
}

// atLeast begins a flow that is only a lower bound.
func atLeast(e *hydraulics.Estimate) string {
	if e.State == curves.BeyondEnd {
		return "at least "
	}
	return ""
}

func margin(e *hydraulics.Estimate) string {
	return fmt.Sprintf("%.1f ±%.1f m left", e.NPSHMargin, e.NPSHMarginU95)
}

// grade says whether a limit is passed for certain, its interval beyond it, or
// only likely.
func grade(certain bool) string {
	if certain {
		return "certain"
	}
	return "likely"
}

func overdue(p *Picture, every time.Duration) []Notice {
	if p.NextRound.IsZero() || p.At.Before(p.NextRound.Add(overdueAfter)) {
		return nil
	}
	age := p.At.Sub(p.Oldest).Truncate(time.Minute)
	n := Notice{Caution, "readings overdue", fmt.Sprintf("some last read %s, %d min ago", p.Oldest.Format("15:04"), int(age.Minutes())),
		"Read the gauges and key them.", p.Oldest}
	if age > overdueFactor*every {
		n.Priority = Warning
	}
	return []Notice{n}
}
