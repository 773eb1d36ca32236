package cargo_test

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// check is one published value: inputs, what is expected, how near, and where
// it was printed.
type check struct {
	ID, Quantity string
	Inputs       map[string]any
	Expect       map[string]any
	Tolerance    struct{ Abs, Rel float64 }
	Source, Note string
}

// in returns a number of the inputs.
func (c check) in(t *testing.T, key string) float64 {
	t.Helper()
	v, ok := c.Inputs[key].(float64)
	if !ok {
		t.Fatalf("%s: no number %q among its inputs", c.ID, key)
	}
	return v
}

// expected returns a number that the check expects.
func (c check) expected(t *testing.T, key string) float64 {
	t.Helper()
	v, ok := c.Expect[key].(float64)
	if !ok {
		t.Fatalf("%s: expects no number %q", c.ID, key)
	}
	return v
}

// list returns a list of numbers of the inputs.
func (c check) list(key string) []float64 {
	var vs []float64
	for _, v := range c.Inputs[key].([]any) {
		vs = append(vs, v.(float64))
	}
	return vs
}

// near compares a result with what the check expects under key.
func (c check) near(t *testing.T, key string, got float64) {
	t.Helper()
	want := c.expected(t, key)
	if limit := max(c.Tolerance.Abs, c.Tolerance.Rel*math.Abs(want)); !(math.Abs(got-want) <= limit) {
		t.Errorf("%s: %s is %.12g, want %.12g ± %.2g\nsource: %s; %s", c.ID, key, got, want, limit, c.Source, c.Note)
	}
}

// load reads one of the files of published checks.
func load(t *testing.T, name string, into any) {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("..", "..", "testdata", "checks", name))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(data, into); err != nil {
		t.Fatal(err)
	}
}

// checks returns the rows of one quantity from checks.json and handbook.json,
// and fails when there are fewer than expected.
func checks(t *testing.T, quantity string, atLeast int) []check {
	t.Helper()
	var rows []check
	for _, name := range []string{"checks.json", "handbook.json"} {
		var all []check
		load(t, name, &all)
		for _, c := range all {
			if c.Quantity == quantity {
				rows = append(rows, c)
			}
		}
	}
	if len(rows) < atLeast {
		t.Fatalf("%d checks of %s, want at least %d", len(rows), quantity, atLeast)
	}
	return rows
}

// mentions says whether err is told in words that hold all of words.
func mentions(err error, words ...string) bool {
	for _, w := range words {
		if err == nil || !strings.Contains(err.Error(), w) {
			return false
		}
	}
	return true
}
