package cargo_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"pgregory.net/rapid"

	"example.org/headwatch/internal/cargo"
)

var two = time.Date(2026, 3, 1, 14, 0, 0, 0, time.UTC)

func after(seconds float64) time.Time {
	return two.Add(time.Duration(seconds * float64(time.Second)))
}

// box is a tank of one surface [m²], 20 m deep.
func box(t testing.TB, area float64) *cargo.Table {
	t.Helper()
	table, err := cargo.NewTable([]float64{0, 20}, []float64{0}, [][]float64{{20 * area}, {0}})
	if err != nil {
		t.Fatal(err)
	}
	return table
}

// fourTanks is the worked example: four tanks of 800 m² that fall 2.6 m in an
// hour, each read two minutes after the one before, to ±3 mm.
func fourTanks(t testing.TB, half float64) []cargo.Span {
	var spans []cargo.Span
	for i, name := range []string{"1C", "2C", "3C", "4C"} {
		late := 120 * float64(i)
		spans = append(spans, cargo.Span{Tank: name, Table: box(t, 800),
			First:  cargo.Ullage{At: after(late), Value: 3, Half: half},
			Second: cargo.Ullage{At: after(late + 3600), Value: 5.6, Half: half}})
	}
	return spans
}

func TestTotalRate(t *testing.T) {
	const q = 4 * 800 * 2.6 / 3600 // 8,320 m³/h
	tests := []struct {
		name     string
		ullage   float64 // half width, m
		clock    float64 // half width, s
		relative float64 // u / Q
		source   string
	}{
		{"exact", 0, 0, 0, "nothing to be wrong by"},
		{"ullages ±3 mm", 0.003, 0, 0.003 / math.Sqrt(3) * math.Sqrt(8) * 800 / 8320, "√8 readings of 800 m² · 3 mm/√3 over 8,320 m³"},
		{"times ±10 s", 0, 10, 10 / math.Sqrt(3) * math.Sqrt2 / 3600 / 2, "√2 times of 10 s/√3 over 3,600 s, four tanks alike: half of it"},
		{"both", 0.003, 10, math.Hypot(0.003/math.Sqrt(3)*math.Sqrt(8)*800/8320, 10/math.Sqrt(3)*math.Sqrt2/3600/2), "root of the sum of squares"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r, err := cargo.TotalRate(fourTanks(t, tt.ullage), tt.clock)
			if err != nil || math.Abs(r.Flow-q) > 1e-12 || math.Abs(r.U-tt.relative*q) > 1e-12 {
				t.Errorf("%+v, %v, want %g and u %g (%s)", r, err, q, tt.relative*q, tt.source)
			}
			if !r.From.Equal(after(360)) || !r.To.Equal(after(3600)) {
				t.Errorf("from %v to %v, want 14:06 to 15:00: the last read first, the first read second", r.From, r.To)
			}
			if got := r.Volume(); math.Abs(got-q*3240) > 1e-9 {
				t.Errorf("%g m3 in 54 min, want %g", got, q*3240)
			}
		})
	}
}

func TestRateRefuses(t *testing.T) {
	tests := []struct {
		name     string
		change   func(spans []cargo.Span) []cargo.Span
		clock    float64
		want     error
		mentions []string
	}{
		{"no tanks", func([]cargo.Span) []cargo.Span { return nil }, 0, cargo.ErrInput, []string{"no tanks"}},
		{"no time between", func(s []cargo.Span) []cargo.Span { s[1].Second.At = s[1].First.At; return s }, 0, cargo.ErrInput, []string{"2C", "later time"}},
		{"off the table", func(s []cargo.Span) []cargo.Span { s[2].Second.Value = 21; return s }, 0, cargo.ErrOutside, []string{"3C", "ullage 21 m"}},
		{"a trim it lacks", func(s []cargo.Span) []cargo.Span { s[0].First.Trim = 1; return s }, 0, cargo.ErrOutside, []string{"1C", "trim 1 m"}},
		{"two at once", func(s []cargo.Span) []cargo.Span { s[0].First.Value, s[3].First.Value = -1, -2; return s }, 0, cargo.ErrOutside, []string{"1C", "4C"}},
		{"no common time", func(s []cargo.Span) []cargo.Span {
			s[3].First.At, s[3].Second.At = after(3600), after(7200)
			return s
		}, 0, cargo.ErrInput, []string{"common"}},
		{"clock", func(s []cargo.Span) []cargo.Span { return s }, math.NaN(), cargo.ErrInput, []string{"half widths"}},
		{"half width", func(s []cargo.Span) []cargo.Span { s[0].First.Half = -1; return s }, 0, cargo.ErrInput, []string{"1C", "0 or more"}},
		{"ullage", func(s []cargo.Span) []cargo.Span { s[0].First.Value = math.NaN(); return s }, 0, cargo.ErrInput, []string{"1C"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r, err := cargo.TotalRate(tt.change(fourTanks(t, 0)), tt.clock)
			if !errors.Is(err, tt.want) || !mentions(err, tt.mentions...) || r != (cargo.Rate{}) {
				t.Errorf("%+v, %v, want %v with %q", r, err, tt.want, tt.mentions)
			}
		})
	}
}

// u is what really happens when readings and times are drawn from their half
// widths: within 3 % of the standard deviation of 20,000 draws.
func TestRateUncertaintyAgainstDraws(t *testing.T) {
	const half, clock, draws = 0.005, 15, 20000
	table, err := cargo.NewTable([]float64{0, 4, 9, 20}, []float64{0}, [][]float64{{20000}, {17100}, {12300}, {0}})
	if err != nil {
		t.Fatal(err)
	}
	span := cargo.Span{Table: table, First: cargo.Ullage{At: two, Value: 3.1, Half: half}, Second: cargo.Ullage{At: after(3480), Value: 5.9, Half: half}}
	nominal, err := span.Rate(clock)
	if err != nil {
		t.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(7, 11))
	off := func(half float64) float64 { return (2*rng.Float64() - 1) * half }
	sum, squares := 0.0, 0.0
	for range draws {
		s := span
		s.First.Value += off(half)
		s.Second.Value += off(half)
		s.First.At, s.Second.At = after(off(clock)), after(3480+off(clock))
		r, err := s.Rate(0)
		if err != nil {
			t.Fatal(err)
		}
		sum += r.Flow
		squares += r.Flow * r.Flow
	}
	mean := sum / draws
	if sd := math.Sqrt(squares/draws - mean*mean); math.Abs(sd-nominal.U) > 0.03*sd {
		t.Errorf("u %g, the draws spread by %g", nominal.U, sd)
	}
}

// The order of tanks does not matter, and a tank that stands still adds only
// its uncertainty.
func TestTotalRateProperties(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		spans := fourTanks(t, 0.005)
		for i := range spans {
			spans[i].Second.Value = rapid.Float64Range(3, 19).Draw(rt, "ullage")
		}
		r, err := cargo.TotalRate(spans, 10)
		back, errBack := cargo.TotalRate([]cargo.Span{spans[3], spans[1], spans[0], spans[2]}, 10)
		idle := spans[0]
		idle.Second.Value = idle.First.Value
		more, errMore := cargo.TotalRate(append(spans, idle), 10)
		if errors.Join(err, errBack, errMore) != nil {
			rt.Fatal(err, errBack, errMore)
		}
		if math.Abs(r.Flow-back.Flow) > 1e-12 || math.Abs(r.U-back.U) > 1e-12 || r.From != back.From || r.To != back.To {
			rt.Fatalf("%+v in another order is %+v", r, back)
		}
		if more.Flow != r.Flow || !(more.U > r.U) {
			rt.Fatalf("%+v with an idle tank is %+v", r, more)
		}
	})
}

func TestCorrection(t *testing.T) {
	c, err := cargo.NewCorrection(cargo.List, []float64{1, 3}, []float64{-0.02, 0, 0.02}, [][]float64{{0.3, 0, -0.3}, {0.2, 0, -0.2}})
	if err != nil {
		t.Fatal(err)
	}
	tests := []struct {
		ullage, list, want float64
		err                error
		mentions           []string
	}{
		{1, 0.02, -0.3, nil, nil},
		{3, -0.02, 0.2, nil, nil},
		{2, 0.01, -0.125, nil, nil}, // half of −0.3 and half of −0.2, their mean
		{2, math.Nextafter(0.02, 1), 0, cargo.ErrOutside, []string{"list", "rad", "-0.02 to 0.02"}},
		{math.Nextafter(3, 4), 0, 0, cargo.ErrOutside, []string{"ullage"}},
		{2, math.NaN(), 0, cargo.ErrInput, nil},
	}
	for _, tt := range tests {
		got, err := c.At(tt.ullage, tt.list)
		if !errors.Is(err, tt.err) || math.IsNaN(got) != (tt.err != nil) || tt.err == nil && math.Abs(got-tt.want) > 1e-15 || !mentions(err, tt.mentions...) {
			t.Errorf("At(%g, %g) = %g, %v, want %g, %v with %q", tt.ullage, tt.list, got, err, tt.want, tt.err, tt.mentions)
		}
	}
}

func TestNewCorrectionRefuses(t *testing.T) {
	tests := []struct {
		name           string
		ullages, leans []float64
		add            [][]float64
		mentions       []string
	}{
		{"nothing", nil, nil, nil, []string{"trim correction", "at least one"}},
		{"no columns", []float64{1}, nil, [][]float64{{}}, []string{"0 columns"}},
		{"rows and ullages", []float64{1, 2}, []float64{0}, [][]float64{{0}}, []string{"2 ullages, 1 rows"}},
		{"ragged", []float64{1, 2}, []float64{0, 1}, [][]float64{{0, 1}, {0}}, []string{"row 2 has 1 corrections for 2"}},
		{"all else at once", []float64{2, 1}, []float64{1, 0}, [][]float64{{0, math.NaN()}, {0, 0}}, []string{"ullage 1", "trim 0", "column 2: correction NaN"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if c, err := cargo.NewCorrection(cargo.Trim, tt.ullages, tt.leans, tt.add); c != nil || !mentions(err, tt.mentions...) {
				t.Errorf("%v, %v, want it to say %q", c, err, tt.mentions)
			}
		})
	}
}

func TestTableArea(t *testing.T) {
	tab := tank(t) // 50 m³ a metre over 48 m³ a metre at even keel
	tests := []struct{ ullage, trim, want float64 }{{5, 0, 50}, {0, 0, 50}, {10, 0, 48}, {20, 0, 48}, {5, 2, 49}, {15, 1, 48}}
	for _, tt := range tests {
		if got, err := tab.Area(tt.ullage, tt.trim); err != nil || math.Abs(got-tt.want) > 1e-12 {
			t.Errorf("Area(%g, %g) = %g, %v, want %g", tt.ullage, tt.trim, got, err, tt.want)
		}
	}
	for _, at := range [][2]float64{{-1, 0}, {21, 0}, {5, 3}} {
		if got, err := tab.Area(at[0], at[1]); !math.IsNaN(got) || !errors.Is(err, cargo.ErrOutside) {
			t.Errorf("Area(%g, %g) = %g, %v, want none", at[0], at[1], got, err)
		}
	}
}

func ExampleTotalRate() {
	table, err := cargo.NewTable([]float64{0, 20}, []float64{0}, [][]float64{{16000}, {0}})
	if err != nil {
		fmt.Println(err)
		return
	}
	at := func(hour, minute int) time.Time { return time.Date(2026, 3, 1, hour, minute, 0, 0, time.UTC) }
	r, err := cargo.TotalRate([]cargo.Span{
		{Tank: "3C", Table: table, First: cargo.Ullage{At: at(14, 0), Value: 3, Half: 0.005}, Second: cargo.Ullage{At: at(15, 0), Value: 5.6, Half: 0.005}},
		{Tank: "4C", Table: table, First: cargo.Ullage{At: at(14, 4), Value: 7, Half: 0.005}, Second: cargo.Ullage{At: at(15, 2), Value: 9.5, Half: 0.005}},
	}, 10)
	fmt.Printf("%.0f ± %.0f m3/h from %s to %s %v\n", r.Flow*3600, 2*r.U*3600, r.From.Format("15:04"), r.To.Format("15:04"), err)
	// Output: 4149 ± 16 m3/h from 14:04 to 15:00 <nil>
}

func ExampleSpan_Rate() {
	table, err := cargo.NewTable([]float64{0, 20}, []float64{0}, [][]float64{{16000}, {0}})
	if err != nil {
		fmt.Println(err)
		return
	}
	two := time.Date(2026, 3, 1, 14, 0, 0, 0, time.UTC)
	span := cargo.Span{Tank: "3C", Table: table,
		First:  cargo.Ullage{At: two, Value: 3, Half: 0.005},
		Second: cargo.Ullage{At: two.Add(52 * time.Minute), Value: 5.6, Half: 0.005}}
	r, err := span.Rate(10)
	fmt.Printf("%.0f ± %.0f m3/h %v\n", r.Flow*3600, 2*r.U*3600, err)
	// Output: 2400 ± 15 m3/h <nil>
}

func ExampleTable_Area() {
	table, err := cargo.NewTable([]float64{0, 10, 20}, []float64{0}, [][]float64{{16000}, {8000}, {500}})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(table.Area(12, 0))
	// Output: 750 <nil>
}

func ExampleCorrection_At() {
	trim, err := cargo.NewCorrection(cargo.Trim, []float64{2, 3}, []float64{1, 2}, [][]float64{{-0.025, -0.051}, {-0.027, -0.055}})
	if err != nil {
		fmt.Println(err)
		return
	}
	add, err := trim.At(2.4, 1.5)
	fmt.Printf("%.4f m %v\n", add, err)
	// Output: -0.0392 m <nil>
}
