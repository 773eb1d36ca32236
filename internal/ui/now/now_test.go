package now

import (
	"fmt"
	"io"
	"math"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"
	"pgregory.net/rapid"

	"example.org/headwatch/internal/curves"
	"example.org/headwatch/internal/hydraulics"
	"example.org/headwatch/internal/ship"
	"example.org/headwatch/internal/ui/draw"
	"example.org/headwatch/internal/ui/palette"
	"example.org/headwatch/internal/watch"
)

const hour = 3600.0

var pen = draw.Pen{
	Palette: palette.New(lipgloss.NewRenderer(io.Discard), false),
	Units:   ship.Gauging{Pressure: "bar", Flow: "m3/h", Length: "m", Speed: "rpm"},
	Zone:    time.FixedZone("+01:00", 3600),
}

// read is when the round was read; the clock stands 6 minutes later.
var read = time.Date(2026, 3, 1, 14, 20, 0, 0, pen.Zone)

func figure(v, half float64) watch.Figure {
	return watch.Figure{Value: v, Half: half, Text: "read", At: read}
}

func onLine(name string) watch.Pump {
	return watch.Pump{Name: name, Run: watch.Running, SuctionUnit: "bar", DischargeUnit: "bar", Oldest: read,
		Speed: figure(1300, 0.5), Suction: figure(0.62e5, 500), Discharge: figure(9.87e5, 500), Nominal: 2500 / hour, ToNominal: 220 / hour,
		Estimate: hydraulics.Estimate{Head: 110.7, HeadU95: 4.4, Flow: 2280 / hour, FlowLow: 1960 / hour, FlowHigh: 2590 / hour, FlowU95: 320 / hour,
			FlowOther: math.NaN(), Efficiency: 0.81, Power: 7.7e5, NPSHMargin: 9.3, NPSHMarginU95: 1.4}}
}

// picture is of n running pumps.
func picture(n int) *watch.Picture {
	parcel := watch.Parcel{Name: "A", Grade: "Fulmar Blend", Volume: 49120, Remaining: 48420,
		Manifolds: []watch.Manifold{{Name: "M2", Pressure: figure(8.2e5, 500), U95: 0.3e5, Limit: 8.5e5, Margin: 0.3e5, Unit: "bar"}},
		Rate:      watch.Rate{Flow: 6730 / hour, U95: 950 / hour, Limit: 7200 / hour},
		Tanks:     []watch.Tank{{Name: "1C", Ullage: figure(10.34, 0.005), Volume: 7484, Gone: 1108, Rate: 1108 / hour}}}
	for i := range n {
		parcel.Pumps = append(parcel.Pumps, onLine(fmt.Sprintf("COP %d", i+1)))
	}
	return &watch.Picture{At: read.Add(6 * time.Minute), FirstRead: read, LastRead: read, NextRound: read.Add(time.Hour), Parcels: []watch.Parcel{parcel}}
}

func view(pic *watch.Picture, width, height int) string {
	return strings.Join(New().View(pen, pic, width, height), "\n")
}

// Each state and remark of a pump is there in words, and its figures as they
// must be said.
func TestStatesInWords(t *testing.T) {
	nan := math.NaN()
	for _, tt := range []struct {
		name   string
		change func(*watch.Pump)
		want   []string
	}{
		{"running", func(*watch.Pump) {}, []string{"running", "2,280 ±320", "110.7 ±4.4", "220 left", "9.3 ±1.4", "770"}},
		{"stopped", func(p *watch.Pump) { p.Run = watch.Stopped }, []string{"stopped"}},
		{"not read", func(p *watch.Pump) { *p = watch.Pump{Name: "COP 1", Suction: watch.Figure{Value: nan}} }, []string{"not read"}},
		{"above curve", func(p *watch.Pump) {
			p.Estimate.State, p.Estimate.Flow, p.Estimate.FlowLow, p.Estimate.FlowHigh, p.Estimate.FlowU95, p.ToNominal = curves.AboveCurve, nan, 0, 870/hour, nan, nan
		}, []string{"ABOVE CURVE", "– (0–900)"}},
		{"beyond end", func(p *watch.Pump) {
			p.Estimate.State, p.Estimate.Flow, p.Estimate.FlowHigh, p.Estimate.Flags = curves.BeyondEnd, 2630/hour, nan, hydraulics.NearCurveEnd|hydraulics.AboveNominal
		}, []string{"BEYOND CURVE", "≥2,630", "OVER NOMINAL"}},
		{"two flows", func(p *watch.Pump) { p.Estimate.State, p.Estimate.FlowOther = curves.TwoFlows, 310/hour }, []string{"two flows", "2,280 or 310"}},
		{"over nominal", func(p *watch.Pump) { p.ToNominal = -120 / hour }, []string{"120 OVER"}},
		{"other flags", func(p *watch.Pump) {
			p.Estimate.Flags = hydraulics.BelowMinimumFlow | hydraulics.LowMargin | hydraulics.SuctionAboveDischarge | hydraulics.OutOfSpan
		}, []string{"BELOW MINIMUM", "LOW MARGIN", "suction higher", "off the gauge"}},
		{"remarks on the curve", func(p *watch.Pump) {
			p.Estimate.Flags = hydraulics.SpeedOutside | hydraulics.OneCurve | hydraulics.PoorlyReadable
		}, []string{"speed off curves", "by one curve", "poorly readable"}},
		{"an old figure", func(p *watch.Pump) { p.Suction.At = read.Add(-59 * time.Minute) }, []string{"0.62 1h05 old"}},
		{"a younger one", func(p *watch.Pump) { p.Suction.At = read.Add(-30 * time.Minute) }, []string{"0.62 36m old"}},
		{"confirmed unchanged", func(p *watch.Pump) { p.Suction.Unchanged = true }, []string{"0.62 ="}},
		{"its own unit", func(p *watch.Pump) { p.DischargeUnit = "kgf/cm2" }, []string{"10.06 kgf/cm2"}}, // 9.87 bar / 0.980665 (NIST SP 811, B.8)
	} {
		pic := picture(3)
		tt.change(&pic.Parcels[0].Pumps[0])
		got := view(pic, 79, 40)
		for _, want := range tt.want {
			if !strings.Contains(got, want) {
				t.Errorf("%s: %q is not in\n%s", tt.name, want, got)
			}
		}
		if strings.Contains(got, "NaN") {
			t.Errorf("%s: NaN in\n%s", tt.name, got)
		}
	}
}

func TestAgreedAndNext(t *testing.T) {
	for _, tt := range []struct {
		name   string
		change func(*watch.Picture)
		want   []string
	}{
		{"inside", func(*watch.Picture) {}, []string{"8.20 ±0.30", "of 8.50: 0.30 left", "6,730 ±950", "of 7,200: 470 left", "48,420 of it to pump", "15:20, in 54 min"}},
		{"over", func(p *watch.Picture) { p.Parcels[0].Manifolds[0].Pressure.Value = 8.62e5 }, []string{"of 8.50: OVER by 0.12"}},
		{"not read", func(p *watch.Picture) {
			p.Parcels[0].Manifolds[0].Pressure = watch.Figure{Value: math.NaN()}
			p.Parcels[0].Rate.Unread = []string{"COP 3"}
			p.Parcels[0].Volume = math.NaN()
		}, []string{"of 8.50: not known", "not in it: COP 3", "an ullage or a tank table is missing"}},
		{"at least", func(p *watch.Picture) { p.Parcels[0].Rate.LowerBound = true }, []string{"≥6,730"}},
		{"no limit", func(p *watch.Picture) { p.Parcels[0].Rate.Limit = math.NaN() }, []string{"no limit agreed"}},
		{"overdue", func(p *watch.Picture) { p.NextRound = p.At.Add(-12 * time.Minute) }, []string{"OVERDUE by 12 min"}},
		{"first round", func(p *watch.Picture) { p.NextRound = time.Time{} }, []string{"the first round of readings"}},
		{"notices", func(p *watch.Picture) {
			p.Notices = []watch.Notice{{Priority: watch.Alarm, Name: "first", Text: "a", Action: "Slow all pumps."}, {Priority: watch.Caution, Name: "second", Text: "b", Action: "Think."}}
		}, []string{"Slow all pumps.", "CAUTION  second: b", "Think."}},
		{"switched off", func(p *watch.Picture) { p.Missing = []string{"no vapour pressure: no NPSH margin"} }, []string{"off      no vapour pressure"}},
		{"two parcels", func(p *watch.Picture) { p.Parcels = append(p.Parcels, watch.Parcel{Name: "B"}) }, []string{"A manifold", "B rate", "B in tanks"}},
	} {
		pic := picture(3)
		tt.change(pic)
		got := view(pic, 79, 40)
		for _, want := range tt.want {
			if !strings.Contains(got, want) {
				t.Errorf("%s: %q is not in\n%s", tt.name, want, got)
			}
		}
	}
}

func TestManyPumps(t *testing.T) {
	press := func(m Model, pic *watch.Picture, keys ...tea.KeyType) Model {
		for _, k := range keys {
			m = m.Update(tea.KeyMsg{Type: k}, pen, pic, 79, 20)
		}
		return m
	}
	for _, tt := range []struct {
		pumps int
		keys  []tea.KeyType
		want  string
		not   string
	}{
		{1, nil, "COP 1", "←→"},
		{3, []tea.KeyType{tea.KeyRight}, "COP 1", "←→"},
		{6, nil, "1–3 of 6", "COP 4"},
		{6, []tea.KeyType{tea.KeyRight, tea.KeyRight}, "3–5 of 6", "COP 2"},
		{6, []tea.KeyType{tea.KeyRight, tea.KeyRight, tea.KeyRight, tea.KeyRight, tea.KeyRight, tea.KeyLeft}, "3–5 of 6", "COP 6"},
		{0, nil, "no pump in the plan", "COP"},
	} {
		pic := picture(tt.pumps)
		got := strings.Join(press(New(), pic, tt.keys...).View(pen, pic, 79, 20), "\n")
		if !strings.Contains(got, tt.want) || strings.Contains(got, tt.not) {
			t.Errorf("%d pumps: want %q and no %q in\n%s", tt.pumps, tt.want, tt.not, got)
		}
	}
	if got := view(picture(6), 139, 36); strings.Contains(got, "←→") {
		t.Errorf("six pumps fit into 139 cells:\n%s", got)
	}
}

func TestScroll(t *testing.T) {
	pic := picture(3)
	for i := range 9 {
		pic.Notices = append(pic.Notices, watch.Notice{Priority: watch.Caution, Name: fmt.Sprintf("thing %d", i), Action: "Think."})
	}
	m := New()
	for range 30 { // more than there is
		m = m.Update(tea.KeyMsg{Type: tea.KeyDown}, pen, pic, 79, 20)
	}
	got := strings.Join(m.View(pen, pic, 79, 20), "\n")
	if !strings.Contains(got, "kW") || !strings.Contains(got, "more above") || strings.Contains(got, "more below") {
		t.Errorf("at the end:\n%s", got)
	}
	m = m.Update(tea.KeyMsg{Type: tea.KeyUp}, pen, pic, 79, 20)
	if got := strings.Join(m.View(pen, pic, 79, 20), "\n"); strings.Contains(got, "kW") {
		t.Errorf("one up from the end:\n%s", got)
	}
}

// With three notices on a small screen, all that must be decided on is seen;
// efficiency and power are below the fold.
func TestNoticesAreAboveTheFold(t *testing.T) {
	pic := picture(3)
	pump := &pic.Parcels[0].Pumps[2]
	pump.Suction.At = read.Add(-time.Hour)
	pump.Oldest = pump.Suction.At
	for i := range 3 {
		pic.Notices = append(pic.Notices, watch.Notice{Priority: watch.Warning, Name: fmt.Sprintf("thing %d", i), Text: strings.Repeat("long ", 15), Action: fmt.Sprintf("Do %d.", i)})
	}
	got := view(pic, 79, 19)
	for _, want := range []string{"Do 0.", "Do 1.", "Do 2.", "round of readings 15:20", "2,280 ±320", "running", "1h06 old", "more below"} {
		if !strings.Contains(got, want) {
			t.Errorf("%q is not in\n%s", want, got)
		}
	}
	if all := view(pic, 79, 60); strings.Contains(got, "kW") || !strings.Contains(all, "kW") {
		t.Errorf("power is above the fold, or nowhere:\n%s", got)
	}
}

func TestSwitchedOff(t *testing.T) {
	for _, tt := range []struct {
		n    int
		want string
	}{{3, "thing 2"}, {14, "+12 more: headwatch check"}} {
		pic := picture(3)
		for i := range tt.n {
			pic.Missing = append(pic.Missing, fmt.Sprintf("thing %d", i))
		}
		if got := view(pic, 79, 40); strings.Count(got, "\noff ") != 3 || !strings.Contains(got, tt.want) {
			t.Errorf("%d things: %q is not in\n%s", tt.n, tt.want, got)
		}
	}
}

func TestNothingIsCut(t *testing.T) {
	pic := picture(3)
	pic.Parcels[0].Manifolds[0].Unit = "kgf/cm2"
	for i := range pic.Parcels[0].Pumps {
		pump := &pic.Parcels[0].Pumps[i]
		pump.Estimate.State, pump.Estimate.Flow, pump.Estimate.FlowHigh, pump.Estimate.FlowU95 = curves.AboveCurve, math.NaN(), 0, math.NaN()
	}
	if got := view(pic, 79, 40); strings.Contains(got, "…") || !strings.Contains(got, "manif. M2 kgf/cm²") {
		t.Errorf("cut:\n%s", got)
	}
}

func TestTanksBeside(t *testing.T) {
	if got := view(picture(3), 119, 36); !strings.Contains(got, "10.34  7,480  1,110  1,110") {
		t.Errorf("the tanks are not beside the pumps:\n%s", got)
	}
	if got := view(picture(3), 79, 20); strings.Contains(got, "10.34") {
		t.Errorf("no room for tanks:\n%s", got)
	}
}

// Any size, any number of pumps: no panic, and never more lines than asked for.
func TestAnySize(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		width, height := rapid.IntRange(-1, 220).Draw(t, "width"), rapid.IntRange(-1, 70).Draw(t, "height")
		pic := picture(rapid.IntRange(0, 8).Draw(t, "pumps"))
		if rapid.Bool().Draw(t, "notice") {
			pic.Notices = append(pic.Notices, watch.Notice{Priority: watch.Alarm, Action: "Slow all pumps at once."})
		}
		m := New()
		for _, k := range rapid.SliceOfN(rapid.SampledFrom([]tea.KeyType{tea.KeyUp, tea.KeyDown, tea.KeyLeft, tea.KeyRight}), 0, 20).Draw(t, "keys") {
			m = m.Update(tea.KeyMsg{Type: k}, pen, pic, width, height)
		}
		if got := m.View(pen, pic, width, height); len(got) > max(height, 0) {
			t.Fatalf("%d lines, want %d", len(got), height)
		}
	})
}
