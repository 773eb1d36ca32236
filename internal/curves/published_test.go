package curves

import (
	"encoding/json"
	"math"
	"os"
	"testing"
)

// scipySet is one data set of pchip.json or pchip-library.json: points, and
// what scipy 1.10.1's PchipInterpolator and brentq make of them.
type scipySet struct {
	ID               string
	X, Y             []float64
	At               []float64
	Value, Slope     []float64
	NodeSlope        []float64                 `json:"node_slope"`
	InverseRightPeak []struct{ X, Y float64 }  `json:"inverse_right_of_peak"`
	Inverse          *struct{ X, Y []float64 } `json:"inverse"`
	InverseLeft      *struct{ X, Y []float64 } `json:"inverse_left"`
}

func readSets(t *testing.T, name string) []scipySet {
	t.Helper()
	raw, err := os.ReadFile("../../testdata/checks/" + name)
	if err != nil {
		t.Fatal(err)
	}
	var file struct{ Sets []scipySet }
	if err := json.Unmarshal(raw, &file); err != nil {
		t.Fatal(err)
	}
	if len(file.Sets) < 9 {
		t.Fatalf("%s: %d sets, want at least 9", name, len(file.Sets))
	}
	return file.Sets
}

// Source: pchip.json and pchip-library.json, run with scipy 1.10.1
// (Fritsch–Butland, doi:10.1137/0905021). Their own tolerances are 1e-10 and
// 1e-11 of the largest value; ours are the tighter of those and 1e-9 relative.
func TestFitAgainstScipy(t *testing.T) {
	for _, file := range []string{"pchip.json", "pchip-library.json"} {
		for _, set := range readSets(t, file) {
			t.Run(file+"/"+set.ID, func(t *testing.T) {
				fit, err := NewFit(set.X, set.Y)
				if err != nil {
					t.Fatal(err)
				}
				for i, x := range set.At {
					y, inside := fit.At(x)
					slope, _ := fit.Slope(x)
					if !inside {
						t.Errorf("At(%g) is outside", x)
					}
					near(t, "value", x, y, set.Value[i], 1e-11*largest(set.Y))
					near(t, "slope", x, slope, set.Slope[i], 1e-9*largest(set.Slope))
				}
				for i, want := range set.NodeSlope {
					slope, _ := fit.Slope(set.X[i])
					near(t, "slope at knot", set.X[i], slope, want, 1e-9*largest(set.NodeSlope))
				}
			})
		}
	}
}

func TestInverseAgainstScipy(t *testing.T) {
	checked := 0
	for _, file := range []string{"pchip.json", "pchip-library.json"} {
		for _, set := range readSets(t, file) {
			right, left := inverses(set)
			if len(right) == 0 || len(set.X) < 3 { // a family wants three points
				continue
			}
			t.Run(file+"/"+set.ID, func(t *testing.T) {
				family, err := NewFamily(Interpolate, []Sheet{{Speed: 1, Q: set.X, H: set.Y}})
				if err != nil {
					t.Fatal(err)
				}
				span := set.X[len(set.X)-1]
				for _, p := range right {
					near(t, "flow", p.Y, solve(family.At(1), 0, p.Y).Flow, p.X, 1e-9*span)
					checked++
				}
				for _, p := range left {
					got := solve(family.At(1), 0, p.Y)
					near(t, "other flow", p.Y, got.Other, p.X, 1e-9*span)
					if got.State != TwoFlows {
						t.Errorf("head %g: state %v, want two-flows", p.Y, got.State)
					}
				}
			})
		}
	}
	if checked < 90 {
		t.Errorf("%d inverses checked, want at least 90", checked)
	}
}

func inverses(set scipySet) (right, left []struct{ X, Y float64 }) {
	right = set.InverseRightPeak
	if set.Inverse != nil {
		for i, x := range set.Inverse.X {
			right = append(right, struct{ X, Y float64 }{x, set.Inverse.Y[i]})
		}
	}
	if set.InverseLeft != nil {
		for i, x := range set.InverseLeft.X {
			left = append(left, struct{ X, Y float64 }{x, set.InverseLeft.Y[i]})
		}
	}
	return right, left
}

func near(t *testing.T, what string, at, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s at %g: got %.12g, want %.12g ± %.2g", what, at, got, want, tol)
	}
}

func largest(v []float64) float64 {
	m := 0.0
	for _, x := range v {
		m = max(m, math.Abs(x))
	}
	return m
}
