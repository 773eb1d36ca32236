package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"example.org/headwatch/demo"
	"example.org/headwatch/internal/journal"
	"example.org/headwatch/internal/ship"
	"github.com/spf13/cobra"
)

// demoAge is how long a scratch copy of the demo is still the one that somebody
// keyed figures into a moment ago.
const demoAge = 2 * time.Hour

type demoOptions struct {
	fresh bool
	by    string
}

func (o *demoOptions) addFlags(c *cobra.Command) {
	c.Flags().BoolVar(&o.fresh, "fresh", false, "begin a new copy of the demo; the old one stays where it is")
	c.Flags().StringVar(&o.by, "by", defaultBy, "`NAME` that entries are logged under")
}

func runDemo(c *cobra.Command, o demoOptions) error {
	if err := needTerminal(c); err != nil {
		return err
	}
	dir, err := scratch(o.fresh, time.Now())
	if err != nil {
		return unreadable(err)
	}
	return watchFolder(c, dir, o.by, "Scratch copy of the demo. To open it again: headwatch watch "+quoteArg(dir))
}

// scratchBase returns the folder that scratch copies stand in: of the user's
// cache, or of the computer's temporary files where there is none to write to.
func scratchBase() (string, error) {
	if cache, err := os.UserCacheDir(); err == nil {
		base := filepath.Join(cache, "headwatch")
		if os.MkdirAll(base, 0o700) == nil {
			return base, nil
		}
	}
	base := filepath.Join(os.TempDir(), "headwatch")
	return base, os.MkdirAll(base, 0o700)
}

// scratch returns the folder of the scratch copy: the last one while it is
// young, else a new one beside it.
func scratch(fresh bool, now time.Time) (string, error) {
	base, err := scratchBase()
	if err != nil {
		return "", err
	}
	copies, err := os.ReadDir(base) // in order of name, that is of time
	if err != nil {
		return "", err
	}
	if n := len(copies); n > 0 && !fresh {
		last := filepath.Join(base, copies[n-1].Name())
		if lastEntered(last).After(now.Add(-demoAge)) {
			return last, nil
		}
	}
	for made := now; ; made = made.Add(time.Second) {
		dir := filepath.Join(base, made.UTC().Format("demo-20060102-150405"))
		err := os.Mkdir(dir, 0o700)
		if errors.Is(err, fs.ErrExist) {
			continue
		}
		if err == nil {
			err = writeDemo(dir, now)
		}
		return dir, err
	}
}

// lastEntered returns when the last entry of a log was keyed, zero when there
// is none to be read.
func lastEntered(dir string) time.Time {
	log, err := journal.Read(dir)
	if err != nil {
		return time.Time{}
	}
	entries := log.Entries()
	return entries[len(entries)-1].Entered
}

// writeDemo writes the demo's files into a folder and makes its log, as if the
// last round had been keyed a few minutes ago.
func writeDemo(dir string, now time.Time) error {
	if err := os.CopyFS(dir, demo.Files()); err != nil {
		return err
	}
	d, err := ship.Load(demo.Files())
	if err != nil {
		return err
	}
	rows, err := demo.Rounds()
	if err != nil {
		return err
	}
	now = now.In(d.Plan.Zone)
	start := now.Add(-8*time.Hour - 10*time.Minute).Truncate(time.Minute)
	log, err := journal.Create(dir, func() time.Time { return now }, opened(d, "demo", start))
	if err != nil {
		return err
	}
	drafts := make([]journal.Draft, len(rows))
	for i, row := range rows {
		drafts[i] = journal.Draft{At: start.Add(time.Duration(row.Minute) * time.Minute), By: "demo", Body: demoBody(row)}
	}
	if _, err := log.Append(drafts...); err != nil {
		return fmt.Errorf("%s: %w", dir, err)
	}
	return log.Close()
}

// demoBody returns what an officer would have keyed for a row.
func demoBody(r demo.Row) journal.Body {
	switch r.Kind {
	case demo.Pump:
		return journal.Reading{Pump: r.Name, Speed: r.Speed + " rpm", Suction: r.Suction + " bar", Discharge: r.Discharge + " bar"}
	case demo.Manifold:
		return journal.Reading{Manifold: r.Name, Pressure: r.Manifold + " bar"}
	case demo.Tank:
		return journal.Ullage{Tank: r.Name, Ullage: r.Ullage + " m"}
	}
	return journal.Note{Text: r.Note}
}
