package round

import (
	"fmt"
	"reflect"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"example.org/headwatch/demo"
	"example.org/headwatch/internal/journal"
	"example.org/headwatch/internal/ship"
	"example.org/headwatch/internal/units"
	"example.org/headwatch/internal/watch"
)

var (
	zone = time.FixedZone("+01:00", 3600)
	now  = time.Date(2026, 3, 1, 15, 17, 0, 0, zone)
)

// newRound is after one reading of COP 1, an hour ago.
func newRound(t testing.TB) Round {
	t.Helper()
	d, err := ship.Load(demo.Files())
	if err != nil {
		t.Fatal(err)
	}
	s, err := watch.Try(watch.New(d), journal.Reading{Pump: "COP 1", Speed: "1300 rpm", Suction: "0.62 bar", Discharge: "9.04 bar"}, now.Add(-time.Hour))
	if err != nil {
		t.Fatal(err)
	}
	return New(s, zone, now)
}

func TestPlaces(t *testing.T) {
	var names []string
	for _, pl := range newRound(t).Places {
		names = append(names, pl.Name+": "+pl.names())
	}
	want := "COP 1: speed, suction, discharge|COP 2: speed, suction, discharge|COP 3: speed, suction, discharge|M2: pressure|" +
		"1C: ullage|2C: ullage|3C: ullage|4C: ullage|5C: ullage|6C: ullage" // ship.yaml of the demo
	if got := strings.Join(names, "|"); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
}

func TestComplete(t *testing.T) {
	pressure := Field{"suction", units.Pressure, "kgf/cm2"}
	for in, want := range map[string]string{
		".6":          ".6 kgf/cm2",
		" 0,62 ":      "0,62 kgf/cm2",
		"9.1±0.2":     "9.1±0.2 kgf/cm2",
		"9.1 bar":     "9.1 bar",
		"9kg/cm2":     "9kg/cm2",
		"9.1±0.2 psi": "9.1±0.2 psi",
		"9.x":         "9.x",
	} {
		got := pressure.complete(in)
		if got != want {
			t.Errorf("%q became %q, want %q", in, got, want)
		}
		if again := pressure.complete(pressure.bare(got)); again != got {
			t.Errorf("%q: %q became %q after bare", in, got, again)
		}
	}
}

func TestEnds(t *testing.T) {
	for _, tt := range []struct {
		d    units.Dimension
		unit string
		text string
		next string
		want bool
	}{
		{units.Pressure, "bar", "9.1", "L", true},
		{units.Pressure, "bar", "9.1", "n", true},
		{units.Pressure, "bar", "9.1", "p", false}, // psi
		{units.Pressure, "bar", "9.1±0.2", "q", true},
		{units.Pressure, "bar", "9.1+", "/", false}, // +/-
		{units.Pressure, "bar", "-", "n", false},
		{units.Pressure, "bar", "9.1 i", "n", false}, // inWG
		{units.Speed, "rpm", "1300", "r", false},
		{units.Speed, "rpm", "1300", "u", true},
		{units.Length, "m", "10.02", "L", true},
		{units.Length, "m", "33ft", "n", true},
		{units.Length, "m", "13i", "n", false}, // in
	} {
		if got := (Field{"x", tt.d, tt.unit}).Ends(tt.text, tt.next); got != tt.want {
			t.Errorf("%q, then %q: %v", tt.text, tt.next, got)
		}
	}
}

// A change leaves the round it was made from as it was.
func TestChangesArePure(t *testing.T) {
	r := newRound(t)
	before := r.Drafts("x", now)
	at := Position{Row: 1, Col: 2}
	r.With(at, Cell{Text: "9.1"}, now).Timed(1, now)
	if _, _, err := r.Line("m 7.2", now); err != nil {
		t.Fatal(err)
	}
	if _, lost := r.Restore([]journal.Draft{{At: now, Body: journal.Ullage{Tank: "4C", Ullage: "1 m"}}}, now); lost != nil {
		t.Fatal(lost)
	}
	if got := r.Drafts("x", now); !reflect.DeepEqual(got, before) || r.Cell(at) != (Cell{}) {
		t.Errorf("the old round now holds %v", got)
	}
}

// The picture with what is keyed takes the good figures and leaves the others.
func TestAfter(t *testing.T) {
	r := newRound(t).With(Position{0, 1}, Cell{Text: "x"}, now).With(Position{0, 2}, Cell{Text: "9.1"}, now)
	p := r.After.Parcels[0].Pumps[0]
	if p.Suction.Text != "0.62 bar" || p.Discharge.Text != "9.1 bar" || r.Before.Parcels[0].Pumps[0].Discharge.Text != "9.04 bar" {
		t.Errorf("suction %q, discharge %q", p.Suction.Text, p.Discharge.Text)
	}
	if r.Fault(Position{0, 1}) == "" || r.Fault(Position{0, 2}) != "" {
		t.Errorf("faults %q and %q", r.Fault(Position{0, 1}), r.Fault(Position{0, 2}))
	}
	if _, n := r.Begun(); n != 2 {
		t.Errorf("%d figures", n)
	}
}

// Whatever was typed comes back from the drafts as it was.
func TestRestoreIsTheInverseOfDrafts(t *testing.T) {
	empty := newRound(t)
	text := rapid.StringMatching(`[0-9.,±+-]{1,6}( ?(bar|psi|m|x))?`)
	rapid.Check(t, func(t *rapid.T) {
		r := empty
		for range rapid.IntRange(0, 12).Draw(t, "figures") {
			i := rapid.IntRange(0, len(r.Places)-1).Draw(t, "row")
			k := rapid.IntRange(0, len(r.Places[i].Fields)-1).Draw(t, "col")
			c := Cell{Text: text.Draw(t, "text")}
			if same, known := r.Same(Position{i, k}); known && rapid.Bool().Draw(t, "same") {
				c = same
			}
			r = r.With(Position{i, k}, c, now).Timed(i, now)
		}
		want := r.Drafts("x", now)
		back, lost := empty.Restore(want, now)
		if got := back.Drafts("x", now.Add(time.Hour)); !reflect.DeepEqual(got, want) || len(lost) > 0 {
			t.Fatalf("got %v, lost %v\nwant %v", got, lost, want)
		}
		_, n := back.Begun()
		if _, figures := r.Begun(); n != figures {
			t.Fatalf("%d figures back of %d", n, figures)
		}
	})
}

// A figure of a line may be of an earlier time of today, in the zone of the
// discharge, and never of one to come.
func TestLineOfAnEarlierTime(t *testing.T) {
	r := newRound(t)
	for _, tt := range []struct{ line, want string }{
		{"4C 10.2@15:14", "2026-03-01T15:14:00+01:00"},
		{"4C 10.2 @ 0:05", "2026-03-01T00:05:00+01:00"},
		{"m 7.2@15:17", "2026-03-01T15:17:00+01:00"},
		{"4C 10.2", "2026-03-01T15:17:00+01:00"},
		{"4C 10.2@15:18", "after now"},
		{"4C 10.2@24:00", "want hour and minute"},
		{"4C 10.2@", "want hour and minute"},
		{"4C@15:10", "4C: want ullage"},
	} {
		filled, _, err := r.Line(tt.line, now.UTC())
		got := fmt.Sprint(err)
		if err == nil {
			got = filled.Drafts("x", now)[0].At.Format(time.RFC3339)
		}
		if !strings.Contains(got, tt.want) {
			t.Errorf("%s: %s, want %s", tt.line, got, tt.want)
		}
	}
}

func FuzzLine(f *testing.F) {
	for _, line := range []string{"2 1300 .6 9.1", "m 7.2", "4C 11.34", "cop 1 = - 8 psi", "", "=", "\x00 ± 1", "4C 10.2@15:14", "m @"} {
		f.Add(line)
	}
	r := newRound(f)
	f.Fuzz(func(t *testing.T, line string) {
		filled, row, err := r.Line(line, now)
		if err != nil {
			return
		}
		for _, d := range filled.Drafts("x", now) {
			if _, name, _, _ := figuresOf(d.Body); name != r.Places[row].Name {
				t.Fatalf("%q went to %s, not to row %d", line, name, row)
			}
		}
	})
}

func ExampleBeginsFigure() {
	fmt.Println(BeginsFigure("9.1"), BeginsFigure("-0.2"), BeginsFigure("quit"), BeginsFigure(""))
	// Output: true true false false
}
