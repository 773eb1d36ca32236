package journal

import (
	"crypto/sha256"
	"fmt"
	"io/fs"
	"maps"
	"slices"
	"strings"
	"unicode/utf8"
)

// Format says what a log is for.
type Format string

// The formats of a log.
const (
	Real     Format = "real"     // a discharge
	Training Format = "training" // a drill; it can never become a real one
)

// Opened is the first entry: what the log is and what its figures rest on.
type Opened struct {
	Format  Format          `json:"format"`
	Version string          `json:"version"` // of the program
	Files   map[string]File `json:"files"`   // ship, plan and tank tables by their path in the folder, with slashes
}

// File is the whole text of a file with its sum.
type File struct {
	Sum   Sum    `json:"sum"`
	Bytes string `json:"bytes"`
}

// NewOpened returns the first entry of a log that rests on files.
func NewOpened(format Format, version string, files map[string][]byte) Opened {
	o := Opened{Format: format, Version: version, Files: make(map[string]File, len(files))}
	for name, data := range files {
		o.Files[name] = File{Sum: sha256.Sum256(data), Bytes: string(data)}
	}
	return o
}

// Kind returns KindOpened.
func (Opened) Kind() Kind { return KindOpened }

func (o Opened) check() error {
	if o.Format != Real && o.Format != Training {
		return fmt.Errorf("format %.40q: want %q or %q", o.Format, Real, Training)
	}
	if err := text("version", o.Version); err != nil {
		return err
	}
	for _, name := range slices.Sorted(maps.Keys(o.Files)) {
		file := o.Files[name]
		switch {
		case name == "." || !fs.ValidPath(name):
			return fmt.Errorf("file %.80q: want a path inside the folder, with slashes", name)
		case !utf8.ValidString(file.Bytes):
			return fmt.Errorf("file %q: not UTF-8", name)
		case file.Sum != sha256.Sum256([]byte(file.Bytes)):
			return fmt.Errorf("file %q: its text has not the sum %s", name, file.Sum)
		}
	}
	return nil
}

// Reading is what was read off the gauges and the tachometer of a pump, or off
// the gauge of a manifold. A figure is the text as keyed, with its unit
// ("0.62 bar", "9.1±0.2 bar"): its digits say how well it was read. An empty
// figure was not read.
type Reading struct {
	Pump      string `json:"pump,omitempty"` // name; or Manifold
	Speed     string `json:"speed,omitempty"`
	Suction   string `json:"suction,omitempty"`
	Discharge string `json:"discharge,omitempty"`

	Manifold string `json:"manifold,omitempty"` // name; or Pump
	Pressure string `json:"pressure,omitempty"`

	// Unchanged names the figures (by their keys in the file) that were
	// confirmed as read and unchanged, not keyed anew.
	Unchanged []string `json:"unchanged,omitempty"`
}

var (
	pumpFigures     = []string{"speed", "suction", "discharge"}
	manifoldFigures = []string{"pressure"}
)

// Kind returns KindReading.
func (Reading) Kind() Kind { return KindReading }

// field returns the place of a key's string, nil for any other key.
func (r *Reading) field(key string) *string {
	switch key {
	case "pump":
		return &r.Pump
	case "speed":
		return &r.Speed
	case "suction":
		return &r.Suction
	case "discharge":
		return &r.Discharge
	case "manifold":
		return &r.Manifold
	case "pressure":
		return &r.Pressure
	}
	return nil
}

func (r Reading) check() error {
	place, own, other := "pump", pumpFigures, manifoldFigures
	if r.Pump == "" {
		place, own, other = "manifold", manifoldFigures, pumpFigures
	} else if r.Manifold != "" {
		return fmt.Errorf("pump %.40q and manifold %.40q: want one of them", r.Pump, r.Manifold)
	}
	if err := text(place, *r.field(place)); err != nil {
		return err
	}
	for _, key := range other {
		if *r.field(key) != "" {
			return fmt.Errorf("%s: not a figure of a %s", key, place)
		}
	}
	read := 0
	for _, key := range own {
		if figure := *r.field(key); figure != "" {
			if err := text(key, figure); err != nil {
				return err
			}
			read++
		}
	}
	if read == 0 {
		return fmt.Errorf("%s %.40q: no figure read", place, *r.field(place))
	}
	return r.checkUnchanged(own)
}

func (r Reading) checkUnchanged(own []string) error {
	for i, key := range r.Unchanged {
		if !slices.Contains(own, key) || *r.field(key) == "" || slices.Contains(r.Unchanged[:i], key) {
			return fmt.Errorf("unchanged %.40q: want each figure of the entry once at most", key)
		}
	}
	return nil
}

// Ullage is the height of the empty space above the liquid in a tank, as keyed.
type Ullage struct {
	Tank   string `json:"tank"`
	Ullage string `json:"ullage"`
}

// Kind returns KindUllage.
func (Ullage) Kind() Kind { return KindUllage }

func (u *Ullage) field(key string) *string {
	switch key {
	case "tank":
		return &u.Tank
	case "ullage":
		return &u.Ullage
	}
	return nil
}

func (u Ullage) check() error {
	if err := text("tank", u.Tank); err != nil {
		return err
	}
	return text("ullage", u.Ullage)
}

// Note is what somebody wanted to be on record; it may have several lines.
type Note struct {
	Text string `json:"text"`
}

// Kind returns KindNote.
func (Note) Kind() Kind { return KindNote }

func (n Note) check() error { return text("text", strings.ReplaceAll(n.Text, "\n", " ")) }

// Recovered says that a torn tail was set aside.
type Recovered struct {
	Torn  string `json:"torn"`  // name of the file that now holds it
	Bytes int    `json:"bytes"` // how many
}

// Kind returns KindRecovered.
func (Recovered) Kind() Kind { return KindRecovered }

func (r Recovered) check() error {
	if r.Bytes <= 0 {
		return fmt.Errorf("bytes %d: want more than none", r.Bytes)
	}
	return text("torn", r.Torn)
}

// Closed ends a discharge. Entries may follow: a correction, a late figure.
type Closed struct{}

// Kind returns KindClosed.
func (Closed) Kind() Kind { return KindClosed }

func (Closed) check() error { return nil }
