package main

import (
	"errors"
	"fmt"
	"io"
	"os"

	"github.com/charmbracelet/x/term"
	"github.com/spf13/cobra"
)

const version = "0.1.0"

// The exit codes, as every help text tells them.
const (
	exitFindings = 1
	exitUsage    = 2
	exitIO       = 3
)

const closing = `
Exit codes: 0 done; 1 done with findings; 2 bad usage, or input that cannot be
used at all; 3 could not read or write.

Headwatch advises only. It controls nothing and defers to the terminal's orders,
the ship's safety management system, the maker's manuals and the licensed
officer. On any doubt: stop, make safe, then look at the screen.
`

// exitError is an error with its exit code. Any other error is one of usage.
type exitError struct {
	code int
	err  error // nil when all is said
}

func (e *exitError) Error() string { return fmt.Sprint(e.err) }

func unusable(err error) error   { return &exitError{exitUsage, err} }
func unreadable(err error) error { return &exitError{exitIO, err} }

var errFindings error = &exitError{code: exitFindings}

func main() { os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }

func run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	cobra.MousetrapHelpText = "" // a double click on Windows is as good a start as any
	root := newRootCommand()
	root.SetArgs(args)
	root.SetIn(stdin)
	root.SetOut(stdout)
	root.SetErr(stderr)
	cmd, err := root.ExecuteC()
	var exit *exitError
	switch {
	case err == nil:
		return 0
	case !errors.As(err, &exit):
		fmt.Fprintf(stderr, "%v\nhint: %s --help\n", err, cmd.CommandPath())
		return exitUsage
	case exit.err != nil:
		fmt.Fprintln(stderr, exit.err)
	}
	return exit.code
}

func newRootCommand() *cobra.Command {
	var o demoOptions
	c := &cobra.Command{
		Use:   "headwatch",
		Short: "Head and flow of cargo pumps from their gauges, and the pumping log",
		Long: `Headwatch turns the gauge readings of cargo pumps into head and flow with their
uncertainty, and keeps the pumping log. It works offline, in a terminal.

Without a command it opens the demo: a fictional ship, eight hours into her
discharge, in a folder of your own cache. Key a round of readings and look.`,
		Version:       version,
		SilenceErrors: true,
		SilenceUsage:  true,
		RunE:          func(c *cobra.Command, _ []string) error { return runDemo(c, o) },
	}
	o.addFlags(c)
	c.CompletionOptions.DisableDefaultCmd = true
	c.SetHelpFunc(func(c *cobra.Command, _ []string) { fmt.Fprint(c.OutOrStdout(), help(c)) })
	c.AddCommand(newWatchCommand(), newEstimateCommand(), newForecastCommand(), newAdviseCommand(), newNewCommand(), newCheckCommand())
	return c
}

func help(c *cobra.Command) string { return c.Long + "\n\n" + c.UsageString() + closing }

// onTerminal reports whether a stream is a terminal.
func onTerminal(stream any) bool {
	f, ok := stream.(interface{ Fd() uintptr })
	return ok && term.IsTerminal(f.Fd())
}
