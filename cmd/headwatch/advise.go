package main

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"example.org/headwatch/internal/outlook"
	"example.org/headwatch/internal/report/batch"
	"example.org/headwatch/internal/report/prospect"
	"example.org/headwatch/internal/ship"
	"example.org/headwatch/internal/units"
	"github.com/spf13/cobra"
)

type adviseOptions struct {
	plantOptions
	format, rate string
	gauges       []string
}

func newAdviseCommand() *cobra.Command {
	var o adviseOptions
	c := &cobra.Command{
		Use:   "advise --ship FILE --plan FILE --level ... [--speed ...] [--rate RATE]",
		Short: "Say which pumps and what common speed, and what binds",
		Long: `For the levels given: the highest common speed inside every limit and the limit
that binds there, by name; and the pumps and common speed that give the agreed
rate for the least fuel. With the present speeds it also says what 50 rpm more or
less would do, and compares fuel with now; with the gauges, how alike the pumps
are, and a trim of speed only beyond what the gauges may be wrong by.

Nothing is advised that breaks a limit, there or on the way to it, or that rests
on a pump past the end of its curve.`,
		Example: `  headwatch advise --ship ship.yaml --plan plan.yaml --level "17 m" --speed 1300 --rate "6000 m3/h"`,
		Args:    cobra.NoArgs,
		RunE:    func(c *cobra.Command, _ []string) error { return runAdvise(c, o) },
	}
	o.addFlags(c)
	c.Flags().StringVar(&o.format, "format", "", "table, csv, ndjson or json (table on a terminal, else csv)")
	c.Flags().StringArrayVar(&o.gauges, "gauges", nil, `what a running pump's gauges show, "COP 1=0.6 9.1": suction and discharge; to compare the pumps`)
	c.Flags().StringVar(&o.rate, "rate", "", `the rate wanted, as "6000 m3/h" (the plan's agreed rate)`)
	return c
}

func runAdvise(c *cobra.Command, o adviseOptions) error {
	format, err := formatOf(c, o.format)
	if err != nil {
		return err
	}
	p, s, err := o.plant(c)
	if err != nil {
		return err
	}
	wanted, err := o.wanted(p, s)
	if err != nil {
		return err
	}
	if len(o.levels) == 0 {
		return errors.New("no level: want --level for the pumps that may run")
	}
	settings, err := o.settings(p, s)
	if err != nil {
		return err
	}
	gauges, err := o.read(p, s, settings)
	if err != nil {
		return err
	}
	a, err := p.Advise(settings, wanted)
	if err != nil {
		return unusable(err)
	}
	if alike, ok := p.CompareGauges(settings, gauges); ok {
		a.Alike = &alike
	} else if len(o.gauges) > 0 {
		a.Words = append(a.Words, "the pumps are not compared: want the gauges of two or more at one speed, on their curves")
	}
	if format == batch.CSV {
		for _, w := range a.Words {
			c.PrintErrln(w) // a row has no place for them
		}
	}
	return print(c, prospect.Advice(p, a, format))
}

// wanted returns the rate asked for, or the agreed one.
func (o *adviseOptions) wanted(p *outlook.Plant, s *ship.Ship) (float64, error) {
	if o.rate == "" {
		return p.Limits.Rate, nil
	}
	k, err := units.ParseKeyed(units.Flow, o.rate, s.Units.Flow)
	if err == nil && !(k.SI > 0) {
		err = errors.New("want more than 0")
	}
	if err != nil {
		return 0, fmt.Errorf("--rate %q: %w", o.rate, err)
	}
	return k.SI, nil
}

// read returns what the flags say of the gauges of each pump.
func (o *adviseOptions) read(p *outlook.Plant, s *ship.Ship, settings []outlook.Setting) ([]outlook.Gauges, error) {
	out := slices.Repeat([]outlook.Gauges{{Suction: math.NaN(), Discharge: math.NaN()}}, len(p.Pumps))
	for _, text := range o.gauges {
		name, figures, _ := cutLast(text, "=")
		pair := strings.Fields(figures)
		pump, ok := s.FindPump(name)
		if !ok || len(pair) != 2 {
			return nil, fmt.Errorf("--gauges %q: want a pump and two figures, as \"COP 1=0.6 9.1\"", text)
		}
		suction, err := units.ParseKeyed(units.Pressure, pair[0], pump.SuctionUnit)
		if err != nil {
			return nil, fmt.Errorf("--gauges %q: suction: %w", text, err)
		}
		discharge, err := units.ParseKeyed(units.Pressure, pair[1], pump.DischargeUnit)
		if err != nil {
			return nil, fmt.Errorf("--gauges %q: discharge: %w", text, err)
		}
		i := slices.IndexFunc(p.Pumps, func(q *ship.Pump) bool { return q.Name == pump.Name })
		if i < 0 {
			return nil, fmt.Errorf("--gauges %q: the pump is not one of this parcel", text)
		}
		if settings[i].Speed == 0 {
			return nil, fmt.Errorf("--gauges %q: the pump stands still; give its --speed", text)
		}
		out[i] = outlook.Gauges{Suction: suction.SI, Discharge: discharge.SI, SuctionHalf: suction.Half, DischargeHalf: discharge.Half}
	}
	return out, nil
}
