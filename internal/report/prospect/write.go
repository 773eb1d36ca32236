package prospect

import (
	"bytes"
	"fmt"
	"io"
	"math"

	"example.org/headwatch/internal/outlook"
	"example.org/headwatch/internal/report/batch"
	"example.org/headwatch/internal/report/encode"
	"example.org/headwatch/internal/report/stream"
)

// Forecast returns a forecast in a format. CSV has a row for each pump, with
// what is common to all repeated.
func Forecast(p *outlook.Plant, f *outlook.Forecast, format batch.Format) []byte {
	switch format {
	case batch.Table:
		return []byte(ForecastTable(p, f))
	case batch.CSV:
		return forecastCSV(p, f)
	}
	return append(AppendForecast(nil, p, f), '\n')
}

const forecastHead = "pump,speed_rpm,flow_m3h,head_m,suction_bar,discharge_bar,npsh_margin_m,power_kw,state," +
	"density_kgm3,manifold_bar,manifold_head_m,rate_m3h,lower_bound\n"

func forecastCSV(p *outlook.Plant, f *outlook.Forecast) []byte {
	out := []byte(forecastHead)
	for i := range f.Pumps {
		u := &f.Pumps[i]
		out = encode.CSVText(out, p.Pumps[i].Name)
		out = numbers(out, u.Speed, u.Flow/m3h, u.Head, u.Suction/bar, u.Discharge/bar, u.NPSHMargin, u.Power/kilo)
		out = append(append(out, ','), u.Standing.String()...)
		out = numbers(out, p.Liquid.Density, f.ManifoldPressure/bar, f.ManifoldHead, f.Rate/m3h)
		out = fmt.Appendf(out, ",%t\n", f.LowerBound)
	}
	return out
}

// numbers appends fields, each after a comma.
func numbers(dst []byte, figures ...float64) []byte {
	for _, v := range figures {
		dst = encode.Number(append(dst, ','), v, "")
	}
	return dst
}

// Advice returns an advice in a format. CSV has a row for each choice.
func Advice(p *outlook.Plant, a *outlook.Advice, format batch.Format) []byte {
	switch format {
	case batch.Table:
		return []byte(AdviceTable(p, a))
	case batch.CSV:
		return adviceCSV(a)
	}
	return append(AppendAdvice(nil, p, a), '\n')
}

func adviceCSV(a *outlook.Advice) []byte {
	out := []byte("choice,pumps,speed_rpm,rate_m3h,manifold_bar,power_kw,fuel_full_loads,lower_bound,binding\n")
	row := func(name string, c *outlook.Choice, binding string) {
		if c == nil {
			return
		}
		running := 0
		for _, runs := range c.Running {
			if runs {
				running++
			}
		}
		f := &c.Forecast
		out = numbers(append(out, name...), float64(running), c.Common(), f.Rate/m3h, f.ManifoldPressure/bar, c.Power()/kilo, c.Fuel)
		out = fmt.Appendf(out, ",%t,%s\n", f.LowerBound, binding)
	}
	row("now", a.Now, "")
	if h := a.Highest; h != nil {
		binding := outlook.MaximumSpeed
		if len(h.Binding) > 0 {
			binding = h.Binding[0].Name
		}
		row("highest", &h.Choice, binding.String())
	}
	if a.Cheapest != nil && math.IsNaN(a.Cheapest.Fuel) {
		row("slowest", a.Cheapest, "")
	} else {
		row("least fuel", a.Cheapest, "")
	}
	for i := range a.Steps {
		row(fmt.Sprintf("%+.0f rpm", a.Steps[i].By), a.Steps[i].Choice, "")
	}
	return out
}

// Answers answers cases, one a line, in order, on all cores.
func Answers(p *outlook.Plant, in io.Reader, out io.Writer) (stream.Tally, error) {
	src := stream.NewSource(in)
	first := stream.NewChunk()
	if !src.Next(first) && src.Err() != io.EOF {
		return stream.Tally{}, src.Err()
	}
	tally, err := stream.Run(src, first, out, "", func() func(*stream.Chunk) {
		s := NewSolver(p)
		return s.chunk
	})
	if err == nil && src.Err() != io.EOF {
		err = fmt.Errorf("after line %d: %w", src.Lines(), src.Err())
	}
	return tally, err
}

// chunk answers the cases of a chunk.
func (s *Solver) chunk(c *stream.Chunk) {
	number, text := c.First, c.Text
	if c.TooLong {
		text = []byte("longer than any case\n") // gets the answer that it is no case
	}
	for ; len(text) > 0; number++ {
		var line []byte
		line, text, _ = bytes.Cut(text, []byte("\n"))
		if line = bytes.TrimSpace(line); len(line) == 0 {
			continue
		}
		var bad bool
		if c.Out, bad = s.Answer(c.Out, line, number); bad {
			c.Tally.Bad++
		}
		c.Out = append(c.Out, '\n')
		c.Tally.Rows++
	}
}
