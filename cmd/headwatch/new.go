package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"example.org/headwatch/demo"
	"github.com/spf13/cobra"
)

type newOptions struct{ demo bool }

func (o *newOptions) addFlags(c *cobra.Command) {
	c.Flags().BoolVar(&o.demo, "demo", false, "a copy of the demo: a fictional ship, eight hours into her discharge")
}

func newNewCommand() *cobra.Command {
	var o newOptions
	c := &cobra.Command{
		Use:                   "new [--demo] FOLDER",
		DisableFlagsInUseLine: true,
		Short:                 "Make the folder of a discharge",
		Long: `Makes the folder of one discharge, for your ship to fill in: ship.yaml, plan.yaml
and a tank table, every key explained. It never overwrites anything: FOLDER must
be new or empty.`,
		Example: `  headwatch new 014-D
  headwatch new --demo try-it`,
		Args: cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error { return runNew(c, o, args[0]) },
	}
	o.addFlags(c)
	return c
}

func runNew(c *cobra.Command, o newOptions, dir string) error {
	switch found, err := os.ReadDir(dir); {
	case len(found) > 0:
		return unusable(fmt.Errorf("%s is not empty, it holds %s: want a new folder", dir, found[0].Name()))
	case err != nil && !errors.Is(err, fs.ErrNotExist):
		return unreadable(err)
	}
	if o.demo {
		if err := writeDemo(dir, time.Now()); err != nil {
			return unreadable(err)
		}
		c.PrintErrf("%s holds the demo discharge of a fictional ship. Next: headwatch watch %s\n", dir, quoteArg(dir))
		return nil
	}
	if err := os.CopyFS(dir, demo.Template()); err != nil {
		return unreadable(err)
	}
	c.PrintErrf(`%s holds placeholders, no real ship. Next:
  fill in %s once for the ship, %s for each discharge (any text editor)
  headwatch check %s
  headwatch watch %[4]s
`, dir, filepath.Join(dir, "ship.yaml"), filepath.Join(dir, "plan.yaml"), quoteArg(dir))
	return nil
}

// quoteArg writes a path as one argument of a command line.
func quoteArg(path string) string {
	if strings.Contains(path, " ") {
		return `"` + path + `"`
	}
	return path
}
