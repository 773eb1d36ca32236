package prospect

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"example.org/headwatch/internal/outlook"
	"example.org/headwatch/internal/report/encode"
)

// Case is one line of a file of cases. Pumps are named as on the ship.
type Case struct {
	Density  *float64           `json:"density_kgm3"` // the plan's when left out
	Levels   map[string]float64 `json:"levels_m"`     // surfaces above keel
	Speeds   map[string]float64 `json:"speeds_rpm"`   // 0 is stopped
	Openings map[string]float64 `json:"openings"`     // of discharge valves, 0 to 1; open when left out
	Offline  []string           `json:"offline"`      // turning, not on the line yet
}

// Solver answers cases of one plant, one after another.
type Solver struct {
	plant    *outlook.Plant
	density  float64
	settings []outlook.Setting
	forecast outlook.Forecast
}

// NewSolver returns a solver of its own for a plant.
func NewSolver(p *outlook.Plant) *Solver {
	return &Solver{plant: p.Clone(), density: p.Liquid.Density, settings: make([]outlook.Setting, len(p.Pumps))}
}

// Answer appends the answer to the case in a line of JSON, or an object whose
// error says what is wrong with it, row being its number; bad says which.
func (s *Solver) Answer(dst, line []byte, row int) (answer []byte, bad bool) {
	if err := s.solve(line); err != nil {
		j := encode.JSON{Buf: dst}
		j.Open('{')
		j.Key("error")
		j.Open('{')
		j.Integer("row", row)
		j.Text("why", err.Error())
		j.Close('}')
		j.Close('}')
		return j.Buf, true
	}
	return AppendForecast(dst, s.plant, &s.forecast), false
}

func (s *Solver) solve(line []byte) error {
	var c Case
	d := json.NewDecoder(bytes.NewReader(line))
	d.DisallowUnknownFields()
	if err := d.Decode(&c); err != nil {
		return notACase(err)
	}
	if _, err := d.Token(); err != io.EOF {
		return errors.New("not a case: more than one value on the line")
	}
	return s.forecastOf(&c)
}

// notACase says what is wrong with a line in words that are not Go's.
func notACase(err error) error {
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	switch {
	case errors.As(err, &syntax):
		return fmt.Errorf("not a case: no JSON from byte %d on", syntax.Offset)
	case errors.As(err, &kind) && kind.Field == "":
		return fmt.Errorf("not a case: want an object in braces, found a %s", kind.Value)
	case errors.As(err, &kind):
		return fmt.Errorf("not a case: %s: a %s stands where something else is wanted", kind.Field, kind.Value)
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return errors.New("not a case: the line ends before the object does")
	}
	return fmt.Errorf("not a case: %s", strings.TrimPrefix(err.Error(), "json: "))
}

func (s *Solver) forecastOf(c *Case) error {
	density := s.density
	if c.Density != nil {
		density = *c.Density
	}
	if err := CheckDensity(density); err != nil {
		return err
	}
	s.plant.SetDensity(density)
	if err := Settings(s.plant, c, s.settings); err != nil {
		return err
	}
	return s.plant.Forecast(s.settings, &s.forecast)
}

// CheckDensity refuses a density in kg/m³ that no cargo has and says what it
// may have been meant as.
func CheckDensity(density float64) error {
	switch {
	case density > 0.4 && density < 1.2:
		return fmt.Errorf("density %g kg/m3: that looks like g/cm3 or relative density; in kg/m3 it is %g", density, 1000*density)
	case !(density >= 400 && density <= 1200):
		return fmt.Errorf("density %g kg/m3: want 400..1200 kg/m3", density)
	}
	return nil
}

// Settings fills to with what a case says of each pump of the plant.
func Settings(p *outlook.Plant, c *Case, to []outlook.Setting) error {
	if err := strangers(p, c); err != nil {
		return err
	}
	for i, pump := range p.Pumps {
		speed, ok := c.Speeds[pump.Name]
		if !ok {
			return fmt.Errorf("no speed for %s: give one, 0 when it is stopped", pump.Name)
		}
		if speed > pump.MaxSpeed {
			return fmt.Errorf("%s: speed %g rpm is over its maximum of %g rpm", pump.Name, speed, pump.MaxSpeed)
		}
		level, ok := c.Levels[pump.Name]
		if !ok && speed != 0 {
			return fmt.Errorf("no level for %s, which runs", pump.Name)
		}
		if !ok {
			level = math.NaN()
		}
		opening, ok := c.Openings[pump.Name]
		if !ok {
			opening = 1
		}
		to[i] = outlook.Setting{Level: level, Speed: speed, Opening: opening, Offline: slices.Contains(c.Offline, pump.Name)}
	}
	return nil
}

// strangers names a pump of a case that the plant does not have.
func strangers(p *outlook.Plant, c *Case) error {
	for _, figures := range []map[string]float64{c.Speeds, c.Levels, c.Openings} {
		for name := range figures {
			if index(p, name) < 0 {
				return fmt.Errorf("pump %q is not one of this parcel", name)
			}
		}
	}
	for _, name := range c.Offline {
		if index(p, name) < 0 {
			return fmt.Errorf("pump %q is not one of this parcel", name)
		}
	}
	return nil
}

func index(p *outlook.Plant, name string) int {
	for i, pump := range p.Pumps {
		if pump.Name == name {
			return i
		}
	}
	return -1
}
