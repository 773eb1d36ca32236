package main

import (
	"errors"
	"fmt"

	"os"

	"example.org/headwatch/internal/outlook"
	"example.org/headwatch/internal/report/prospect"
	"github.com/spf13/cobra"
)

type forecastOptions struct {
	plantOptions
	format, cases string
}

func newForecastCommand() *cobra.Command {
	var o forecastOptions
	c := &cobra.Command{
		Use:   "forecast --ship FILE --plan FILE (--level ... --speed ... | --cases FILE)",
		Short: "Say what pumps in parallel would do at given speeds and levels",
		Long: `Solves the pumps of a parcel in parallel against ship's line and shore: flow,
head and gauges of each pump, manifold pressure and rate, and what is left to
every limit.

With --cases it answers many: FILE, or - for the standard input, holds a JSON
object a line with "density_kgm3", "levels_m" and "speeds_rpm", and may have
"openings" (0 to 1) and "offline"; each gets an answer a line, in order. A bad
case gets an answer that says why, and the exit code is 1.

A pump that would run past the end of its curve is held there: rate and manifold
are then lower bounds, the other pumps' flows upper bounds, lower_bound is true.`,
		Example: `  headwatch forecast --ship ship.yaml --plan plan.yaml --level "COP 1=17 m" --level "COP 2=16.2 m" --level "COP 3=15.4 m" --speed 1300
  headwatch forecast --ship ship.yaml --plan plan.yaml --level "17 m" --speed 1300 --speed "COP 2=0" --format json
  headwatch forecast --ship ship.yaml --plan plan.yaml --cases cases.ndjson`,
		Args: cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error { return runForecast(c, o) },
	}
	o.addFlags(c)
	c.Flags().StringVar(&o.format, "format", "", "table, csv, ndjson or json (table on a terminal, else csv)")
	c.Flags().StringVar(&o.cases, "cases", "", "many cases from a `FILE` of JSON lines; answers in JSON lines")
	return c
}

func runForecast(c *cobra.Command, o forecastOptions) error {
	format, err := formatOf(c, o.format)
	if err != nil {
		return err
	}
	p, s, err := o.plant(c)
	if err != nil {
		return err
	}
	if o.cases != "" {
		if len(o.levels)+len(o.speeds)+len(o.openings)+len(o.offline) > 0 {
			return errors.New("--cases and one case by its flags: want one of them")
		}
		return answerCases(c, p, o.cases)
	}
	if len(o.speeds) == 0 {
		return errors.New("no speed: want --speed for each pump that turns, or --cases")
	}
	settings, err := o.settings(p, s)
	if err != nil {
		return err
	}
	var f outlook.Forecast
	if err := p.Forecast(settings, &f); err != nil {
		return unusable(err)
	}
	return print(c, prospect.Forecast(p, &f, format))
}

// print writes a whole answer.
func print(c *cobra.Command, text []byte) error {
	if _, err := c.OutOrStdout().Write(text); err != nil {
		return unreadable(fmt.Errorf("answer cannot be written: %w", err))
	}
	return nil
}

// answerCases answers a file of cases.
func answerCases(c *cobra.Command, p *outlook.Plant, file string) error {
	in, name := c.InOrStdin(), "standard input"
	if file != "-" {
		f, err := os.Open(file)
		if err != nil {
			return unreadable(err)
		}
		defer f.Close()
		in, name = f, file
	} else if onTerminal(in) {
		return errors.New("--cases -: want cases piped in")
	}
	tally, err := prospect.Answers(p, in, c.OutOrStdout())
	switch {
	case err != nil:
		return unreadable(fmt.Errorf("%s: %w", name, err))
	case tally.Rows == 0:
		c.PrintErrf("%s: no case\n", name)
	case tally.Bad > 0:
		c.PrintErrf("%s: %d of %d cases cannot be answered, see the error of each\n", name, tally.Bad, tally.Rows)
		return errFindings
	}
	return nil
}
