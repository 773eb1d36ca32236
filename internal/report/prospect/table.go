package prospect

import (
	"fmt"
	"math"
	"strings"

	"example.org/headwatch/internal/outlook"
	"example.org/headwatch/internal/units"
)

// ForecastTable returns a forecast as a table for people.
func ForecastTable(p *outlook.Plant, f *outlook.Forecast) string {
	var b strings.Builder
	atLeast := ""
	if f.LowerBound {
		atLeast = "at least "
	}
	fmt.Fprintf(&b, "manifold %s  %s%s bar  (%s m of %s kg/m3)\n", p.Manifold(), atLeast, number(f.ManifoldPressure/bar, 2),
		number(f.ManifoldHead, 1), number(p.Liquid.Density, 1))
	fmt.Fprintf(&b, "rate         %s%s m3/h\n\n", atLeast, number(f.Rate/m3h, 0))
	fmt.Fprintf(&b, "%-12s%8s%10s%9s%9s%11s%10s%8s  %s\n", "pump", "rpm", "m3/h", "head m", "suct bar", "disch bar", "NPSH m", "kW", "state")
	for i := range f.Pumps {
		u := &f.Pumps[i]
		fmt.Fprintf(&b, "%-12s%8s%10s%9s%9s%11s%10s%8s  %s\n", p.Pumps[i].Name, number(u.Speed, 0), number(u.Flow/m3h, 0), number(u.Head, 1),
			number(u.Suction/bar, 2), number(u.Discharge/bar, 2), number(u.NPSHMargin, 1), number(u.Power/kilo, 0), u.Standing)
	}
	b.WriteString("\n")
	limitTable(&b, f.Limits)
	if s, known := p.Surge(f); known {
		fmt.Fprintf(&b, "\nif the shore shuts: +%s bar at the manifold, +%s bar when at once (within %s s)\n",
			number(s.Rise/bar, 1), number(s.Whole/bar, 1), number(s.Period, 1))
	}
	if f.LowerBound {
		b.WriteString("\nA pump would run past the end of its curve: rate and manifold are lower bounds,\nthe other pumps' flows upper bounds, and no limit is judged safe by them.\n")
	}
	return b.String()
}

func limitTable(b *strings.Builder, all []outlook.Limit) {
	fmt.Fprintf(b, "%-20s%10s%10s%10s  %-6s%s\n", "limit", "now", "limit", "left", "unit", "of")
	for i := range all {
		l := &all[i]
		unit, scale := unitOf(l.Name)
		decimals := 0
		if unit == "bar" || unit == "m" {
			decimals = 2
		}
		word := ""
		switch {
		case l.Broken():
			word = "  OVER"
			if !l.Name.Upper() || l.Name == outlook.SuctionMargin {
				word = "  UNDER"
			}
		case l.Binding:
			word = "  nearest"
		}
		fmt.Fprintf(b, "%-20s%10s%10s%10s  %-6s%s%s\n", l.Name, number(l.Figure/scale, decimals), number(l.Value/scale, decimals),
			number(l.Margin/scale, decimals), unit, l.At, word)
	}
}

// number prints a figure, or the sign of an absent one.
func number(v float64, decimals int) string {
	if math.IsNaN(v) {
		return units.Absent
	}
	if s := fmt.Sprintf("%.*f", decimals, v); strings.Trim(s, "-0.") != "" {
		return s
	}
	return fmt.Sprintf("%.*f", decimals, 0.0) // no minus before a zero
}

// AdviceTable returns an advice for people.
func AdviceTable(p *outlook.Plant, a *outlook.Advice) string {
	var b strings.Builder
	if a.Now != nil {
		fmt.Fprintf(&b, "now          %s\n", line(p, a.Now, nil))
	}
	if h := a.Highest; h != nil {
		fmt.Fprintf(&b, "highest      %s\n             %s\n", line(p, &h.Choice, a.Now), binding(h))
	}
	if a.Cheapest != nil {
		title := "least fuel "
		if math.IsNaN(a.Cheapest.Fuel) {
			title = "slowest    "
		}
		fmt.Fprintf(&b, "%s  %s\n             for the %s m3/h wanted\n", title, line(p, a.Cheapest, a.Now), number(a.Wanted/m3h, 0))
		if order := orderOf(p, a.Cheapest, a.Now); order != "" {
			fmt.Fprintf(&b, "             %s\n", order)
		}
		if math.IsNaN(a.Cheapest.Fuel) {
			b.WriteString("             fuel is not known: the ship file lacks efficiency, drive or its rating\n")
		}
	}
	for i := range a.Steps {
		s := &a.Steps[i]
		fmt.Fprintf(&b, "%+5.0f rpm    %s\n", s.By, line(p, s.Choice, a.Now))
	}
	if a.Alike != nil {
		fmt.Fprintf(&b, "pumps        %s\n", unlike(a.Alike))
	}
	for _, w := range a.Words {
		fmt.Fprintf(&b, "%s\n", sentence(w))
	}
	b.WriteString("\nAdvice only. The terminal, the ship's safety management system, the makers and\nthe licensed officer decide.\n")
	return b.String()
}

// orderOf tells in which order to go from now to a choice with fewer pumps.
func orderOf(p *outlook.Plant, c, now *outlook.Choice) string {
	if now == nil {
		return ""
	}
	var off []string
	for i := range c.Running {
		if now.Running[i] && !c.Running[i] {
			off = append(off, p.Pumps[i].Name)
		}
	}
	switch {
	case len(off) == 0:
		return ""
	case c.StopFirst:
		return "first stop " + strings.Join(off, ", ") + ", then change the speed"
	}
	return "first change the speed of all, then stop " + strings.Join(off, ", ")
}

func sentence(s string) string {
	return strings.ToUpper(s[:1]) + s[1:] + "."
}

// line tells a choice in one line.
func line(p *outlook.Plant, c, now *outlook.Choice) string {
	var names []string
	for i, runs := range c.Running {
		if runs {
			names = append(names, p.Pumps[i].Name)
		}
	}
	f := &c.Forecast
	out := fmt.Sprintf("%s at %s rpm: %s m3/h, manifold %s bar", strings.Join(names, ", "), number(c.Common(), 0), number(f.Rate/m3h, 0), number(f.ManifoldPressure/bar, 2))
	if power := c.Power(); !math.IsNaN(power) {
		out += fmt.Sprintf(", %s kW", number(power/kilo, 0))
	}
	if f.LowerBound {
		return out + " (lower bounds: a pump is past its curve's end)"
	}
	if now != nil && now != c && !now.Forecast.LowerBound {
		if ratio := c.FuelPerVolume() / now.FuelPerVolume(); !math.IsNaN(ratio) {
			out += fmt.Sprintf(", %+.0f %% fuel a m3", 100*(ratio-1))
		}
	}
	for i := range f.Limits {
		if l := &f.Limits[i]; l.Broken() {
			out += fmt.Sprintf("; BEYOND %s of %s", l.Name, l.At)
		}
	}
	return out
}

// unlike tells how alike the pumps are, and a trim only beyond the uncertainty.
func unlike(a *outlook.Alike) string {
	between := fmt.Sprintf("%s gives %s m3/h less than %s (±%s)", a.Least, number(a.Difference/m3h, 0), a.Most, number(a.U95/m3h, 0))
	switch {
	case !a.Certain:
		return between + ": alike as far as the gauges can tell"
	case a.Trim > 0:
		return fmt.Sprintf("%s: unlike; %+.0f rpm on %s for what is beyond doubt", between, a.Trim, a.Least)
	}
	return between + ": unlike"
}

// binding tells what stops a higher speed.
func binding(h *outlook.Highest) string {
	if len(h.Binding) == 0 {
		return "the pumps' own maximum speed binds"
	}
	l := h.Binding[0]
	unit, scale := unitOf(l.Name)
	decimals := 0
	if unit == "bar" || unit == "m" {
		decimals = 2
	}
	out := fmt.Sprintf("%s binds: %+.0f rpm more would give %s of %s %s (%s)", l.Name, 1.0, number(l.Figure/scale, decimals), number(l.Value/scale, decimals), unit, l.At)
	if l.Name == outlook.NominalFlow {
		out += "; slower is enough: more speed is not needed at this back pressure"
	}
	return out
}
