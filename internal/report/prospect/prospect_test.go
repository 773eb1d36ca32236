package prospect

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"example.org/headwatch/demo"
	"example.org/headwatch/internal/outlook"
	"example.org/headwatch/internal/report/batch"
	"example.org/headwatch/internal/ship"
)

func demoPlant(t testing.TB) *outlook.Plant {
	t.Helper()
	d, err := ship.Load(demo.Files())
	if err != nil {
		t.Fatal(err)
	}
	p, err := outlook.New(d.Ship, &d.Plan.Parcels[0])
	if err != nil {
		t.Fatal(err)
	}
	return p
}

type answer struct {
	Density    float64 `json:"density_kgm3"`
	Pressure   float64 `json:"manifold_bar"`
	Head       float64 `json:"manifold_head_m"`
	Rate       float64 `json:"rate_m3h"`
	LowerBound bool    `json:"lower_bound"`
	Pumps      []struct {
		Pump  string
		Flow  float64  `json:"flow_m3h"`
		Head  *float64 `json:"head_m"`
		State string
	}
	Limits []struct {
		Limit, Unit, At       string
		Value, Figure, Margin float64
		Binding               bool
	}
	Error *struct {
		Row int
		Why string
	}
}

// Source: example/forecast.json, computed apart from this program.
func TestAnswersToTheExample(t *testing.T) {
	raw, err := os.ReadFile("../../../testdata/example/forecast.json")
	if err != nil {
		t.Fatal(err)
	}
	var cases []struct {
		Density  float64            `json:"density_kgm3"`
		Levels   map[string]float64 `json:"levels_m"`
		Speeds   map[string]float64 `json:"speeds_rpm"`
		Beyond   []string           `json:"beyond_end"`
		Pressure float64            `json:"manifold_bar"`
		Rate     float64            `json:"rate_m3h"`
		Flow     map[string]float64 `json:"flow_m3h"`
	}
	if err := json.Unmarshal(raw, &cases); err != nil {
		t.Fatal(err)
	}
	var in, out bytes.Buffer
	for _, c := range cases {
		line, _ := json.Marshal(map[string]any{"density_kgm3": c.Density, "levels_m": c.Levels, "speeds_rpm": c.Speeds})
		in.Write(append(line, '\n'))
	}
	tally, err := Answers(demoPlant(t), &in, &out)
	if err != nil || tally.Rows != 8 || tally.Bad != 0 {
		t.Fatal(tally, err)
	}
	for i, line := range strings.Split(strings.TrimSpace(out.String()), "\n") {
		var got answer
		if err := json.Unmarshal([]byte(line), &got); err != nil {
			t.Fatal(err)
		}
		c := cases[i]
		near(t, "manifold, bar", got.Pressure, c.Pressure, 1.05e-5)
		near(t, "rate, m3/h", got.Rate, c.Rate, 0.0105)
		beyond := 0
		for _, p := range got.Pumps {
			near(t, p.Pump, p.Flow, c.Flow[p.Pump], 0.0105)
			if p.State == "beyond-end" {
				beyond++
				if p.Head != nil {
					t.Errorf("%s: head %g past the end, want null", p.Pump, *p.Head)
				}
			}
		}
		if beyond != len(c.Beyond) || got.LowerBound != (beyond > 0) {
			t.Errorf("case %d: %d pumps beyond, lower bound %v", i, beyond, got.LowerBound)
		}
	}
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.9g, want %.9g", what, got, want)
	}
}

const goodCase = `{"levels_m":{"COP 1":17,"COP 2":16.2,"COP 3":15.4},"speeds_rpm":{"COP 1":1300,"COP 2":1300,"COP 3":1300}}`

func TestBadCasesSayWhy(t *testing.T) {
	tests := []struct{ line, says string }{
		{`{`, "not a case"},
		{`[]`, "not a case"},
		{goodCase + `{}`, "more than one value"},
		{`{"speed":3}`, "unknown field"},
		{`{"levels_m":{},"speeds_rpm":{"COP 1":0,"COP 2":0}}`, "no speed for COP 3"},
		{`{"levels_m":{},"speeds_rpm":{"COP 1":1300,"COP 2":0,"COP 3":0}}`, "no level for COP 1"},
		{`{"levels_m":{"COP 1":17},"speeds_rpm":{"COP 1":1300,"COP 2":0,"COP 3":0,"COP 9":1}}`, `"COP 9" is not one of this parcel`},
		{`{"levels_m":{"COP 1":17,"COP 9":1},"speeds_rpm":{"COP 1":1300,"COP 2":0,"COP 3":0}}`, `"COP 9" is not one of this parcel`},
		{`{"levels_m":{"COP 1":17},"speeds_rpm":{"COP 1":1600,"COP 2":0,"COP 3":0}}`, "over its maximum of 1480 rpm"},
		{`{"levels_m":{"COP 1":17},"speeds_rpm":{"COP 1":-5,"COP 2":0,"COP 3":0}}`, "want 0 or more"},
		{`{"levels_m":{"COP 1":2},"speeds_rpm":{"COP 1":1300,"COP 2":0,"COP 3":0}}`, "below its impeller"},
		{`{"density_kgm3":0.858,` + goodCase[1:], "looks like g/cm3"},
		{`{"density_kgm3":0,` + goodCase[1:], "want 400..1200"},
		{`{"openings":{"COP 1":40},` + goodCase[1:], "want 0 to 100 %"},
		{`{"offline":["COP 7"],` + goodCase[1:], `"COP 7" is not one of this parcel`},
		{strings.Repeat("x", 200000), "not a case"},
	}
	var in bytes.Buffer
	for _, tt := range tests {
		in.WriteString(goodCase + "\n\n" + tt.line + "\r\n")
	}
	var out bytes.Buffer
	tally, err := Answers(demoPlant(t), &in, &out)
	if err != nil || tally.Rows != 2*len(tests) || tally.Bad != len(tests) {
		t.Fatal(tally, err)
	}
	lines := strings.Split(strings.TrimSpace(out.String()), "\n")
	for i, tt := range tests {
		var good, bad answer
		if json.Unmarshal([]byte(lines[2*i]), &good) != nil || good.Error != nil || len(good.Pumps) != 3 {
			t.Errorf("the good case before %.60q: %s", tt.line, lines[2*i])
		}
		if json.Unmarshal([]byte(lines[2*i+1]), &bad) != nil || bad.Error == nil || !strings.Contains(bad.Error.Why, tt.says) || bad.Error.Row != 3*i+3 {
			t.Errorf("%.60q: %s, want %q in row %d", tt.line, lines[2*i+1], tt.says, 3*i+3)
		}
	}
}

// Every format of every answer holds the same rate and no NaN.
func TestFormatsAgree(t *testing.T) {
	p := demoPlant(t)
	set := []outlook.Setting{{Level: 17, Speed: 1300, Opening: 1}, {Level: 16.2, Speed: 1300, Opening: 1}, {Level: math.NaN(), Speed: 0, Opening: 1}}
	var f outlook.Forecast
	if err := p.Forecast(set, &f); err != nil {
		t.Fatal(err)
	}
	a, err := p.Advise(set, 4000.0/3600)
	if err != nil {
		t.Fatal(err)
	}
	for _, format := range batch.Formats() {
		for name, text := range map[string]string{"forecast": string(Forecast(p, &f, format)), "advice": string(Advice(p, a, format))} {
			if strings.Contains(text, "NaN") || strings.Contains(text, "Inf") {
				t.Errorf("%s %s: %s", format, name, text)
			}
			if want := fmt.Sprintf("%.0f", f.Rate*3600); !strings.Contains(text, want) && format == batch.Table {
				t.Errorf("%s %s lacks the rate %s:\n%s", format, name, want, text)
			}
			if format == batch.JSON && !json.Valid([]byte(text)) {
				t.Errorf("%s %s is no JSON: %s", format, name, text)
			}
			if format == batch.CSV {
				if rows, err := csv.NewReader(strings.NewReader(text)).ReadAll(); err != nil || len(rows) < 4 {
					t.Errorf("%s: %v %v", name, rows, err)
				}
			}
		}
	}
}

func TestAdviceInWords(t *testing.T) {
	p := demoPlant(t)
	set := []outlook.Setting{{Level: 17, Speed: 1300, Opening: 1}, {Level: 16.2, Speed: 1300, Opening: 1}, {Level: 15.4, Speed: 1300, Opening: 1}}
	a, err := p.Advise(set, 5000.0/3600)
	if err != nil {
		t.Fatal(err)
	}
	text := AdviceTable(p, a)
	for _, want := range []string{"now", "highest", "binds", "least fuel", "fuel a m3", "+50 rpm", "-50 rpm", "Advice only"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in:\n%s", want, text)
		}
	}
}

func FuzzCase(f *testing.F) {
	f.Add([]byte(goodCase))
	f.Add([]byte(`{"density_kgm3":1e400}`))
	s := NewSolver(demoPlant(f))
	f.Fuzz(func(t *testing.T, line []byte) {
		out, _ := s.Answer(nil, line, 1)
		if !json.Valid(out) {
			t.Fatalf("%q gets %q", line, out)
		}
	})
}

func BenchmarkCases(b *testing.B) {
	p := demoPlant(b)
	in := bytes.Repeat([]byte(goodCase+"\n"), 20000)
	b.ReportAllocs()
	for b.Loop() {
		tally, err := Answers(p, bytes.NewReader(in), discard{})
		if err != nil || tally.Rows != 20000 || tally.Bad > 0 {
			b.Fatal(tally, err)
		}
	}
	b.ReportMetric(20000*float64(b.N)/b.Elapsed().Seconds(), "cases/s")
}

type discard struct{}

func (discard) Write(p []byte) (int, error) { return len(p), nil }
