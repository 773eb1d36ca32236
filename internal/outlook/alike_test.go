package outlook

import (
	"math"
	"testing"

	"example.org/headwatch/internal/hydraulics"
)

func duty(t *testing.T, p *Plant, i int, flow float64) Duty {
	t.Helper()
	pump := p.Pumps[i]
	m := hydraulics.NewMeter(&pump.Pump)
	line := pump.Curves.At(1300)
	h, _ := line.Head(flow)
	c := hydraulics.VelocityCoefficient(pump.Suction.Bore, pump.Discharge.Bore)
	rise := h - c*flow*flow - pump.Discharge.Height + pump.Suction.Height
	e, err := m.Estimate(hydraulics.Reading{Speed: 1300, Suction: 0.5 * bar,
		Discharge: 0.5*bar + rise*p.Liquid.Density*hydraulics.Gravity}, p.Liquid)
	if err != nil {
		t.Fatal(err)
	}
	return Duty{Pump: pump.Name, Speed: 1300, Flow: e.Flow, Effects: e.FlowEffects, Curves: pump.Curves, PerRPM: p.Follow(settings(1300), i)}
}

func TestPumpsAlike(t *testing.T) {
	p := demoPlant(t)
	close := []Duty{duty(t, p, 0, 2250/hour), duty(t, p, 1, 2200/hour), duty(t, p, 2, 2180/hour)}
	a, ok := Compare(close)
	if !ok || a.Certain || a.Trim != 0 || a.Most != "COP 1" || a.Least != "COP 3" {
		t.Errorf("70 m3/h apart: %+v", a)
	}
	near(t, "difference, m3/h", a.Difference*hour, 70, 1e-6)
	// What is common cancels: less than either flow's own uncertainty times √2.
	if alone := 2 * close[0].Effects.Sum(); a.U95 >= math.Sqrt2*alone {
		t.Errorf("u95 of the difference %g, of one flow %g", a.U95*hour, alone*hour)
	}
	far := []Duty{duty(t, p, 0, 2400/hour), duty(t, p, 1, 1500/hour)}
	if a, _ = Compare(far); !a.Certain || !(a.Trim > 0) || a.Least != "COP 2" {
		t.Errorf("900 m3/h apart: %+v", a)
	}
	near(t, "trim, rpm", a.Trim, (a.Difference-a.U95)/far[1].PerRPM, 1e-9)
	if _, ok := Compare(close[:1]); ok {
		t.Error("one pump is compared")
	}
}

// A trim acts on the pump as foretold: small steps in the solved line.
func TestFollow(t *testing.T) {
	p := demoPlant(t)
	per := p.Follow(settings(1300), 1)
	set := settings(1300)
	set[1].Speed += 10
	var before, after Forecast
	if err := p.Forecast(settings(1300), &before); err != nil {
		t.Fatal(err)
	}
	if err := p.Forecast(set, &after); err != nil {
		t.Fatal(err)
	}
	near(t, "10 rpm more, m3/h", (after.Pumps[1].Flow-before.Pumps[1].Flow)*hour, 10*per*hour, 0.02*10*per*hour)
}
