package main

import (
	"errors"
	"fmt"

	"example.org/headwatch/internal/report/batch"
	"example.org/headwatch/internal/report/prospect"
	"example.org/headwatch/internal/units"
	"github.com/spf13/cobra"
)

type adviseOptions struct {
	plantOptions
	format, rate string
}

func newAdviseCommand() *cobra.Command {
	var o adviseOptions
	c := &cobra.Command{
		Use:   "advise --ship FILE --plan FILE --level ... [--speed ...] [--rate RATE]",
		Short: "Say which pumps and what common speed, and what binds",
		Long: `For the levels given: the highest common speed inside every limit and the limit
that binds there, by name; and the pumps and common speed that give the agreed
rate for the least fuel. With the present speeds it also says what 50 rpm more or
less would do, and compares fuel with now.

Nothing is advised that breaks a limit, there or on the way to it, or that rests
on a pump past the end of its curve.`,
		Example: `  headwatch advise --ship ship.yaml --plan plan.yaml --level "17 m" --speed 1300 --rate "6000 m3/h"`,
		Args:    cobra.NoArgs,
		RunE:    func(c *cobra.Command, _ []string) error { return runAdvise(c, o) },
	}
	o.addFlags(c)
	c.Flags().StringVar(&o.format, "format", "", "table, csv, ndjson or json (table on a terminal, else csv)")
	c.Flags().StringVar(&o.rate, "rate", "", `the rate wanted, as "6000 m3/h" (the plan's agreed rate)`)
	return c
}

func runAdvise(c *cobra.Command, o adviseOptions) error {
	format, err := formatOf(c, o.format)
	if err != nil {
		return err
	}
	p, s, err := o.plant()
	if err != nil {
		return err
	}
	wanted := p.Limits.Rate
	if o.rate != "" {
		k, err := units.ParseKeyed(units.Flow, o.rate, s.Units.Flow)
		if err == nil && !(k.SI > 0) {
			err = fmt.Errorf("want more than 0")
		}
		if err != nil {
			return fmt.Errorf("--rate %q: %w", o.rate, err)
		}
		wanted = k.SI
	}
	if len(o.levels) == 0 {
		return errors.New("no level: want --level for the pumps that may run")
	}
	settings, err := o.settings(p, s)
	if err != nil {
		return err
	}
	a, err := p.Advise(settings, wanted)
	if err != nil {
		return unusable(err)
	}
	if format == batch.CSV {
		for _, w := range a.Words {
			c.PrintErrln(w) // a row has no place for them
		}
	}
	return print(c, prospect.Advice(p, a, format))
}
