package curves

import (
	"fmt"
	"math"
	"testing"
)

// straightPower is a pump whose power over ρ g rises in a straight line from w
// at no flow, so that its efficiency is known at every flow: η = Q H / (w + b Q).
func straightPower(points int, w float64) Sheet {
	const h0, a, b, end = 150.0, 53.0, 80.0, 0.83
	s := Sheet{Speed: 1480}
	for i := range points {
		q := end * float64(i) / float64(points-1)
		h := h0 - a*q*q
		s.Q, s.H, s.Efficiency = append(s.Q, q), append(s.H, h), append(s.Efficiency, q*h/(w+b*q))
	}
	return s
}

func TestShutOffWork(t *testing.T) {
	const w = 50.0 // m⁴/s
	tests := []struct {
		name   string
		sheet  Sheet
		speed  float64
		want   float64
		rel    float64
		ok     bool
		source string
	}{
		{"finely printed", straightPower(401, w), 1480, w, 1e-4, true, "η = Q H/(w + b Q), so Q H/η → w"},
		{"13 points, as makers print", straightPower(13, w), 1480, w, 0.02, true, "same; the end slope of the fit is 1.6 % flat here"},
		{"7 points", straightPower(7, w), 1480, w, 0.06, true, "same; 5 % here"},
		{"half speed", straightPower(401, w), 740, w / 8, 1e-4, true, "similarity: power goes with N³"},
		{"no efficiency", Sheet{Speed: 1, Q: []float64{0, 1, 2}, H: []float64{3, 2, 1}}, 1, math.NaN(), 0, false, "own rule"},
		{"not from 0", Sheet{Speed: 1, Q: []float64{0, 1, 2}, H: []float64{3, 2, 1}, Efficiency: []float64{.1, .5, .6}}, 1, math.NaN(), 0, false, "own rule"},
		{"does not rise", Sheet{Speed: 1, Q: []float64{0, 1, 2}, H: []float64{3, 2, 1}, Efficiency: []float64{0, 0, .6}}, 1, math.NaN(), 0, false, "own rule"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, ok := mustFamily(t, Interpolate, tt.sheet).At(tt.speed).ShutOffWork()
			if ok != tt.ok || math.IsNaN(got) == tt.ok || tt.ok && !(math.Abs(got-tt.want) <= tt.rel*tt.want) {
				t.Errorf("%.5g, %v, want %.5g, %v (%s)", got, ok, tt.want, tt.ok, tt.source)
			}
		})
	}
}

// Sheets gives back what the family was made of, and nobody can change it.
func TestSheets(t *testing.T) {
	given := threeSpeeds()
	f := mustFamily(t, Interpolate, given[2], given[0], given[1])
	for i, s := range f.Sheets() {
		if fmt.Sprint(s) != fmt.Sprint(given[i]) {
			t.Errorf("sheet %d is %v, want %v", i, s, given[i])
		}
		s.Q[0], s.H[0], s.Efficiency[0], s.NPSHr[0] = 9, 9, 9, 9
	}
	if fmt.Sprint(f.Sheets()) != fmt.Sprint(given) {
		t.Errorf("a change of the copy reached the family: %v", f.Sheets())
	}
}

func ExampleLine_ShutOffWork() {
	f, err := NewFamily(Affinity, []Sheet{{Speed: 1480,
		Q: []float64{0, .2, .4, .6}, H: []float64{150, 146, 134, 113}, Efficiency: []float64{0, .6, .8, .75}}})
	if err != nil {
		fmt.Println(err)
		return
	}
	w, ok := f.At(1480).ShutOffWork()
	fmt.Printf("%.1f m4/s %v: %.0f kW on 858 kg/m3\n", w, ok, 858*9.80665*w/1e3)
	// Output: 37.5 m4/s true: 316 kW on 858 kg/m3
}
