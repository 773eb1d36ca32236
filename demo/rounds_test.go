package demo

import (
	"encoding/csv"
	"io/fs"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// What doc.go and ship.yaml say, for hand sums.
const (
	rhoG     = 857.547 * 9.80665 // Pa/m
	toBar    = 1e-5
	inertGas = 1000 * 9.80665 // Pa, 1000 mmWG
)

var reference = map[string]float64{"1C": 21.4, "2C": 21.6, "3C": 21.6, "4C": 21.6, "5C": 21.6, "6C": 21.5} // m above keel

var tanksOf = map[string][]string{"COP 1": {"1C", "2C"}, "COP 2": {"3C", "5C"}, "COP 3": {"4C", "6C"}}

func number(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func demoRounds(t *testing.T) []Row {
	t.Helper()
	rows, err := Rounds()
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

// volume looks an ullage up in a tank's table at no trim.
func volume(t *testing.T, tank string, ullage float64) float64 {
	t.Helper()
	f, err := Files().Open("tanks/" + strings.ToLower(tank) + ".csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for i := 2; i < len(lines); i++ {
		u0, u1 := number(t, lines[i-1][0]), number(t, lines[i][0])
		if u0 <= ullage && ullage <= u1 {
			v0, v1 := number(t, lines[i-1][1]), number(t, lines[i][1])
			return v0 + (v1-v0)*(ullage-u0)/(u1-u0)
		}
	}
	t.Fatalf("%s: ullage %g is not in its table", tank, ullage)
	return 0
}

func TestRoundsRows(t *testing.T) {
	rows := demoRounds(t)
	ship, err := fs.ReadFile(Files(), "ship.yaml")
	if err != nil {
		t.Fatal(err)
	}
	ullage, counts := map[string]float64{}, map[Kind]int{}
	between := func(r Row, what, s string, lo, hi float64) {
		if v := number(t, s); v < lo || v > hi {
			t.Errorf("minute %d, %s: %s %s, want %g to %g", r.Minute, r.Name, what, s, lo, hi)
		}
	}
	for _, r := range rows {
		counts[r.Kind]++
		if r.Kind != Note && !strings.Contains(string(ship), "name: "+r.Name) {
			t.Errorf("minute %d: %q is not of this ship", r.Minute, r.Name)
		}
		switch r.Kind {
		case Pump: // limits and spans of ship.yaml
			between(r, "speed", r.Speed, 740, 1480)
			between(r, "suction", r.Suction, -1, 5)
			between(r, "discharge", r.Discharge, number(t, r.Suction), 20)
		case Manifold: // the limit of plan.yaml
			between(r, "pressure", r.Manifold, 0, 8.49)
		case Tank:
			between(r, "ullage", r.Ullage, ullage[r.Name], 19)
			ullage[r.Name] = number(t, r.Ullage)
		}
	}
	if first, last := rows[0].Minute, rows[len(rows)-1].Minute; first != 0 || last != 480 {
		t.Errorf("from minute %d to %d, want eight hours", first, last)
	}
	if counts[Pump] < 30 || counts[Tank] != 9*6 || counts[Manifold] < 12 || counts[Note] < 10 {
		t.Errorf("rows: %v", counts)
	}
}

// hourly is one round: the flow since the round before by the tank tables and
// what the gauges showed.
type hourly struct {
	minute   int
	rate     float64 // m³/s, all pumps, by ullage; NaN for the first
	manifold float64 // bar
	level    map[string]float64
	pumps    []Row
}

func hours(t *testing.T) []hourly {
	t.Helper()
	type sounding struct {
		minute int
		volume float64
	}
	var all []hourly
	last := map[string]sounding{}
	h := hourly{level: map[string]float64{}}
	for _, r := range demoRounds(t) {
		switch r.Kind {
		case Pump:
			h.pumps = append(h.pumps, r)
		case Manifold:
			h.manifold = number(t, r.Manifold)
		case Tank:
			now := sounding{r.Minute, volume(t, r.Name, number(t, r.Ullage))}
			if was, ok := last[r.Name]; ok {
				h.rate += (was.volume - now.volume) / float64(now.minute-was.minute) / 60
			}
			last[r.Name], h.level[r.Name] = now, reference[r.Name]-number(t, r.Ullage)
		}
		if len(h.level) == len(reference) {
			h.minute = r.Minute
			h.pumps = h.pumps[max(0, len(h.pumps)-3):]
			all = append(all, h)
			h = hourly{level: map[string]float64{}}
		}
	}
	if len(all) != 9 {
		t.Fatalf("%d rounds of soundings, want 9", len(all))
	}
	return all
}

func TestRoundsTellTheStory(t *testing.T) {
	all := hours(t)
	total := 0.0
	for tank, level := range all[0].level {
		total += volume(t, tank, reference[tank]-level)
	}
	if math.Abs(total-96500) > 60 { // six ullages read to the cm
		t.Errorf("%.0f m3 at the start, the plan says 96500", total)
	}
	for i, h := range all[3:] {
		if h.rate*3600 < 6000 || h.rate*3600 > 7200 {
			t.Errorf("minute %d: %.0f m3/h, want a bulk rate within the agreed 7200", h.minute, h.rate*3600)
		}
		if before := all[i+2].manifold; h.manifold <= before {
			t.Errorf("minute %d: manifold %.2f bar after %.2f, want a margin that grows thin", h.minute, h.manifold, before)
		}
	}
	if margin := 8.5 - all[8].manifold; margin < 0.2 || margin > 0.45 {
		t.Errorf("%.2f bar left at the end, want about 0.3", margin)
	}
}

// The gauges of a round agree with the levels, with each other and with the
// flow by ullage, by Bernoulli and K Q², within what gauge offsets allow.
func TestRoundsPhysics(t *testing.T) {
	velocityHead := func(q, bore float64) float64 {
		v := q / (math.Pi * bore * bore / 4)
		return v * v / (2 * 9.80665)
	}
	for _, h := range hours(t)[3:] {
		q := h.rate / 3
		for _, r := range h.pumps {
			pair := tanksOf[r.Name]
			level := (h.level[pair[0]] + h.level[pair[1]]) / 2
			loss := math.Pow(q*3600/2500, 2) // of what is lost at 2500 m³/h: 1.6 m in the suction line, 4.5 m in the riser
			suction := (rhoG*(level-2.4-1.6*loss-velocityHead(q, 0.5)) + inertGas) * toBar
			if got := number(t, r.Suction); math.Abs(got-suction) > 0.12 { // the level fell by up to 0.15 m since
				t.Errorf("minute %d %s: suction %.2f bar, by level %.2f", r.Minute, r.Name, got, suction)
			}
			manifold := number(t, r.Discharge) + rhoG*(3.2-24.0-4.5*loss)*toBar // bores and flows are the same at both gauges
			if math.Abs(h.manifold-manifold) > 0.15 {
				t.Errorf("minute %d %s: manifold %.2f bar, by discharge gauge %.2f", r.Minute, r.Name, h.manifold, manifold)
			}
		}
		// The line of doc.go: static 27 m and 0.4 m/h, 52 m at 6000 m³/h.
		head := h.manifold/toBar/rhoG + velocityHead(q, 0.4)
		byLine := 6000 * math.Sqrt((head-27-0.4*float64(h.minute)/60)/52)
		if math.Abs(byLine-h.rate*3600) > 0.02*byLine {
			t.Errorf("minute %d: %.0f m3/h by ullage, %.0f by the shore line", h.minute, h.rate*3600, byLine)
		}
	}
}

func TestParseRoundsRefuses(t *testing.T) {
	row := func(s string) string { return header + "\n0,note,,,,,,,begin\n" + s + "\n" }
	tests := []struct{ name, text, says string }{
		{"empty", "", "header"},
		{"other header", "a,b\n", "header"},
		{"few columns", row("1,pump,COP 1"), "wrong number of fields"},
		{"minute", row("x,note,,,,,,,hm"), `rounds.csv:3: minute "x"`},
		{"before the start", row("-1,note,,,,,,,hm"), "not negative"},
		{"order", header + "\n5,note,,,,,,,a\n4,note,,,,,,,b\n", "rounds.csv:3: minute 4 after 5"},
		{"kind", row("1,valve,COP 1,,,,,,"), `kind "valve"`},
		{"no name", row("1,tank,,,,,,1.11,"), `name ""`},
		{"missing figure", row("1,pump,COP 1,839,1.58,,,,"), `discharge_bar ""`},
		{"figure too many", row("1,tank,1C,,,,2.40,1.11,"), `manifold_bar "2.40"`},
		{"not a number", row("1,tank,1C,,,,,deep,"), `ullage_m "deep"`},
		{"NaN", row("1,manifold,M2,,,,NaN,,"), `manifold_bar "NaN"`},
		{"infinite", row("1,manifold,M2,,,,1e999,,"), `manifold_bar "1e999"`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			rows, err := parseRounds([]byte(tt.text))
			if rows != nil || err == nil || !strings.Contains(err.Error(), tt.says) {
				t.Errorf("%v, %v, want %q", rows, err, tt.says)
			}
		})
	}
}

func FuzzParseRounds(f *testing.F) {
	f.Add(rounds)
	for _, s := range []string{"", header, header + "\n0,note,,,,,,,a\n", header + "\n1,tank,1C,,,,,Inf,\n", "\"\n"} {
		f.Add([]byte(s))
	}
	kinds := slices.Collect(maps.Keys(filled))
	f.Fuzz(func(t *testing.T, data []byte) {
		rows, _ := parseRounds(data)
		minute := 0
		for _, r := range rows {
			if r.Minute < minute || !slices.Contains(kinds, r.Kind) || (r.Kind == Note) != (r.Name == "") {
				t.Fatalf("accepted %+v after minute %d", r, minute)
			}
			minute = r.Minute
			for _, s := range []string{r.Speed, r.Suction, r.Discharge, r.Manifold, r.Ullage} {
				if v, err := strconv.ParseFloat(s, 64); s != "" && (err != nil || math.IsNaN(v) || math.IsInf(v, 0)) {
					t.Fatalf("accepted %q", s)
				}
			}
		}
	})
}
