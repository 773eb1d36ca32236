package form

import (
	"cmp"
	"fmt"
	"slices"

	"gopkg.in/yaml.v3"
)

// PosError is a fault at a place of a file that people edit.
type PosError struct {
	File   string
	Line   int // from 1; 0 when the fault is of the whole file
	Column int // in characters, from 1; 0 when only the line is known
	Err    error
}

func (e *PosError) Error() string {
	switch {
	case e.Line == 0:
		return fmt.Sprintf("%s: %v", e.File, e.Err)
	case e.Column == 0:
		return fmt.Sprintf("%s:%d: %v", e.File, e.Line, e.Err)
	}
	return fmt.Sprintf("%s:%d:%d: %v", e.File, e.Line, e.Column, e.Err)
}

// Unwrap returns the fault without its place.
func (e *PosError) Unwrap() error { return e.Err }

// faults collects what is wrong with one file.
type faults struct {
	file string
	list []error // each a *PosError
}

// add records a fault at a place.
func (f *faults) add(line, column int, format string, args ...any) {
	f.list = append(f.list, &PosError{File: f.file, Line: line, Column: column, Err: fmt.Errorf(format, args...)})
}

// at records a fault at a node.
func (f *faults) at(n *yaml.Node, format string, args ...any) {
	f.add(n.Line, n.Column, format, args...)
}

// manyFaults is how many faults of one file are told; a file with more is
// rather the wrong file.
const manyFaults = 100

// sorted returns the faults in the order of the file.
func (f *faults) sorted() []error {
	slices.SortStableFunc(f.list, func(a, b error) int {
		p, q := a.(*PosError), b.(*PosError)
		return cmp.Or(cmp.Compare(p.Line, q.Line), cmp.Compare(p.Column, q.Column))
	})
	if more := len(f.list) - manyFaults; more > 0 {
		f.list = f.list[:manyFaults]
		f.add(0, 0, "and %d more", more)
	}
	return f.list
}

// Each returns the errors that err joins, or err alone.
func Each(err error) []error {
	if joined, ok := err.(interface{ Unwrap() []error }); ok {
		var all []error
		for _, e := range joined.Unwrap() {
			all = append(all, Each(e)...)
		}
		return all
	}
	return []error{err}
}
