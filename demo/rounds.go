package demo

import (
	"bytes"
	_ "embed"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
)

//go:embed rounds.csv
var rounds []byte

// Kind says what a row of the rounds holds.
type Kind string

// The kinds of rows.
const (
	Pump     Kind = "pump"     // speed, suction and discharge of one pump
	Manifold Kind = "manifold" // pressure at one manifold
	Tank     Kind = "tank"     // ullage of one tank
	Note     Kind = "note"     // words
)

// Row is one line of the rounds. Figures are texts as an officer would key
// them, because their digits say how well they were read; a figure that the
// kind does not have is empty.
type Row struct {
	Minute    int // since the start of the discharge
	Kind      Kind
	Name      string // of the pump, manifold or tank
	Speed     string // rpm
	Suction   string // bar, gauge
	Discharge string // bar, gauge
	Manifold  string // bar, gauge
	Ullage    string // m
	Note      string
}

const header = "minute,kind,name,speed_rpm,suction_bar,discharge_bar,manifold_bar,ullage_m,note"

// filled lists the columns from name on that a kind fills; the others are empty.
var filled = map[Kind][]string{
	Pump:     {"name", "speed_rpm", "suction_bar", "discharge_bar"},
	Manifold: {"name", "manifold_bar"},
	Tank:     {"name", "ullage_m"},
	Note:     {"note"},
}

// Rounds returns the readings and notes of the demo's first eight hours, in
// the order of time.
func Rounds() ([]Row, error) { return parseRounds(rounds) }

func parseRounds(data []byte) ([]Row, error) {
	r := csv.NewReader(bytes.NewReader(data))
	names := strings.Split(header, ",")
	if first, err := r.Read(); err != nil || !slices.Equal(first, names) {
		return nil, fmt.Errorf("rounds.csv: header: want %s", header)
	}
	var rows []Row
	for {
		fields, err := r.Read()
		if err == io.EOF {
			return rows, nil
		}
		if err != nil {
			return nil, fmt.Errorf("rounds.csv: %w", err)
		}
		row, err := parseRow(names, fields)
		if err == nil && len(rows) > 0 && row.Minute < rows[len(rows)-1].Minute {
			err = fmt.Errorf("minute %d after %d: want the order of time", row.Minute, rows[len(rows)-1].Minute)
		}
		if err != nil {
			line, _ := r.FieldPos(0)
			return nil, fmt.Errorf("rounds.csv:%d: %w", line, err)
		}
		rows = append(rows, row)
	}
}

func parseRow(names, fields []string) (Row, error) {
	minute, err := strconv.Atoi(fields[0])
	if err != nil || minute < 0 {
		return Row{}, fmt.Errorf("minute %q: want a whole number, not negative", fields[0])
	}
	row := Row{
		Minute: minute, Kind: Kind(fields[1]), Name: fields[2],
		Speed: fields[3], Suction: fields[4], Discharge: fields[5],
		Manifold: fields[6], Ullage: fields[7], Note: fields[8],
	}
	wanted, ok := filled[row.Kind]
	if !ok {
		return Row{}, fmt.Errorf("kind %q: want pump, manifold, tank or note", fields[1])
	}
	for i := 2; i < len(fields); i++ {
		switch {
		case slices.Contains(wanted, names[i]) != (fields[i] != ""):
			return Row{}, fmt.Errorf("%s %q: a row of kind %s fills %s", names[i], fields[i], row.Kind, strings.Join(wanted, ", "))
		case fields[i] != "" && names[i] != "name" && names[i] != "note":
			if err := checkNumber(fields[i]); err != nil {
				return Row{}, fmt.Errorf("%s %q: %w", names[i], fields[i], err)
			}
		}
	}
	return row, nil
}

func checkNumber(s string) error {
	if v, err := strconv.ParseFloat(s, 64); err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return errors.New("want a number")
	}
	return nil
}
