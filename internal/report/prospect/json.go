package prospect

import (
	"example.org/headwatch/internal/outlook"
	"example.org/headwatch/internal/report/encode"
)

// The units of the data formats, as their keys name them.
const (
	bar  = 1e5
	m3h  = 1.0 / 3600
	kilo = 1e3
)

// AppendForecast appends a forecast as a JSON object: full precision, the unit
// in the key, null for what is not known.
func AppendForecast(dst []byte, p *outlook.Plant, f *outlook.Forecast) []byte {
	j := encode.JSON{Buf: dst}
	forecast(&j, p, f)
	return j.Buf
}

func forecast(j *encode.JSON, p *outlook.Plant, f *outlook.Forecast) {
	j.Open('{')
	j.Number("density_kgm3", p.Liquid.Density)
	j.Number("manifold_bar", f.ManifoldPressure/bar)
	j.Number("manifold_head_m", f.ManifoldHead)
	j.Number("rate_m3h", f.Rate/m3h)
	j.Bool("lower_bound", f.LowerBound)
	j.Key("pumps")
	j.Open('[')
	for i := range f.Pumps {
		pump(j, p.Pumps[i].Name, &f.Pumps[i])
	}
	j.Close(']')
	limits(j, "limits", f.Limits)
	if s, known := p.Surge(f); known {
		j.Key("surge")
		j.Open('{')
		j.Number("rise_bar", s.Rise/bar)
		j.Number("sudden_rise_bar", s.Whole/bar)
		j.Number("line_period_s", s.Period)
		j.Close('}')
	}
	j.Close('}')
}

func pump(j *encode.JSON, name string, f *outlook.PumpForecast) {
	j.Open('{')
	j.Text("pump", name)
	j.Number("speed_rpm", f.Speed)
	j.Number("flow_m3h", f.Flow/m3h)
	j.Number("head_m", f.Head)
	j.Number("suction_bar", f.Suction/bar)
	j.Number("discharge_bar", f.Discharge/bar)
	j.Number("npsh_margin_m", f.NPSHMargin)
	j.Number("power_kw", f.Power/kilo)
	j.Text("state", f.Standing.String())
	j.Bool("would_not_rejoin", f.WouldNotRejoin)
	j.Close('}')
}

func limits(j *encode.JSON, key string, all []outlook.Limit) {
	j.Key(key)
	j.Open('[')
	for i := range all {
		limit(j, &all[i])
	}
	j.Close(']')
}

func limit(j *encode.JSON, l *outlook.Limit) {
	unit, scale := unitOf(l.Name)
	j.Open('{')
	j.Text("limit", l.Name.String())
	j.Text("unit", unit)
	j.Number("value", l.Value/scale)
	j.Number("figure", l.Figure/scale)
	j.Text("at", l.At)
	j.Number("margin", l.Margin/scale)
	j.Bool("binding", l.Binding)
	j.Close('}')
}

// unitOf returns the unit a limit is told in and how much of SI one of it is.
func unitOf(n outlook.LimitName) (unit string, scale float64) {
	switch n {
	case outlook.ManifoldPressure:
		return "bar", bar
	case outlook.SuctionMargin:
		return "m", 1
	case outlook.DrivePower:
		return "kW", kilo
	case outlook.MaximumSpeed, outlook.MinimumSpeed:
		return "rpm", 1
	}
	return "m3/h", m3h
}

// AppendAdvice appends an advice as a JSON object.
func AppendAdvice(dst []byte, p *outlook.Plant, a *outlook.Advice) []byte {
	j := encode.JSON{Buf: dst}
	j.Open('{')
	j.Number("wanted_m3h", a.Wanted/m3h)
	choice(&j, "now", p, a.Now, a.Now)
	if a.Highest == nil {
		j.Null("highest")
	} else {
		choice(&j, "highest", p, &a.Highest.Choice, a.Now)
		limits(&j, "binding", a.Highest.Binding)
	}
	choice(&j, "least_fuel", p, a.Cheapest, a.Now)
	alike(&j, a.Alike)
	j.Key("steps")
	j.Open('[')
	for i := range a.Steps {
		step(&j, &a.Steps[i])
	}
	j.Close(']')
	j.Key("words")
	j.Open('[')
	for _, w := range a.Words {
		j.Item(w)
	}
	j.Close(']')
	j.Close('}')
	return j.Buf
}

func choice(j *encode.JSON, key string, p *outlook.Plant, c, now *outlook.Choice) {
	if c == nil {
		j.Null(key)
		return
	}
	j.Key(key)
	j.Open('{')
	j.Key("running")
	j.Open('[')
	for i, runs := range c.Running {
		if runs {
			j.Item(p.Pumps[i].Name)
		}
	}
	j.Close(']')
	j.Number("speed_rpm", c.Common())
	j.Number("fuel_full_loads", c.Fuel)
	j.Bool("stop_pumps_first", c.StopFirst)
	if now != nil {
		j.Number("fuel_per_m3_of_now", c.FuelPerVolume()/now.FuelPerVolume())
	}
	j.Key("forecast")
	forecast(j, p, &c.Forecast)
	j.Close('}')
}

func alike(j *encode.JSON, a *outlook.Alike) {
	if a == nil {
		j.Null("alike")
		return
	}
	j.Key("alike")
	j.Open('{')
	j.Text("least", a.Least)
	j.Text("most", a.Most)
	j.Number("difference_m3h", a.Difference/m3h)
	j.Number("difference_u95_m3h", a.U95/m3h)
	j.Bool("certain", a.Certain)
	j.Number("trim_rpm", a.Trim)
	j.Close('}')
}

func step(j *encode.JSON, s *outlook.Step) {
	f := &s.Choice.Forecast
	j.Open('{')
	j.Number("by_rpm", s.By)
	j.Number("rate_m3h", f.Rate/m3h)
	j.Number("manifold_bar", f.ManifoldPressure/bar)
	j.Number("power_kw", s.Choice.Power()/kilo)
	j.Number("fuel_full_loads", s.Choice.Fuel)
	j.Bool("lower_bound", f.LowerBound)
	limits(j, "limits", f.Limits)
	j.Close('}')
}
