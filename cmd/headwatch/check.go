package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"slices"
	"time"

	"example.org/headwatch/internal/journal"
	"example.org/headwatch/internal/ship"
	"example.org/headwatch/internal/ship/form"
	"github.com/spf13/cobra"
)

func newCheckCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "check FOLDER",
		Short: "Check the files and the log of a discharge",
		Long: `Checks the folder of a discharge: ship.yaml, plan.yaml, tank tables and the
pumping log. It changes nothing.

Every finding is a line on the standard output, mistakes in a file as
file:line:column with what would be right. What was left out and what looks odd
is told on the standard error and is no finding.`,
		Example: `  headwatch check 014-D`,
		Args:    cobra.ExactArgs(1),
		RunE:    func(c *cobra.Command, args []string) error { return runCheck(c, args[0]) },
	}
}

func runCheck(c *cobra.Command, dir string) error {
	if _, err := os.ReadDir(dir); err != nil {
		return unreadable(err)
	}
	findings := 0
	find := func(err error) {
		findings++
		fmt.Fprintln(c.OutOrStdout(), err)
	}
	d, err := ship.Load(os.DirFS(dir))
	if err != nil {
		for _, e := range form.Each(err) {
			find(e)
		}
	} else {
		tellFiles(c, d)
		for _, sentence := range placeholders(d) {
			find(errors.New(sentence))
		}
	}
	log, err := journal.Read(dir)
	var broken *journal.BrokenError
	switch {
	case errors.Is(err, fs.ErrNotExist):
		c.PrintErrln("no log yet")
	case errors.Is(err, journal.ErrEmpty):
		c.PrintErrln(err)
	case errors.As(err, &broken):
		find(err)
	case err != nil:
		return unreadable(err)
	default:
		tellLog(c, d, log, find)
	}
	if findings > 0 {
		return errFindings
	}
	c.PrintErrln("no findings")
	return nil
}

// tellFiles says in words what the files are and what they leave out.
func tellFiles(c *cobra.Command, d *ship.Discharge) {
	s, p := d.Ship, d.Plan
	c.PrintErrf("%s: %s\n%s: voyage %s, %s, berth %s\n", ship.ShipFile, s.Name, ship.PlanFile, p.Voyage, p.Port, p.Berth)
	if s.Fictional || p.Fictional {
		c.PrintErrln("note: fictional, no real ship")
	}
	for _, sentence := range slices.Concat(s.Missing, p.Missing) {
		c.PrintErrln("left out:", sentence)
	}
	for _, sentence := range slices.Concat(s.Notes, p.Notes) {
		c.PrintErrln("note:", sentence)
	}
}

// tellLog says in words how long the log is, and what of it cannot be used.
// Files with faults (d is nil) are no help in telling.
func tellLog(c *cobra.Command, d *ship.Discharge, log *journal.Log, find func(error)) {
	entries := log.Entries()
	c.PrintErrf("%s: %d entries, the last at %s\n", journal.FileName, len(entries), entries[len(entries)-1].At.Format(time.RFC3339))
	if err := log.Finding(); err != nil {
		find(err)
	}
	if d == nil {
		return
	}
	if changed := changedFiles(log, d); len(changed) > 0 {
		c.PrintErrln("note:", changedNote(changed))
	}
	_, unused := foldAll(d, entries)
	for _, sentence := range unused {
		c.PrintErrln("note:", sentence)
	}
}
