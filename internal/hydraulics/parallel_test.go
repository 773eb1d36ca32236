package hydraulics

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"example.org/headwatch/internal/curves"
)

// networkCase is one case of epanet.json or epanet-library.json.
type networkCase struct {
	ID                string
	ManifoldElevation float64 `json:"manifold_elevation_m"`
	Static            float64 `json:"shore_static_m"`
	KShore            float64 `json:"k_shore"`
	Pumps             []struct {
		Name, Curve string
		Rated       float64 `json:"rated_speed_rpm"`
		Speed       float64 `json:"speed_rpm"`
		Source      float64 `json:"source_head_m"`
		KSuction    float64 `json:"k_suction"`
		KRiser      float64 `json:"k_riser"`
	}
	Expect struct {
		Flow     []float64 `json:"flow_m3h"`
		Total    float64   `json:"total_m3h"`
		Manifold float64   `json:"manifold_head_m"`
		State    []string
	}
}

type networkFile struct {
	Curves map[string]struct {
		Rated float64   `json:"rated_speed_rpm"`
		Q     []float64 `json:"q_m3h"`
		H     []float64 `json:"h_m"`
	}
	Cases []networkCase
}

func networks(t testing.TB, name string) networkFile {
	t.Helper()
	raw, err := os.ReadFile("../../testdata/checks/" + name)
	if err != nil {
		t.Fatal(err)
	}
	var f networkFile
	if err := json.Unmarshal(raw, &f); err != nil {
		t.Fatal(err)
	}
	return f
}

func (f networkFile) families(t testing.TB) map[string]*curves.Family {
	t.Helper()
	out := map[string]*curves.Family{}
	for name, c := range f.Curves {
		sheet := curves.Sheet{Speed: c.Rated, H: c.H}
		for _, q := range c.Q {
			sheet.Q = append(sheet.Q, q/hour)
		}
		family, err := curves.NewFamily(curves.Affinity, []curves.Sheet{sheet})
		if err != nil {
			t.Fatal(err)
		}
		out[name] = family
	}
	return out
}

func (c networkCase) line(staticAboveManifold bool) Line {
	l := Line{Static: c.Static, Loss: c.KShore, ManifoldHeight: c.ManifoldElevation, Density: 1000}
	if !staticAboveManifold {
		l.Static -= c.ManifoldElevation
	}
	return l
}

func (c networkCase) branches(families map[string]*curves.Family) []Branch {
	var out []Branch
	for _, p := range c.Pumps {
		out = append(out, Branch{Speed: p.Speed, Surface: p.Source, Pump: &Pump{Name: p.Name, Curves: families[p.Curve],
			SuctionLoss: p.KSuction, RiserLoss: p.KRiser, Suction: Gauge{Bore: 1}, Discharge: Gauge{Bore: 1}}})
	}
	return out
}

// Source: epanet.json and epanet-library.json, run with epanet-js 0.9.0
// (EPANET 2.3.5); tolerances are the files' own: 1e-4 of the total flow, 0.01 m
// of manifold head, 0.05 m3/h for a pump that is off.
func TestSolveAgainstEPANET(t *testing.T) {
	for _, file := range []struct {
		name                string
		staticAboveManifold bool
		cases               int
	}{{"epanet.json", false, 22}, {"epanet-library.json", true, 20}} {
		f := networks(t, file.name)
		if len(f.Cases) != file.cases {
			t.Fatalf("%s: %d cases, want %d", file.name, len(f.Cases), file.cases)
		}
		families := f.families(t)
		for _, c := range f.Cases {
			t.Run(file.name+"/"+c.ID, func(t *testing.T) {
				line, branches := c.line(file.staticAboveManifold), c.branches(families)
				flows := make([]BranchFlow, len(branches))
				got, err := Solve(&line, branches, flows)
				if err != nil {
					t.Fatal(err)
				}
				within(t, "total, m3/h", got.Rate*hour, c.Expect.Total, 1e-4*c.Expect.Total)
				within(t, "manifold head, m", got.GaugeHead, c.Expect.Manifold, 0.01)
				for i, want := range c.Expect.Flow {
					tol := max(1e-4*c.Expect.Total, 0.05)
					if want == 0 {
						tol = 0.05
					}
					within(t, c.Pumps[i].Name+", m3/h", flows[i].Flow*hour, want, tol)
					if flows[i].Standing.String() != c.Expect.State[i] {
						t.Errorf("%s is %v, want %s", c.Pumps[i].Name, flows[i].Standing, c.Expect.State[i])
					}
				}
			})
		}
	}
}

func BenchmarkSolveThree(b *testing.B) {
	line := Line{Static: 26, Loss: 46 / math.Pow(6000/hour, 2), ManifoldHeight: 24, ManifoldBore: 0.4, Arms: 3,
		UllagePressure: 9806.65, Density: 858}
	p := demoPump(b)
	p.SuctionLoss, p.RiserLoss = 1.6/math.Pow(2500/hour, 2), 4.5/math.Pow(2500/hour, 2)
	branches := []Branch{{Pump: p, Speed: 1300, Surface: 17}, {Pump: p, Speed: 1300, Surface: 16.2}, {Pump: p, Speed: 1300, Surface: 15.4}}
	flows := make([]BranchFlow, 3)
	b.ReportAllocs()
	for b.Loop() {
		got, err := Solve(&line, branches, flows)
		if err != nil || math.Abs(got.Rate*hour-6731.87) > 0.01 {
			b.Fatal(got.Rate*hour, err)
		}
	}
}

// BenchmarkNetworks solves all published networks; it reports the worst
// difference of a flow from EPANET's, as a share of the total.
func BenchmarkNetworks(b *testing.B) {
	type network struct {
		line     Line
		branches []Branch
		flows    []BranchFlow
		want     networkCase
	}
	var all []network
	for name, above := range map[string]bool{"epanet.json": false, "epanet-library.json": true} {
		f := networks(b, name)
		families := f.families(b)
		for _, c := range f.Cases {
			all = append(all, network{c.line(above), c.branches(families), make([]BranchFlow, len(c.Pumps)), c})
		}
	}
	worst := 0.0
	for b.Loop() {
		for i := range all {
			if _, err := Solve(&all[i].line, all[i].branches, all[i].flows); err != nil {
				b.Fatal(err)
			}
		}
	}
	for _, n := range all {
		for i, want := range n.want.Expect.Flow {
			worst = max(worst, math.Abs(n.flows[i].Flow*hour-want)/max(n.want.Expect.Total, 1))
		}
	}
	b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(b.N*len(all)), "µs/case")
	b.ReportMetric(worst, "of-total")
}
