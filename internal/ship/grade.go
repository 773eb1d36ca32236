package ship

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"example.org/headwatch/internal/ship/form"
)

// grades holds the head tolerance of the pump test acceptance grades in %,
// above and below the printed curve.
//
// Source: ISO 9906:2012, Table 8, from memory.
var grades = map[string]struct{ above, below float64 }{
	"1U": {6, 0},
	"1E": {3, 3},
	"1B": {3, 3},
	"2B": {5, 5},
	"2U": {10, 0},
	"3B": {7, 7},
}

// unknownGrade is taken where the file names none: the widest of the grades
// that allow a pump to be worse than printed (own rule).
const unknownGrade = "3B"

func gradeNames() []string { return slices.Sorted(maps.Keys(grades)) }

// headTolerance returns the half width of a grade, % of head. For the
// one-sided grades (U) it is the whole of the one side, so that the interval
// around the printed curve holds all that the grade allows (own rule).
func headTolerance(grade string) (percent float64, oneSided bool) {
	g := grades[grade]
	return max(g.above, g.below), g.below == 0
}

// gaugeClasses are the accuracy classes of pressure gauges, the error allowed
// in % of the span.
//
// Source: EN 837-1:1996, Table 11.
var gaugeClasses = []float64{0.1, 0.25, 0.6, 1, 1.6, 2.5, 4}

// class returns a gauge's accuracy class, NaN when there is none.
func class(v form.Value) float64 {
	x := v.Number()
	if !absent(x) && !slices.Contains(gaugeClasses, x) {
		v.Fault("want an EN 837-1 class, one of %s", strings.Trim(fmt.Sprint(gaugeClasses), "[]"))
		return math.NaN()
	}
	return x
}
