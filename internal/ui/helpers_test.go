package ui

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"

	"example.org/headwatch/demo"
	"example.org/headwatch/internal/curves"
	"example.org/headwatch/internal/hydraulics"
	"example.org/headwatch/internal/journal"
	"example.org/headwatch/internal/ship"
	"example.org/headwatch/internal/ui/palette"
	"example.org/headwatch/internal/watch"
)

const hour = 3600.0

var zone = time.FixedZone("+01:00", 3600)

// begun is when a test begins, 57 minutes after the round that is logged.
var begun = time.Date(2026, 3, 1, 15, 17, 0, 0, zone)

// fakeLog is a log in memory.
type fakeLog struct {
	entries []journal.Entry // appended here
	foreign []journal.Entry // appended by another instance, not yet read
	refusal error
	fault   error // of the next Append
	seq     uint64
}

func (l *fakeLog) Writable() error { return l.refusal }

func (l *fakeLog) Append(drafts ...journal.Draft) ([]journal.Entry, error) {
	if l.fault != nil {
		return nil, fmt.Errorf("%w: %w", journal.ErrNotLogged, l.fault)
	}
	entries := l.compose(drafts)
	l.entries = append(l.entries, entries...)
	return entries, nil
}

func (l *fakeLog) compose(drafts []journal.Draft) []journal.Entry {
	var out []journal.Entry
	for _, d := range drafts {
		l.seq++
		data, err := json.Marshal(d.Body)
		if err != nil {
			panic(err)
		}
		out = append(out, journal.Entry{Seq: l.seq, At: d.At, Entered: begun.Add(2 * time.Minute), Kind: d.Body.Kind(), By: d.By, Data: data})
	}
	return out
}

func (l *fakeLog) Refresh() ([]journal.Entry, error) {
	out := l.foreign
	l.foreign = nil
	return out, nil
}

// round is what was logged at 14:20.
func round() []journal.Draft {
	at := begun.Add(-57 * time.Minute)
	draft := func(minutes int, b journal.Body) journal.Draft {
		return journal.Draft{At: at.Add(time.Duration(minutes) * time.Minute), By: "3/O Lie", Body: b}
	}
	return []journal.Draft{
		draft(0, journal.Reading{Pump: "COP 1", Speed: "1300 rpm", Suction: "0.62 bar", Discharge: "9.04 bar"}),
		draft(1, journal.Reading{Pump: "COP 2", Speed: "1300 rpm", Suction: "0.55 bar", Discharge: "9.02 bar", Unchanged: []string{"speed"}}),
		draft(1, journal.Reading{Pump: "COP 3", Speed: "1300 rpm", Suction: "0.48 bar", Discharge: "8.98 bar"}),
		draft(2, journal.Reading{Manifold: "M2", Pressure: "7.20 bar"}),
		draft(3, journal.Ullage{Tank: "4C", Ullage: "10.02 m"}),
	}
}

// bench is the console on a fake log, with a clock that is moved by hand.
type bench struct {
	t   testing.TB
	m   model
	log *fakeLog
	dir string
	now time.Time
}

type setting func(*Options, *fakeLog)

func newBench(t testing.TB, settings ...setting) *bench {
	return benchIn(t, t.TempDir(), settings...)
}

func benchIn(t testing.TB, dir string, settings ...setting) *bench {
	t.Helper()
	return benchWith(t, dir, palette.New(lipgloss.NewRenderer(io.Discard), false), settings...)
}

func benchWith(t testing.TB, dir string, p palette.Palette, settings ...setting) *bench {
	t.Helper()
	b := &bench{t: t, log: &fakeLog{}, dir: dir, now: begun}
	d, err := ship.Load(demo.Files())
	if err != nil {
		t.Fatal(err)
	}
	recent := b.log.compose(round())
	s := watch.New(d)
	for _, e := range recent {
		if s, err = watch.Fold(s, e); err != nil {
			t.Fatal(err)
		}
	}
	o := Options{State: s, Recent: recent, Log: b.log, Folder: "014-D", By: "2/O Dahl",
		Notes: []string{"A scratch copy of the demo: figures keyed stay in it."}, Now: func() time.Time { return b.now }}
	for _, set := range settings {
		set(&o, b.log)
	}
	o.Folder = dir
	b.m = newModel(o, p)
	b.m.folder = "014-D" // the same on every machine
	return b
}

// readOnly is a log that another instance writes.
func readOnly(_ *Options, l *fakeLog) { l.refusal = journal.ErrInUse }

// brokenLog is a log that was altered.
func brokenLog(_ *Options, l *fakeLog) {
	l.refusal = &journal.BrokenError{Line: 214, Err: errors.New("sum does not match")}
}

// training is the log of a drill.
func training(o *Options, _ *fakeLog) {
	s, err := watch.Try(o.State, journal.NewOpened(journal.Training, "0", nil), begun.Add(-time.Hour))
	if err != nil {
		panic(err)
	}
	o.State = s
}

// send gives the model a message and runs what it asks for, but for the clock.
func (b *bench) send(msg tea.Msg) *bench {
	next, cmd := b.m.Update(msg)
	b.m = next.(model)
	b.run(cmd)
	return b
}

func (b *bench) run(cmd tea.Cmd) {
	if cmd == nil {
		return
	}
	result := make(chan tea.Msg, 1)
	go func() { result <- cmd() }()
	select {
	case msg := <-result:
		switch msg := msg.(type) {
		case tea.BatchMsg:
			for _, c := range msg {
				b.run(c)
			}
		case tea.QuitMsg:
			b.now = time.Time{} // seen by quits
		default:
			b.send(msg)
		}
	case <-time.After(interval / 4): // the tick
	}
}

// press takes words: names of keys, or signs to be typed in one go.
func (b *bench) press(words string) *bench {
	named := map[string]tea.KeyType{"Enter": tea.KeyEnter, "Tab": tea.KeyTab, "Up": tea.KeyUp, "Down": tea.KeyDown, "Esc": tea.KeyEsc,
		"Bksp": tea.KeyBackspace, "F1": tea.KeyF1, "F2": tea.KeyF2, "Ctrl-C": tea.KeyCtrlC, "Ctrl-L": tea.KeyCtrlL, "PgDn": tea.KeyPgDown}
	for _, word := range strings.Fields(words) {
		if typ, ok := named[word]; ok {
			b.send(tea.KeyMsg{Type: typ})
			continue
		}
		b.send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(word)})
	}
	return b
}

func (b *bench) size(width, height int) *bench {
	return b.send(tea.WindowSizeMsg{Width: width, Height: height})
}

func (b *bench) quits() bool { return b.now.IsZero() }

func (b *bench) shows(words ...string) {
	b.t.Helper()
	for _, w := range words {
		if got := b.m.View(); !strings.Contains(got, w) {
			b.t.Errorf("%q is not in\n%s", w, got)
		}
	}
}

// handMade is a picture of every state: a pump that runs, one over its curve,
// one beyond its end.
func handMade() watch.Picture {
	nan, read := math.NaN(), begun.Add(-57*time.Minute)
	figure := func(v, half float64, minutes int) watch.Figure {
		return watch.Figure{Value: v, Half: half, Text: "read", At: read.Add(time.Duration(minutes) * time.Minute)}
	}
	pump := func(name string, suction, discharge float64, e hydraulics.Estimate, left float64) watch.Pump {
		return watch.Pump{Name: name, Run: watch.Running, SuctionUnit: "bar", DischargeUnit: "bar",
			Speed: figure(1300, 0.5, 0), Suction: figure(suction, 500, 0), Discharge: figure(discharge, 500, 0),
			Estimate: e, Nominal: 2500 / hour, ToNominal: left / hour}
	}
	pic := watch.Picture{
		Ship: "MT Skerry Venture", Voyage: "014 D", Fictional: true, At: begun,
		FirstRead: read, LastRead: read.Add(3 * time.Minute), NextRound: read.Add(63 * time.Minute), Seq: 5,
		Parcels: []watch.Parcel{{
			Name: "A", Grade: "Fulmar Blend", Volume: 41960, Remaining: 41260,
			Manifolds: []watch.Manifold{{Name: "M2", Pressure: figure(7.2e5, 500, 2), U95: 0.3e5, Limit: 8.5e5, Margin: 1.3e5, Unit: "bar"}},
			Rate:      watch.Rate{Flow: 6730 / hour, U95: 950 / hour, Limit: 7200 / hour},
			Pumps: []watch.Pump{
				pump("COP 1", 0.62e5, 9.87e5, hydraulics.Estimate{Head: 110.7, HeadU95: 4.4, Flow: 2280 / hour, FlowLow: 1960 / hour, FlowHigh: 2590 / hour,
					FlowU95: 320 / hour, FlowOther: nan, Efficiency: 0.81, Power: 7.7e5, NPSHMargin: 9.3, NPSHMarginU95: 1.4}, 220),
				pump("COP 2", 0.55e5, 9.84e5, hydraulics.Estimate{Head: 110.9, HeadU95: 4.4, Flow: 1120 / hour, FlowLow: 610 / hour, FlowHigh: 1480 / hour,
					FlowU95: nan, FlowOther: nan, Efficiency: 0.63, Power: 5.4e5, NPSHMargin: 11.8, NPSHMarginU95: 1.4, Flags: hydraulics.PoorlyReadable}, 1380),
				pump("COP 3", 0.48e5, 9.79e5, hydraulics.Estimate{Head: 111.1, HeadU95: 4.4, Flow: 2240 / hour, FlowLow: 1900 / hour, FlowHigh: 2560 / hour,
					FlowU95: 330 / hour, FlowOther: nan, Efficiency: 0.81, Power: 7.6e5, NPSHMargin: 8.2, NPSHMarginU95: 1.4}, 260),
			},
			Tanks: []watch.Tank{
				{Name: "1C", Ullage: figure(10.34, 0.005, 3), Volume: 7484, Gone: 1108, Rate: 1108 / hour},
				{Name: "4C", Ullage: figure(10.02, 0.005, -75), Volume: 8474, Gone: nan, Rate: nan},
			},
		}},
	}
	return pic
}

// overLimit is a picture with notices of all priorities, a pump over its curve
// and one beyond the end of it.
func overLimit() watch.Picture {
	pic, nan := handMade(), math.NaN()
	parcel := &pic.Parcels[0]
	parcel.Manifolds[0].Pressure.Value, parcel.Manifolds[0].Margin = 8.62e5, -0.12e5
	parcel.Rate = watch.Rate{Flow: 4910 / hour, U95: 700 / hour, LowerBound: true, Limit: 7200 / hour, Unread: []string{"COP 2"}}
	e := &parcel.Pumps[1].Estimate
	e.State, e.Flow, e.FlowLow, e.FlowHigh, e.FlowU95, e.Efficiency, e.Power = curves.AboveCurve, nan, 0, 870/hour, nan, nan, nan
	e.Head, e.NPSHMargin, e.NPSHMarginU95, e.Flags, parcel.Pumps[1].ToNominal = 120.4, nan, nan, 0, nan
	e = &parcel.Pumps[2].Estimate
	e.State, e.Flow, e.FlowHigh, e.FlowU95, e.Flags = curves.BeyondEnd, 2630/hour, nan, nan, hydraulics.NearCurveEnd|hydraulics.AboveNominal
	parcel.Pumps[2].ToNominal = -130 / hour
	parcel.Pumps[2].Suction.At = parcel.Pumps[2].Suction.At.Add(-65 * time.Minute)
	parcel.Pumps[2].Oldest = parcel.Pumps[2].Suction.At
	pic.Notices = []watch.Notice{
		{Priority: watch.Alarm, Name: "over agreed manifold pressure", Text: "M2: 8.62 of 8.50 bar", Action: "Slow all pumps at once; still rising: trip them; call the shore."},
		{Priority: watch.Warning, Name: "head above its curve", Text: "COP 2: 120 m: no flow can be read, at most 870 m3/h", Action: "Read the gauges again; shut valve, pushed off the line or wrong density?"},
		{Priority: watch.Caution, Name: "over nominal capacity", Text: "COP 3: 2630 of 2500 m3/h, certain", Action: "Slow the pump."},
	}
	pic.Missing = []string{"no vapour pressure in the plan: no NPSH margin"}
	return pic
}

// aged is a picture of a round that left the older figures out.
func aged() watch.Picture {
	pic := handMade()
	parcel, old := &pic.Parcels[0], begun.Add(-192*time.Minute)
	parcel.Manifolds[0].Pressure.At, parcel.Rate.Oldest, pic.Oldest = old, old, old
	parcel.TanksRead = begun.Add(-115 * time.Minute)
	parcel.ByUllage = watch.ByUllage{Flow: 4830 / hour, U95: 33 / hour, From: begun.Add(-177 * time.Minute), To: begun.Add(-117 * time.Minute)}
	parcel.Pumps[1].Speed.At, parcel.Pumps[1].Oldest = old, old
	pic.NextRound = old.Add(time.Hour)
	return pic
}

// fresh is a log without a reading.
func fresh(o *Options, l *fakeLog) {
	d, err := ship.Load(demo.Files())
	if err != nil {
		panic(err)
	}
	o.State, o.Recent, l.seq = watch.New(d), nil, 0
}

// secondRound is a log in which only COP 1 was read again, 10 minutes ago.
func secondRound(o *Options, _ *fakeLog) {
	s, err := watch.Try(o.State, journal.Reading{Pump: "COP 1", Speed: "1310 rpm", Suction: "0.60 bar", Discharge: "9.20 bar"}, begun.Add(-10*time.Minute))
	if err != nil {
		panic(err)
	}
	o.State = s
}

// unread is a picture of a ship whose gauges were not all read.
func unread() watch.Picture {
	pic, never := handMade(), watch.Figure{Value: math.NaN()}
	parcel := &pic.Parcels[0]
	parcel.Pumps[0] = watch.Pump{Name: "COP 1", SuctionUnit: "bar", DischargeUnit: "bar", Run: watch.Stopped, Speed: watch.Figure{Value: 0, Text: "0 rpm", At: pic.FirstRead}, Suction: never, Discharge: never}
	parcel.Pumps[2] = watch.Pump{Name: "COP 3", SuctionUnit: "bar", DischargeUnit: "bar", Speed: never, Suction: never, Discharge: never}
	parcel.Manifolds[0].Pressure, parcel.Manifolds[0].Margin = never, math.NaN()
	parcel.Rate.Flow, parcel.Rate.U95, parcel.Rate.Unread = 1120/hour, 440/hour, []string{"COP 3"}
	parcel.Volume, parcel.Remaining = math.NaN(), math.NaN()
	pic.NextRound = begun.Add(-25 * time.Minute)
	return pic
}
