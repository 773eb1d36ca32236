package batch

import (
	"bytes"
	"encoding/csv"
	"io/fs"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"example.org/headwatch/demo"
	"example.org/headwatch/internal/ship"
)

// shipAndPlan returns the demo's.
func shipAndPlan(t testing.TB) (*ship.Ship, *ship.Plan) {
	t.Helper()
	read := func(name string) []byte {
		data, err := fs.ReadFile(demo.Files(), name)
		if err != nil {
			t.Fatal(err)
		}
		return data
	}
	s, err := ship.LoadShip(ship.ShipFile, read(ship.ShipFile), nil)
	if err != nil {
		t.Fatal(err)
	}
	p, err := ship.LoadPlan(ship.PlanFile, read(ship.PlanFile), s)
	if err != nil {
		t.Fatal(err)
	}
	return s, p
}

// newBatch returns a batch of the demo ship and plan.
func newBatch(t testing.TB, format Format) *Batch {
	t.Helper()
	s, p := shipAndPlan(t)
	b, err := New(Options{Ship: s, Plan: p, Format: format, Say: func(s string) { t.Error("said: " + s) }})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// runText runs a text through b.
func runText(t testing.TB, b *Batch, text string) (string, Tally) {
	t.Helper()
	var out strings.Builder
	tally, err := b.Run(strings.NewReader(text), &out)
	if err != nil {
		t.Fatal(err)
	}
	return out.String(), tally
}

// TestDeliveredExample: testdata/example holds readings of the demo ship and
// their heads and flows, delivered with the file format and computed by another
// program than this one, for a density of 858 kg/m3. The tolerances came with
// them.
func TestDeliveredExample(t *testing.T) {
	const dir = "../../../testdata/example/"
	in, err := os.Open(dir + "readings.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer in.Close()
	s, _ := shipAndPlan(t)
	b, err := New(Options{Ship: s, Density: "858 kg/m3", Format: CSV, Say: func(s string) { t.Error("said: " + s) }})
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if tally, err := b.Run(in, &out); tally != (Tally{Rows: 30}) || err != nil {
		t.Fatal(tally, err)
	}
	got := columnsOf(t, out.String())
	text, err := os.ReadFile(dir + "expected.csv")
	if err != nil {
		t.Fatal(err)
	}
	want := columnsOf(t, string(text))
	for i := range want["pump"] {
		if got["pump"][i] != want["pump"][i] {
			t.Fatalf("row %d is of %q, want %q", i, got["pump"][i], want["pump"][i])
		}
		for name, within := range map[string]float64{"speed_rpm": 0, "head_m": 0.01, "flow_m3h": 0.05} {
			g, w := number(t, got[name][i]), number(t, want[name][i])
			if !(math.Abs(g-w) <= within) {
				t.Errorf("row %d: %s %v, want %v ±%v", i, name, g, w, within)
			}
		}
	}
}

// columnsOf returns the columns of a CSV text by name.
func columnsOf(t testing.TB, text string) map[string][]string {
	t.Helper()
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	byName := map[string][]string{}
	for i, name := range rows[0] {
		for _, row := range rows[1:] {
			byName[name] = append(byName[name], row[i])
		}
	}
	return byName
}

func number(t testing.TB, text string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}
