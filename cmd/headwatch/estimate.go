package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"example.org/headwatch/internal/report/batch"
	"github.com/spf13/cobra"
)

type estimateOptions struct {
	ship, plan, density, format string
	row                         batch.Row
}

func (o *estimateOptions) addFlags(c *cobra.Command) {
	f := c.Flags()
	f.SortFlags = false
	f.StringVar(&o.ship, "ship", "", "`FILE` of the ship, a ship.yaml (required)")
	f.StringVar(&o.plan, "plan", "", "`FILE` of the discharge, a plan.yaml: density and vapour pressure")
	f.StringVar(&o.density, "density", "", "`DENSITY` as observed, \"858 kg/m3\"; replaces the plan's")
	f.StringVar(&o.format, "format", "", "`FORMAT`: table, csv, ndjson or json (table on a terminal, else csv)")
	f.StringVar(&o.row[batch.Pump], "pump", "", "`NAME` of the pump, for one reading without a file")
	f.StringVar(&o.row[batch.Speed], "speed", "", "`FIGURE` of its tachometer")
	f.StringVar(&o.row[batch.Suction], "suction", "", "`FIGURE` of its suction gauge")
	f.StringVar(&o.row[batch.Discharge], "discharge", "", "`FIGURE` of its discharge gauge")
	_ = c.MarkFlagRequired("ship")
}

func newEstimateCommand() *cobra.Command {
	var o estimateOptions
	c := &cobra.Command{
		Use:                   "estimate --ship FILE (--plan FILE | --density DENSITY) [READINGS.csv | -]",
		DisableFlagsInUseLine: true,
		Short:                 "Compute head and flow of many readings, or of one",
		Long: `Computes head, flow and their uncertainty, power and suction margin of gauge
readings: one record a reading, in the same order.

READINGS.csv begins with a line that names its columns, in any order:
time,pump,speed,suction,discharge,density. Time and density may be left out.
Figures are in the units that the ship file gives, unless a unit follows the
number. Without a file, or with -, readings come from the standard input.

A row that can't be used gets a record whose error says row, column and why; all
others are computed, and the exit code is 1. The table rounds, the other formats
give all digits; a figure that can't be had is – in the table, empty in CSV and
null in JSON. In CSV, flags have a space between them.`,
		Example: `  headwatch estimate --ship ship.yaml --plan plan.yaml readings.csv
  headwatch estimate --ship ship.yaml --density "858 kg/m3" --format ndjson <readings.csv
  headwatch estimate --ship ship.yaml --plan plan.yaml --pump "COP 1" --speed 1300 --suction 0.6 --discharge 9.1`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error { return runEstimate(c, o, args) },
	}
	o.addFlags(c)
	return c
}

// single reports whether the flags give one reading. The error says what of it
// they leave out.
func (o *estimateOptions) single() (bool, error) {
	var given, missing []string
	for col := batch.Pump; col <= batch.Discharge; col++ {
		if flag := "--" + col.String(); o.row[col] == "" {
			missing = append(missing, flag)
		} else {
			given = append(given, flag)
		}
	}
	if len(given) > 0 && len(missing) > 0 {
		return true, fmt.Errorf("%s without %s: want all of one reading", strings.Join(given, ", "), strings.Join(missing, ", "))
	}
	return len(given) > 0, nil
}

func runEstimate(c *cobra.Command, o estimateOptions, files []string) error {
	single, err := o.single()
	switch {
	case err != nil:
		return err
	case single && len(files) > 0:
		return errors.New("one reading by its flags and a file of readings: want one of them")
	case !single && len(files) == 0 && onTerminal(c.InOrStdin()):
		return errors.New("no readings: want a file, readings piped in, or one by --pump, --speed, --suction and --discharge")
	}
	b, err := o.batch(c)
	if err != nil {
		return err
	}
	if single {
		return exitOf(b.One(o.row, c.OutOrStdout()))
	}
	in, name := c.InOrStdin(), "standard input"
	if len(files) > 0 && files[0] != "-" {
		f, err := os.Open(files[0])
		if err != nil {
			return unreadable(err)
		}
		defer f.Close()
		in, name = f, files[0]
	}
	return estimateAll(c, b, in, name)
}

func estimateAll(c *cobra.Command, b *batch.Batch, in io.Reader, name string) error {
	tally, err := b.Run(in, c.OutOrStdout())
	if err != nil {
		return exitOf(fmt.Errorf("%s: %w", name, err))
	}
	if tally.Rows == 0 {
		c.PrintErrf("%s: no reading after the header\n", name)
	}
	if tally.Bad > 0 {
		c.PrintErrf("%s: %d of %d readings cannot be used, see the error of each\n", name, tally.Bad, tally.Rows)
		return errFindings
	}
	return nil
}

// exitOf gives an error of package batch its exit code.
func exitOf(err error) error {
	switch {
	case err == nil:
		return nil
	case errors.Is(err, batch.ErrRead) || errors.Is(err, batch.ErrWrite):
		return unreadable(err)
	}
	return unusable(err)
}

// batch makes what the flags ask for.
func (o *estimateOptions) batch(c *cobra.Command) (*batch.Batch, error) {
	format, err := formatOf(c, o.format)
	if err != nil {
		return nil, err
	}
	s, p, err := loadFiles(o.ship, o.plan)
	if err != nil {
		return nil, err
	}
	if s.Fictional {
		c.PrintErrf("%s is a fictional ship\n", s.Name)
	}
	if p == nil {
		c.PrintErrln("without --plan no vapour pressure is known: no NPSH available, no margin")
	}
	b, err := batch.New(batch.Options{Ship: s, Plan: p, Density: o.density, Format: format,
		Say: func(sentence string) { c.PrintErrln(sentence) }})
	if err != nil {
		return nil, fmt.Errorf("--density: %w", err)
	}
	return b, nil
}

// formatOf returns the format of that name; without one, what suits the output.
func formatOf(c *cobra.Command, name string) (batch.Format, error) {
	switch {
	case name != "":
		return batch.ParseFormat(name)
	case onTerminal(c.OutOrStdout()):
		return batch.Table, nil
	}
	return batch.CSV, nil
}
