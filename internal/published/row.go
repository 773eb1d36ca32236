package published

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"testing"
)

// Row is one published value: what goes in, what comes out, how near, and
// where it was printed.
type Row struct {
	ID, Family, Quantity string
	Source, Note         string

	Inputs, Expect map[string]any
	Tolerance      struct{ Abs, Rel float64 }

	T        testing.TB // the test of this row alone
	compared map[string]bool
	left     func(key string) bool // an expected figure that is left out; nil for none
}

// In returns the input called name, a key less its unit, in SI. Without one the
// test ends.
func (r *Row) In(name string) float64 {
	r.T.Helper()
	v, ok := r.input(name).(float64)
	if !ok {
		r.T.Fatalf("no number %q among the inputs %v", name, r.Inputs)
	}
	return si(v, r.unit(name))
}

// Or is In, or otherwise where there is no such input.
func (r *Row) Or(name string, otherwise float64) float64 {
	r.T.Helper()
	if r.input(name) == nil {
		return otherwise
	}
	return r.In(name)
}

// List returns the list of numbers called name, in SI.
func (r *Row) List(name string) []float64 {
	r.T.Helper()
	return r.numbers(name, r.input(name))
}

// Lists returns the list of lists of numbers called name, in SI.
func (r *Row) Lists(name string) [][]float64 {
	r.T.Helper()
	rows, ok := r.input(name).([]any)
	if !ok {
		r.T.Fatalf("no list %q among the inputs %v", name, r.Inputs)
	}
	var out [][]float64
	for _, row := range rows {
		out = append(out, r.numbers(name, row))
	}
	return out
}

func (r *Row) numbers(name string, list any) []float64 {
	r.T.Helper()
	values, ok := list.([]any)
	if !ok {
		r.T.Fatalf("no list %q among the inputs %v", name, r.Inputs)
	}
	var out []float64
	for _, v := range values {
		out = append(out, si(v.(float64), r.unit(name)))
	}
	return out
}

// Text returns the input called name where it is a word, else "".
func (r *Row) Text(name string) string {
	s, _ := r.input(name).(string)
	return s
}

// Flag returns the input called name where it is true or false, else false.
func (r *Row) Flag(name string) bool {
	b, _ := r.input(name).(bool)
	return b
}

func (r *Row) input(name string) any {
	for key, v := range r.Inputs {
		if names(key, name) {
			return v
		}
	}
	return nil
}

func (r *Row) unit(name string) string {
	for key := range r.Inputs {
		if names(key, name) {
			_, unit := split(key)
			return unit
		}
	}
	return ""
}

// Want compares a result in SI with each figure expected under name; a row may
// expect it in two units, or not at all.
func (r *Row) Want(name string, got float64) {
	r.T.Helper()
	for key, v := range r.Expect {
		want, number := v.(float64)
		if !number || !names(key, name) || r.left != nil && r.left(key) {
			continue
		}
		r.compared[key] = true
		_, unit := split(key)
		got := from(got, unit)
		if limit := max(r.Tolerance.Abs, r.Tolerance.Rel*math.Abs(want)); !(math.Abs(got-want) <= limit) {
			r.T.Errorf("%s is %.12g, want %.12g ± %.2g\nsource: %s; %s", key, got, want, limit, r.Source, r.Note)
		}
	}
}

// Check recomputes every row of a family by the formula of its quantity, a test
// each. A row, an expected figure or a quantity that is not compared must be in
// left with the reason, under its id, "id key" or quantity; and what is in left
// must be there to leave.
func Check(t *testing.T, family string, formulas map[string]func(*Row), left map[string]string) {
	t.Helper()
	unused := map[string]bool{}
	for what := range left {
		unused[what] = true
	}
	leave := func(what string) bool {
		delete(unused, what)
		return left[what] != ""
	}
	found := 0
	for _, r := range rows(t, family) {
		found++
		if leave(r.ID) || leave(r.Quantity) {
			continue
		}
		t.Run(r.ID, func(t *testing.T) {
			formula := formulas[r.Quantity]
			if formula == nil {
				t.Fatalf("no formula for %s, and no reason to leave it", r.Quantity)
			}
			r.T = t
			r.left = func(key string) bool { return leave(r.ID + " " + key) }
			formula(&r)
			for key := range r.Expect {
				if !r.compared[key] && !r.left(key) {
					t.Errorf("%s is not compared", key)
				}
			}
		})
	}
	if found == 0 {
		t.Errorf("no row of family %s", family)
	}
	for what := range unused {
		t.Errorf("%q is left out, but there is no such thing", what)
	}
}

// rows returns the rows of a family in the order of the files.
func rows(t testing.TB, family string) []Row {
	t.Helper()
	var out []Row
	for _, name := range []string{"checks.json", "handbook.json"} {
		var all []Row
		Read(t, name, &all)
		for _, r := range all {
			if r.Family == family {
				r.compared = map[string]bool{}
				out = append(out, r)
			}
		}
	}
	return out
}

// Read decodes a file of testdata/checks.
func Read(t testing.TB, name string, into any) {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(root(t), "testdata", "checks", name))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(data, into); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
}

// root returns the folder of go.mod, some way up from a test's own.
func root(t testing.TB) string {
	t.Helper()
	dir, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			return dir
		}
		up := filepath.Dir(dir)
		if up == dir {
			t.Fatal("no go.mod above the test's folder")
		}
		dir = up
	}
}
