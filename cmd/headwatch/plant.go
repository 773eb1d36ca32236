package main

import (
	"fmt"
	"strings"

	"example.org/headwatch/internal/outlook"
	"example.org/headwatch/internal/report/prospect"
	"example.org/headwatch/internal/ship"
	"example.org/headwatch/internal/units"
	"github.com/spf13/cobra"
)

// plantOptions is what forecast and advise are told of the pumps.
type plantOptions struct {
	ship, plan, parcel, density       string
	levels, speeds, openings, offline []string
}

func (o *plantOptions) addFlags(c *cobra.Command) {
	f := c.Flags()
	f.StringVar(&o.ship, "ship", "", "the ship's `FILE`, a ship.yaml (required)")
	f.StringVar(&o.plan, "plan", "", "the `FILE` of the discharge, a plan.yaml (required)")
	f.StringVar(&o.parcel, "parcel", "", "the parcel; needed when the plan has several")
	f.StringVar(&o.density, "density", "", `density as observed, as "858 kg/m3"; replaces the plan's`)
	f.StringArrayVar(&o.levels, "level", nil, `surface in a pump's tank above keel, "COP 1=17 m"; without a name for all`)
	f.StringArrayVar(&o.speeds, "speed", nil, `a pump's speed, "COP 1=1300", 0 when stopped; without a name for all`)
	f.StringArrayVar(&o.openings, "opening", nil, `of a pump's discharge valve, "COP 1=40 %"; open when left out`)
	f.StringArrayVar(&o.offline, "offline", nil, "a `PUMP` that turns but is not on the line yet")
	_ = c.MarkFlagRequired("ship")
	_ = c.MarkFlagRequired("plan")
}

// plant returns the plant the flags name.
func (o *plantOptions) plant(c *cobra.Command) (*outlook.Plant, *ship.Ship, error) {
	s, plan, err := loadFiles(o.ship, o.plan)
	if err != nil {
		return nil, nil, err
	}
	parcel, err := o.chosen(plan)
	if err != nil {
		return nil, nil, err
	}
	if o.density != "" {
		k, err := units.ParseKeyed(units.Density, o.density, "kg/m3")
		if err == nil {
			err = prospect.CheckDensity(k.SI)
		}
		if err == nil {
			parcel.Liquid.Density, parcel.Liquid.DensityHalfWidth, err = ship.ObservedDensity(k)
		}
		if err != nil {
			return nil, nil, fmt.Errorf("--density: %w", err)
		}
	}
	p, err := outlook.New(s, parcel)
	if err != nil {
		return nil, nil, unusable(err)
	}
	for _, w := range p.Words {
		c.PrintErrln(w)
	}
	return p, s, nil
}

// chosen returns the parcel asked for, or the only one.
func (o *plantOptions) chosen(p *ship.Plan) (*ship.Parcel, error) {
	var names []string
	for i := range p.Parcels {
		if strings.EqualFold(p.Parcels[i].Name, o.parcel) || o.parcel == "" && len(p.Parcels) == 1 {
			return &p.Parcels[i], nil
		}
		names = append(names, p.Parcels[i].Name)
	}
	if o.parcel == "" {
		return nil, fmt.Errorf("the plan has several parcels: want --parcel, one of %s", strings.Join(names, ", "))
	}
	return nil, fmt.Errorf("--parcel %q: want one of %s", o.parcel, strings.Join(names, ", "))
}

// settings returns what the flags say of each pump. A speed that is not given
// is 0: stopped.
func (o *plantOptions) settings(p *outlook.Plant, s *ship.Ship) ([]outlook.Setting, error) {
	c := prospect.Case{Levels: map[string]float64{}, Speeds: map[string]float64{}, Openings: map[string]float64{}}
	for _, pump := range p.Pumps {
		c.Speeds[pump.Name] = 0
	}
	for _, given := range []struct {
		flag, unit string
		texts      []string
		dimension  units.Dimension
		to         map[string]float64
	}{
		{"--level", s.Units.Length, o.levels, units.Length, c.Levels},
		{"--speed", s.Units.Speed, o.speeds, units.Speed, c.Speeds},
		{"--opening", "%", o.openings, units.Ratio, c.Openings},
	} {
		for _, text := range given.texts {
			if err := assign(p, s, text, given.dimension, given.unit, given.to); err != nil {
				return nil, fmt.Errorf("%s %q: %w", given.flag, text, err)
			}
		}
	}
	for _, name := range o.offline {
		pump, ok := s.FindPump(name)
		if !ok {
			return nil, fmt.Errorf("--offline %q: no such pump", name)
		}
		c.Offline = append(c.Offline, pump.Name)
	}
	settings := make([]outlook.Setting, len(p.Pumps))
	return settings, prospect.Settings(p, &c, settings)
}

// assign reads "COP 1=17 m" for one pump or "17 m" for all.
func assign(p *outlook.Plant, s *ship.Ship, text string, d units.Dimension, unit string, to map[string]float64) error {
	name, figure, one := cutLast(text, "=")
	k, err := units.ParseKeyed(d, figure, unit)
	if err != nil {
		return err
	}
	if !one {
		for _, pump := range p.Pumps {
			to[pump.Name] = k.SI
		}
		return nil
	}
	pump, ok := s.FindPump(name)
	if !ok {
		return fmt.Errorf("no pump %q on the ship", name)
	}
	to[pump.Name] = k.SI
	return nil
}

// cutLast cuts s at the last sep; without one all of it is what comes after.
func cutLast(s, sep string) (before, after string, found bool) {
	if i := strings.LastIndex(s, sep); i >= 0 {
		return strings.TrimSpace(s[:i]), strings.TrimSpace(s[i+len(sep):]), true
	}
	return "", s, false
}
