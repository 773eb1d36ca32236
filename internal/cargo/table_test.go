package cargo_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"example.org/headwatch/internal/cargo"
	"example.org/headwatch/internal/published"
)

// fit.json: scipy 1.10.1 RegularGridInterpolator over an invented table.
func TestTableVolumeChecks(t *testing.T) {
	var doc struct {
		Tolerance map[string]float64
		Table     struct {
			Ullages []float64   `json:"ullage_m"`
			Trims   []float64   `json:"trim_m"`
			Volumes [][]float64 `json:"volume_m3"`
			Cases   []struct {
				ID     string
				Ullage float64  `json:"ullage_m"`
				Trim   float64  `json:"trim_m"`
				Volume *float64 `json:"volume_m3"`
			}
		} `json:"ullage_table"`
	}
	published.Read(t, "fit.json", &doc)
	tol, ok := doc.Tolerance["volume_abs_m3"]
	if !ok || len(doc.Table.Cases) != 8 {
		t.Fatalf("tolerances %v, %d cases", doc.Tolerance, len(doc.Table.Cases))
	}
	tab, err := cargo.NewTable(doc.Table.Ullages, doc.Table.Trims, doc.Table.Volumes)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range doc.Table.Cases {
		got, err := tab.Volume(c.Ullage, c.Trim)
		switch {
		case c.Volume == nil:
			if !math.IsNaN(got) || !errors.Is(err, cargo.ErrOutside) {
				t.Errorf("%s: %g, %v, want no value", c.ID, got, err)
			}
		case err != nil || !(math.Abs(got-*c.Volume) <= tol):
			t.Errorf("%s: %.9f, %v, want %.9f", c.ID, got, err, *c.Volume)
		}
	}
}

func TestNewTableRefuses(t *testing.T) {
	nan := math.NaN()
	tests := []struct {
		name           string
		ullages, trims []float64
		volumes        [][]float64
		mentions       []string
	}{
		{"nothing", nil, nil, nil, []string{"no trims", "0 ullages"}},
		{"one ullage", []float64{1}, []float64{0}, [][]float64{{5}}, []string{"at least two"}},
		{"no trims", []float64{1, 2}, nil, [][]float64{{}, {}}, []string{"no trims"}},
		{"rows and ullages", []float64{1, 2}, []float64{0}, [][]float64{{5}}, []string{"2 ullages but 1 rows"}},
		{"ragged", []float64{1, 2}, []float64{0}, [][]float64{{5}, {4, 3}}, []string{"row 2 has 2 volumes for 1 trims"}},
		{"ullages fall", []float64{2, 1}, []float64{0}, [][]float64{{5}, {4}}, []string{"row 2, column 0", "ullage 1 m after 2 m"}},
		{"ullages equal", []float64{1, 1}, []float64{0}, [][]float64{{5}, {4}}, []string{"rising ullages"}},
		{"ullage negative", []float64{-1, 1}, []float64{0}, [][]float64{{5}, {4}}, []string{"ullage -1"}},
		{"trims equal", []float64{1, 2}, []float64{0, 0}, [][]float64{{5, 5}, {4, 4}}, []string{"row 0, column 2", "rising trims"}},
		{"volume rises", []float64{1, 2}, []float64{0, 1}, [][]float64{{5, 5}, {4, 6}}, []string{"row 2, column 2", "less volume at more ullage"}},
		{"volume equal", []float64{1, 2}, []float64{0}, [][]float64{{5}, {5}}, []string{"less volume"}},
		{"volume negative", []float64{1, 2}, []float64{0}, [][]float64{{5}, {-1}}, []string{"volume -1"}},
		{"not numbers", []float64{nan, 2}, []float64{math.Inf(1)}, [][]float64{{nan}, {4}}, []string{"ullage NaN", "trim +Inf", "volume NaN"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			tab, err := cargo.NewTable(tt.ullages, tt.trims, tt.volumes)
			if tab != nil || !mentions(err, tt.mentions...) {
				t.Errorf("NewTable = %v, %v; want it to say %q", tab, err, tt.mentions)
			}
		})
	}
}

func TestTableVolumeEnds(t *testing.T) {
	tab := tank(t)
	tests := []struct {
		ullage, trim, want float64
		err                error
	}{
		{0, 0, 1000, nil},
		{20, 2, 10, nil},
		{math.Nextafter(0, -1), 0, 0, cargo.ErrOutside},
		{math.Nextafter(20, 21), 0, 0, cargo.ErrOutside},
		{5, math.Nextafter(0, -1), 0, cargo.ErrOutside},
		{5, math.Nextafter(2, 3), 0, cargo.ErrOutside},
		{math.NaN(), 0, 0, cargo.ErrInput},
		{5, math.Inf(1), 0, cargo.ErrInput},
	}
	for _, tt := range tests {
		got, err := tab.Volume(tt.ullage, tt.trim)
		if !errors.Is(err, tt.err) || (tt.err == nil && got != tt.want) || (tt.err != nil && !math.IsNaN(got)) {
			t.Errorf("Volume(%g, %g) = %g, %v, want %g, %v", tt.ullage, tt.trim, got, err, tt.want, tt.err)
		}
	}
}

// tank is a small table, right for hand sums: 50 m³ a metre at no trim.
func tank(t testing.TB) *cargo.Table {
	tab, err := cargo.NewTable([]float64{0, 10, 20}, []float64{0, 2}, [][]float64{{1000, 980}, {500, 490}, {20, 10}})
	if err != nil {
		t.Fatal(err)
	}
	return tab
}

// The caller's slices may change afterwards.
func TestNewTableCopies(t *testing.T) {
	ullages, trims, volumes := []float64{0, 1}, []float64{0}, [][]float64{{9}, {5}}
	tab, err := cargo.NewTable(ullages, trims, volumes)
	if err != nil {
		t.Fatal(err)
	}
	ullages[0], trims[0], volumes[0][0] = 7, 7, 7
	if v, err := tab.Volume(0, 0); v != 9 || err != nil {
		t.Errorf("Volume = %g, %v, want 9", v, err)
	}
}

// A table of a function linear in ullage and in trim gives that function back,
// and less volume at more ullage.
func TestTableVolumeLinear(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rising := func(n int, label string) []float64 {
			xs := []float64{rapid.Float64Range(0, 2).Draw(t, label)}
			for len(xs) < n {
				xs = append(xs, xs[len(xs)-1]+rapid.Float64Range(0.05, 3).Draw(t, label))
			}
			return xs
		}
		ullages := rising(rapid.IntRange(2, 9).Draw(t, "rows"), "ullage")
		trims := rising(rapid.IntRange(1, 4).Draw(t, "columns"), "trim")
		f := func(u, trim float64) float64 { return 40000 - 800*u - 30*trim + u*trim }
		var volumes [][]float64
		for _, u := range ullages {
			var row []float64
			for _, trim := range trims {
				row = append(row, f(u, trim))
			}
			volumes = append(volumes, row)
		}
		tab, err := cargo.NewTable(ullages, trims, volumes)
		if err != nil {
			t.Fatal(err)
		}
		u := rapid.Float64Range(ullages[0], ullages[len(ullages)-1]).Draw(t, "u")
		trim := rapid.Float64Range(trims[0], trims[len(trims)-1]).Draw(t, "trim")
		v, err := tab.Volume(u, trim)
		if want := f(u, trim); err != nil || math.Abs(v-want) > 1e-9*want {
			t.Fatalf("Volume(%g, %g) = %g, %v, want %g", u, trim, v, err, want)
		}
		deeper, err := tab.Volume(min(u+0.01, ullages[len(ullages)-1]), trim)
		if err != nil || deeper > v {
			t.Fatalf("%g m3 at %g m, %g m3 deeper, %v", v, u, deeper, err)
		}
	})
}

func ExampleTable_Volume() {
	tab, err := cargo.NewTable([]float64{0, 10, 20}, []float64{0, 2}, [][]float64{{1000, 980}, {500, 490}, {20, 10}})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(tab.Volume(5, 1))
	fmt.Println(tab.Volume(21, 1))
	// Output:
	// 742.5 <nil>
	// NaN ullage 21 m: the table runs from 0 to 20 m: outside the range
}

func BenchmarkTableVolume(b *testing.B) {
	tab := tank(b)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := tab.Volume(13.37, 0.8); err != nil {
			b.Fatal(err)
		}
	}
}
