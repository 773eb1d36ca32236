package main

import (
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"example.org/headwatch/demo"
	"example.org/headwatch/internal/journal"
	"example.org/headwatch/internal/ship"
	"example.org/headwatch/internal/ship/form"
	"example.org/headwatch/internal/watch"
)

// clock is the computer's clock in the time zone of a plan.
func clock(p *ship.Plan) func() time.Time {
	return func() time.Time { return time.Now().In(p.Zone) }
}

// openLog opens the log of a folder, or begins one, and says in sentences what
// an officer must know about it.
func openLog(dir, by string, d *ship.Discharge) (*journal.Log, []string, error) {
	now := clock(d.Plan)
	log, err := journal.Open(dir, now)
	if errors.Is(err, fs.ErrNotExist) || errors.Is(err, journal.ErrEmpty) {
		log, err = journal.Create(dir, now, opened(d, by, now()))
	}
	if err != nil {
		return nil, nil, err
	}
	var notes []string
	if err := log.Writable(); err != nil {
		notes = append(notes, fmt.Sprintf("Read-only, nothing can be logged here: %v.", err))
	}
	if changed := changedFiles(log, d); len(changed) > 0 {
		notes = append(notes, changedNote(changed))
	}
	if ahead := aheadNote(log.Entries(), now()); ahead != "" {
		notes = append(notes, ahead)
	}
	return log, append(notes, placeholders(d)...), nil
}

// aheadNote warns of a log that is ahead of the clock: what is keyed now would
// stay behind the figures that are shown.
func aheadNote(entries []journal.Entry, now time.Time) string {
	for _, e := range entries {
		if e.At.Sub(now) > 2*time.Minute {
			return fmt.Sprintf("entry %d is of %s, after this computer's clock (%s): set the clock right, or new readings stay hidden behind it",
				e.Seq, e.At.Format("02 Jan 15:04 -07:00"), now.Format("15:04 -07:00"))
		}
	}
	return ""
}

// placeholders names the files that are still as "headwatch new" wrote them.
func placeholders(d *ship.Discharge) []string {
	var out []string
	for _, name := range []string{ship.ShipFile, ship.PlanFile} {
		if template, err := fs.ReadFile(demo.Template(), name); err == nil && string(template) == string(d.Files[name]) {
			out = append(out, name+" is still as \"headwatch new\" wrote it: its figures are placeholders of no real ship")
		}
	}
	return out
}

// opened is the first entry of a log that rests on the files of d.
func opened(d *ship.Discharge, by string, at time.Time) journal.Draft {
	return journal.Draft{At: at, By: by, Body: journal.NewOpened(journal.Real, version, d.Files)}
}

// changedFiles names the files that are no longer what the log began with.
func changedFiles(log *journal.Log, d *ship.Discharge) []string {
	var changed []string
	was := log.Opened().Files
	for _, name := range slices.Sorted(maps.Keys(d.Files)) {
		if f, ok := was[name]; !ok || f.Bytes != string(d.Files[name]) {
			changed = append(changed, name)
		}
	}
	return changed
}

func changedNote(files []string) string {
	return strings.Join(files, ", ") + " changed since the log was begun: all figures are computed with the new text."
}

// foldAll returns the state after all entries, and a sentence for each that
// could not be used.
func foldAll(d *ship.Discharge, entries []journal.Entry) (watch.State, []string) {
	s := watch.New(d)
	var notes []string
	for _, e := range entries {
		var err error
		if s, err = watch.Fold(s, e); err != nil {
			notes = append(notes, fmt.Sprintf("Not used: %v.", err))
		}
	}
	return s, notes
}

// loadFolder reads the files of a discharge. The error tells all their faults.
func loadFolder(dir string) (*ship.Discharge, error) {
	if _, err := os.ReadDir(dir); err != nil {
		return nil, unreadable(err)
	}
	d, err := ship.Load(os.DirFS(dir))
	if err != nil {
		return nil, unusable(err)
	}
	return d, nil
}

// loadFiles reads a ship file and a plan; without a path there is no plan.
func loadFiles(shipPath, planPath string) (*ship.Ship, *ship.Plan, error) {
	data, err := readFile(shipPath)
	if err != nil {
		return nil, nil, err
	}
	s, err := ship.LoadShip(shipPath, data, nil)
	if err != nil {
		return nil, nil, unusable(err)
	}
	if planPath == "" {
		return s, nil, nil
	}
	if data, err = readFile(planPath); err != nil {
		return nil, nil, err
	}
	p, err := ship.LoadPlan(planPath, data, s)
	if err != nil {
		return nil, nil, unusable(err)
	}
	return s, p, nil
}

// readFile reads a file that people write.
func readFile(path string) ([]byte, error) {
	data, err := form.ReadFile(os.DirFS(filepath.Dir(path)), filepath.Base(path))
	if err != nil {
		return nil, unreadable(fmt.Errorf("%s: %w", path, err))
	}
	return data, nil
}
