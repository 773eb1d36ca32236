package cargo_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"example.org/headwatch/internal/cargo"
	"example.org/headwatch/internal/published"
)

func TestPublishedDensity(t *testing.T) {
	published.Check(t, "density", map[string]func(*published.Row){
		"vcf_1980": func(r *published.Row) {
			celsius := r.In("temperature") - 273.15
			vcf, err := cargo.VCF1980(byTable[r.Text("table")], r.In("density15"), r.In("temperature"))
			r.Want("vcf", must(r, vcf, err))
			// The coefficient the factor was made of: the root of ln VCF = −x (1 + 0.8 x).
			x := (math.Sqrt(1-3.2*math.Log(vcf)) - 1) / 1.6
			r.Want("alpha_per_K", x/(celsius-15))
		},
		"vcf_2004": func(r *published.Row) {
			g := map[string]cargo.Group{"crude": cargo.Crude, "products": cargo.Products, "lube": cargo.Lubes}[r.Text("product")]
			vcf, err := cargo.VCF2004(g, r.In("density15"), r.In("temperature"))
			r.Want("vcf", must(r, vcf, err))
			r60, err := cargo.Density60F(g, r.In("density15"))
			r.Want("density60F", must(r, r60, err))
		},
		"density_at_temperature": func(r *published.Row) {
			rho, err := cargo.DensityAt(byTable[r.Text("table")], r.In("density15"), r.In("temperature"))
			r.Want("density", must(r, rho, err))
		},
		"density15_from_observed": func(r *published.Row) {
			with := cargo.DensityMeter
			if r.Flag("glass_hydrometer") {
				with = cargo.GlassHydrometer
			}
			rho, err := cargo.Density15(cargo.Tables1980, byTable[r.Text("table")], r.In("density_observed"), r.In("temperature"), with)
			r.Want("density15", must(r, rho, err))
		},
		"tonnes_in_air": func(r *published.Row) {
			vacuum, air := cargo.Mass(r.In("volume15"), r.In("density15"))
			r.Want("mass_vacuum", vacuum)
			r.Want("mass_air", air)
		},
	}, nil)
}

func TestPublishedVapourPressure(t *testing.T) {
	water := func(r *published.Row) {
		p, err := cargo.WaterVapourPressure(r.In("temperature"))
		must(r, p, err)
		r.Want("pressure", p)
		r.Want("vapour_pressure", p)
	}
	crude := func(r *published.Row) {
		p, err := cargo.TrueVapourPressure(r.In("rvp"), r.In("temperature"))
		must(r, p, err)
		r.Want("tvp", p)
		r.Want("true_vapour_pressure", p)
	}
	published.Check(t, "vapour-pressure", map[string]func(*published.Row){
		"true_vapour_pressure_crude": crude, "ap42_crude_tvp": crude,
		"water_vapour_pressure": water, "water_saturation_if97": water,
		"ap42_refined_tvp": func(r *published.Row) {
			p, err := cargo.RefinedVapourPressure(r.In("rvp"), r.In("astm_slope"), r.In("temperature"))
			r.Want("true_vapour_pressure", must(r, p, err))
		},
	}, nil)
}

// The trade's definitions for tanks: linear between table lines; a correction
// is added to the ullage read.
func TestPublishedTanks(t *testing.T) {
	start := time.Date(2026, 3, 1, 14, 0, 0, 0, time.UTC)
	later := func(r *published.Row) time.Time {
		return start.Add(time.Duration(r.In("elapsed") * float64(time.Second)))
	}
	volume := func(r *published.Row, ullage float64) float64 {
		v, err := column(r, r.List("table_ullage"), r.List("table_volume")).Volume(ullage, 0)
		return must(r, v, err)
	}
	correction := func(r *published.Row, ullages []float64, add [][]float64) float64 {
		c, err := cargo.NewCorrection(cargo.Trim, ullages, r.List("table_trim"), add)
		if err != nil {
			r.T.Fatal(err)
		}
		v, err := c.At(r.In("ullage"), r.In("trim"))
		return must(r, v, err)
	}
	published.Check(t, "trade", map[string]func(*published.Row){
		"tank_volume": func(r *published.Row) { r.Want("volume", volume(r, r.In("ullage"))) },
		"tank_volume_trim": func(r *published.Row) {
			corrected := r.In("ullage") + correction(r, []float64{0}, [][]float64{r.List("table_ullage_correction")})
			r.Want("corrected_ullage", corrected)
			r.Want("volume", volume(r, corrected))
		},
		"tank_volume_trim_2d": func(r *published.Row) {
			r.Want("correction", correction(r, r.List("table_ullage"), r.Lists("table_ullage_correction")))
		},
		"rate_from_ullages": func(r *published.Row) {
			span := cargo.Span{Table: column(r, r.List("table_ullage"), r.List("table_volume")),
				First: cargo.Ullage{At: start, Value: r.In("ullage_1")}, Second: cargo.Ullage{At: later(r), Value: r.In("ullage_2")}}
			rate, err := span.Rate(0)
			r.Want("rate", must(r, rate.Flow, err))
			r.Want("discharged", rate.Volume())
		},
		"rate_from_volumes": func(r *published.Row) {
			var spans []cargo.Span
			for i, v1 := range r.List("volume_1") {
				v2 := r.List("volume_2")[i]
				table := column(r, []float64{0, 10, 20}, []float64{v1, v2 - 1, 0})
				ullage, err := table.Ullage(v2, 0)
				spans = append(spans, cargo.Span{Table: table, First: cargo.Ullage{At: start},
					Second: cargo.Ullage{At: later(r), Value: must(r, ullage, err)}})
			}
			rate, err := cargo.TotalRate(spans, 0)
			r.Want("rate", must(r, rate.Flow, err))
		},
	}, map[string]string{
		"mean_pressure": "averages over a log", "mean_pressure_excluding": "averages over a log",
		"pressure_warranty": "the pumping clause", "pumping_allowance": "the pumping clause", "excess_pumping": "the pumping clause",
		"hours_to_complete": "the outlook", "corrected_rate": "the outlook",
	})
}

// must returns v; err is a fault of the row's test.
func must(r *published.Row, v float64, err error) float64 {
	r.T.Helper()
	if err != nil {
		r.T.Error(err)
	}
	return v
}

// column is an ullage table of one trim.
func column(r *published.Row, ullages, volumes []float64) *cargo.Table {
	r.T.Helper()
	var rows [][]float64
	for _, v := range volumes {
		rows = append(rows, []float64{v})
	}
	table, err := cargo.NewTable(ullages, []float64{0}, rows)
	if err != nil {
		r.T.Fatal(err)
	}
	return table
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
