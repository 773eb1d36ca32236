package cargo

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
)

// manyFaults is how many mistakes of one file are told; a file with more is
// rather the wrong file.
const manyFaults = 20

// ParseTable reads an ullage table from CSV, comma separated with decimal
// points:
//
//	ullage_m,trim_0_m,trim_1_m
//	0.00,16170.0,16136.4
//	0.25,15960.0,15926.4
//
// The header gives the trims [m, by the stern positive], the first column the
// ullages [m], the rest volumes [m³]; the rules are those of NewTable. A byte
// order mark, CRLF, empty lines and lines that begin with # are allowed. All
// mistakes come back at once as joined *PosError, top to bottom; name is the
// file they name.
func ParseTable(name string, data []byte) (*Table, error) {
	p := tableParser{name: name, csv: csv.NewReader(bytes.NewReader(bytes.TrimPrefix(data, []byte("\ufeff"))))}
	p.csv.FieldsPerRecord = -1 // counted here, for a message that says where
	p.csv.Comment = '#'
	if p.header() {
		p.rows()
		p.faults()
	}
	if p.errs != nil {
		return nil, p.mistakes()
	}
	return &p.table, nil
}

// tableParser reads what it can into table, NaN where a cell is no number, and
// remembers the place of every cell.
type tableParser struct {
	name  string
	csv   *csv.Reader
	table Table
	cells [][]cell // row 0 is the header
	errs  []*PosError
}

// cell is the place of a field, and whether its mistake is told already.
type cell struct {
	line, column int
	told         bool
}

// faults tells what is wrong with the figures that could be read.
func (p *tableParser) faults() {
	for _, f := range p.table.faults() {
		if at := p.at(f.row, f.column); !at.told {
			p.fail(at.line, at.column, f.err)
		}
	}
}

// mistakes joins the first of all mistakes in the order of the file.
func (p *tableParser) mistakes() error {
	slices.SortStableFunc(p.errs, func(a, b *PosError) int {
		return cmp.Or(a.Line-b.Line, a.Column-b.Column)
	})
	var all []error
	for _, e := range p.errs[:min(len(p.errs), manyFaults)] {
		all = append(all, e)
	}
	if n := len(p.errs) - manyFaults; n > 0 {
		all = append(all, fmt.Errorf("%s: and %d more", p.name, n))
	}
	return errors.Join(all...)
}

// at returns the cell of a fault, which may lie in a table too small to have it.
func (p *tableParser) at(row, column int) cell {
	if row < len(p.cells) && column < len(p.cells[row]) {
		return p.cells[row][column]
	}
	return cell{line: 1, column: 1}
}

func (p *tableParser) fail(line, column int, err error) {
	p.errs = append(p.errs, &PosError{File: p.name, Line: line, Column: column, Err: err})
}

// read returns the next line's fields and their places; no fields at the end
// of the file or where it is no CSV.
func (p *tableParser) read() ([]string, []cell) {
	fields, err := p.csv.Read()
	if err != nil {
		var syntax *csv.ParseError
		if errors.As(err, &syntax) {
			p.fail(syntax.Line, syntax.Column, syntax.Err)
		} else if err != io.EOF {
			p.fail(1, 1, err)
		}
		return nil, nil
	}
	cells := make([]cell, len(fields))
	for i := range fields {
		cells[i].line, cells[i].column = p.csv.FieldPos(i)
	}
	return fields, cells
}

// header reads the line of trims and says whether rows can follow it.
func (p *tableParser) header() bool {
	fields, cells := p.read()
	if fields == nil {
		if p.errs == nil {
			p.fail(1, 1, errors.New("no header: want ullage_m, trim_0_m and so on"))
		}
		return false
	}
	if got := strings.TrimSpace(fields[0]); got != "ullage_m" {
		hint := ""
		if strings.ContainsAny(got, ";\t") {
			hint = ", separated by commas"
		}
		p.fail(cells[0].line, cells[0].column, fmt.Errorf("header %.40q: want ullage_m first, then trim_0_m and so on%s", got, hint))
		return false
	}
	for j, s := range fields[1:] {
		trim, err := number(strings.TrimSuffix(strings.TrimPrefix(strings.TrimSpace(s), "trim_"), "_m"))
		if err != nil {
			cells[j+1].told = true
			p.fail(cells[j+1].line, cells[j+1].column, fmt.Errorf("header %.40q: want a trim in metres such as trim_0_m or trim_1.5_m", s))
		}
		p.table.trims = append(p.table.trims, trim)
	}
	p.cells = append(p.cells, cells)
	return true
}

// rows reads all lines of an ullage and its volumes.
func (p *tableParser) rows() {
	for {
		fields, cells := p.read()
		if fields == nil {
			return
		}
		if want := len(p.cells[0]); len(fields) != want {
			p.fail(cells[0].line, cells[0].column, fmt.Errorf("%d fields: want %d as in the header, with decimal points", len(fields), want))
			continue
		}
		row := make([]float64, len(fields))
		for j, s := range fields {
			var err error
			if row[j], err = number(s); err != nil {
				cells[j].told = true
				p.fail(cells[j].line, cells[j].column, err)
			}
		}
		p.table.ullages = append(p.table.ullages, row[0])
		p.table.volumes = append(p.table.volumes, row[1:])
		p.cells = append(p.cells, cells)
	}
}

// number reads a finite decimal number; NaN and an error when s is none.
func number(s string) (float64, error) {
	v, err := strconv.ParseFloat(strings.TrimSpace(s), 64)
	if err != nil || !finite(v) || strings.ContainsAny(s, "xX") {
		return math.NaN(), fmt.Errorf("%.40q: want a number", s)
	}
	return v, nil
}
