package ship

import (
	"errors"
	"io/fs"

	"example.org/headwatch/internal/ship/form"
)

// PosError is a fault at a place of a file that people edit.
type PosError = form.PosError

// The files of a discharge, in one folder.
const (
	ShipFile = "ship.yaml"
	PlanFile = "plan.yaml"
)

// Discharge is one folder: a ship, the plan of one discharge, and the raw
// bytes of every file read, by its path, for the log to keep as its basis.
type Discharge struct {
	Ship  *Ship
	Plan  *Plan
	Files map[string][]byte
}

// Load reads ship.yaml, plan.yaml and the tank tables of a folder. The error
// joins a *PosError for every fault of every file. While the ship file is
// faulty, the names in the plan are not held against it.
func Load(fsys fs.FS) (*Discharge, error) {
	d := &Discharge{Files: map[string][]byte{}}
	read := func(path string) ([]byte, error) {
		data, err := form.ReadFile(fsys, path)
		if err == nil {
			d.Files[path] = data
		}
		return data, err
	}
	var errs []error
	load := func(name string, parse func(data []byte) error) {
		data, err := read(name)
		if err != nil {
			err = &PosError{File: name, Err: err}
		} else {
			err = parse(data)
		}
		if err != nil {
			errs = append(errs, form.Each(err)...)
		}
	}
	load(ShipFile, func(data []byte) (err error) {
		d.Ship, err = loadShip(ShipFile, data, read)
		return err
	})
	load(PlanFile, func(data []byte) (err error) {
		d.Plan, err = LoadPlan(PlanFile, data, d.Ship)
		return err
	})
	if errs != nil {
		return nil, errors.Join(errs...)
	}
	return d, nil
}
