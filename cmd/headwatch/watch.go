package main

import (
	"context"
	"errors"
	"fmt"
	"os/signal"
	"syscall"

	"example.org/headwatch/internal/journal"
	"example.org/headwatch/internal/ui"
	"github.com/spf13/cobra"
)

const defaultBy = "officer"

type watchOptions struct{ by string }

func (o *watchOptions) addFlags(c *cobra.Command) {
	c.Flags().StringVar(&o.by, "by", defaultBy, "`NAME` that entries are logged under")
}

func newWatchCommand() *cobra.Command {
	var o watchOptions
	var fresh demoOptions
	c := &cobra.Command{
		Use:   "watch [FOLDER]",
		Short: "Watch a discharge: key readings, see flow and margins",
		Long: `Opens the folder of a discharge on the screen: key readings, see each pump's head,
flow and margins. Every round is in the folder's log before the screen says so.
Without FOLDER it opens the demo.

While another instance has the log open, and where it can't be written, the
screen only shows it and says why.`,
		Example: `  headwatch watch 014-D --by "2/O"`,
		Args:    cobra.MaximumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) == 0 {
				fresh.by = o.by
				return runDemo(c, fresh)
			}
			return runWatch(c, o, args[0])
		},
	}
	o.addFlags(c)
	return c
}

func runWatch(c *cobra.Command, o watchOptions, dir string) error {
	if err := needTerminal(c); err != nil {
		return err
	}
	return watchFolder(c, dir, o.by)
}

// needTerminal refuses to draw where nobody would see it.
func needTerminal(c *cobra.Command) error {
	if onTerminal(c.InOrStdin()) && onTerminal(c.OutOrStdout()) {
		return nil
	}
	return unusable(fmt.Errorf("%s\n%s needs a terminal", help(c), c.CommandPath()))
}

// watchFolder draws the discharge in dir until the officer leaves.
func watchFolder(c *cobra.Command, dir, by string, notes ...string) error {
	d, err := loadFolder(dir)
	if err != nil {
		return err
	}
	log, more, err := openLog(dir, by, d)
	var broken *journal.BrokenError
	switch {
	case errors.As(err, &broken):
		return unusable(fmt.Errorf("%s: %w", dir, err))
	case err != nil:
		return unreadable(fmt.Errorf("%s: %w", dir, err))
	}
	defer log.Close()
	state, unused := foldAll(d, log.Entries())
	// A closed window or a lost line ends the screen as q does: what was keyed is
	// kept, the terminal put back.
	ctx, stop := signal.NotifyContext(c.Context(), syscall.SIGHUP, syscall.SIGTERM)
	defer stop()
	err = ui.Run(ctx, ui.Options{
		State: state, Recent: log.Entries(), Log: log, Folder: dir, By: by,
		Notes: append(append(notes, more...), unused...),
		Now:   clock(d.Plan), In: c.InOrStdin(), Out: c.OutOrStdout(),
	})
	if err != nil && !errors.Is(err, context.Canceled) {
		return unreadable(err)
	}
	return nil
}
