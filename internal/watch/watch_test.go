package watch

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"
	"time"

	"example.org/headwatch/demo"
	"example.org/headwatch/internal/curves"
	"example.org/headwatch/internal/hydraulics"
	"example.org/headwatch/internal/journal"
	"example.org/headwatch/internal/ship"
	"pgregory.net/rapid"
)

const bar, hour = 1e5, 3600.0

var noon = time.Date(2026, 3, 1, 12, 0, 0, 0, time.FixedZone("+01:00", 3600))

func minutes(n int) time.Time { return noon.Add(time.Duration(n) * time.Minute) }

func demoState(t testing.TB) State {
	t.Helper()
	d, err := ship.Load(demo.Files())
	if err != nil {
		t.Fatal(err)
	}
	return New(d)
}

// entry returns a body as the log would hold it.
func entry(t testing.TB, seq uint64, at time.Time, body journal.Body) journal.Entry {
	t.Helper()
	dir := t.TempDir()
	log, err := journal.Create(dir, func() time.Time { return at },
		journal.Draft{At: at, By: "test", Body: journal.NewOpened(journal.Real, "test", nil)})
	if err != nil {
		t.Fatal(err)
	}
	defer log.Close()
	got, err := log.Append(journal.Draft{At: at, By: "test", Body: body})
	if err != nil {
		t.Fatal(err)
	}
	got[0].Seq = seq
	return got[0]
}

// fold folds bodies in: entry n is of minute n − 1.
func fold(t testing.TB, s State, bodies ...journal.Body) State {
	t.Helper()
	for _, body := range bodies {
		var err error
		if s, err = Fold(s, entry(t, s.Seq()+1, minutes(int(s.Seq())), body)); err != nil {
			t.Fatal(err)
		}
	}
	return s
}

func pumpReading(pump, speed, suction, discharge string) journal.Reading {
	return journal.Reading{Pump: pump, Speed: speed, Suction: suction, Discharge: discharge}
}

func threePumps() []journal.Body {
	return []journal.Body{
		pumpReading("COP 1", "1300 rpm", "0.62 bar", "9.20 bar"),
		pumpReading("COP 2", "1300 rpm", "0.55 bar", "9.15 bar"),
		pumpReading("COP 3", "1300 rpm", "0.48 bar", "9.10 bar"),
		journal.Reading{Manifold: "M2", Pressure: "7.02 bar"},
	}
}

func TestPictureOfThreePumps(t *testing.T) {
	s := fold(t, demoState(t), threePumps()...)
	p := Assess(s, minutes(6))
	if len(p.Parcels) != 1 || len(p.Parcels[0].Pumps) != 3 || len(p.Parcels[0].Manifolds) != 1 || len(p.Parcels[0].Tanks) != 6 {
		t.Fatalf("picture of %d parcels: %+v", len(p.Parcels), p.Parcels)
	}
	parcel := p.Parcels[0]
	meter := hydraulics.NewMeter(&s.Ship().Pumps[0].Pump)
	want, err := meter.Estimate(hydraulics.Reading{Speed: 1300, SpeedHalf: 0.5, Suction: 0.62 * bar, SuctionHalf: 0.005 * bar,
		Discharge: 9.2 * bar, DischargeHalf: 0.005 * bar}, s.Plan().Parcels[0].Liquid)
	if err != nil {
		t.Fatal(err)
	}
	got := parcel.Pumps[0]
	near(t, "flow, m3/h", got.Estimate.Flow*hour, want.Flow*hour, 1e-6)
	near(t, "flow u95, m3/h", got.Estimate.FlowU95*hour, want.FlowU95*hour, 1e-6)
	near(t, "to nominal, m3/h", got.ToNominal*hour, 2500-want.Flow*hour, 1e-6)
	near(t, "over minimum, m3/h", got.ToMinimum*hour, want.Flow*hour-750*1300/1480.0, 1e-6)
	if got.Run != Running || !got.Oldest.Equal(minutes(0)) {
		t.Errorf("COP 1 is %v, oldest figure %v", got.Run, got.Oldest)
	}
	sum := 0.0
	for _, pump := range parcel.Pumps {
		sum += pump.Estimate.Flow
	}
	near(t, "total, m3/h", parcel.Rate.Flow*hour, sum*hour, 1e-6)
	m := parcel.Manifolds[0]
	near(t, "manifold left, bar", m.Margin/bar, 8.5-7.02, 1e-9)
	// Class 1.6 of 0..16 bar is ±0.256 bar; half a digit ±0.005; both rectangular.
	near(t, "manifold u95, bar", m.U95/bar, 2*math.Sqrt((0.256*0.256+0.005*0.005)/3), 1e-9)
	if !p.FirstRead.Equal(minutes(0)) || !p.LastRead.Equal(minutes(3)) || !p.NextRound.Equal(minutes(60)) || !p.Oldest.Equal(minutes(0)) {
		t.Errorf("round %v–%v, next %v", p.FirstRead, p.LastRead, p.NextRound)
	}
	if !p.Fictional || p.Training || p.Ship != "MT Skerry Venture" {
		t.Errorf("ship %q, fictional %v, training %v", p.Ship, p.Fictional, p.Training)
	}
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.9g, want %.9g ± %.2g", what, got, want, tol)
	}
}

func TestFoldLeavesTheOldStateAlone(t *testing.T) {
	before := fold(t, demoState(t), threePumps()...)
	copied := Assess(before, minutes(9))
	fold(t, before, pumpReading("COP 1", "900 rpm", "1 bar", "5 bar"), journal.Ullage{Tank: "1C", Ullage: "5 m"},
		journal.Reading{Manifold: "M2", Pressure: "3 bar"})
	// NaN is unequal to itself: compare as text.
	if a, b := text(Assess(before, minutes(9))), text(copied); a != b {
		t.Errorf("the state changed under a later fold:\n%s\n%s", a, b)
	}
}

func text(p Picture) string { return fmt.Sprintf("%+v", p) }

func TestNotReadKeepsTheOldFigureAndItsAge(t *testing.T) {
	s := fold(t, demoState(t), pumpReading("COP 1", "1300 rpm", "0.62 bar", "9.20 bar"))
	s, err := Fold(s, entry(t, 2, minutes(60), pumpReading("COP 1", "1310 rpm", "", "9.30 bar")))
	if err != nil {
		t.Fatal(err)
	}
	got := Assess(s, minutes(61)).Parcels[0].Pumps[0]
	if got.Suction.Text != "0.62 bar" || !got.Suction.At.Equal(minutes(0)) || got.Speed.Text != "1310 rpm" {
		t.Errorf("suction %+v, speed %+v", got.Suction, got.Speed)
	}
	if !got.Oldest.Equal(minutes(0)) {
		t.Errorf("oldest figure of %v, want noon", got.Oldest)
	}
}

func TestUnchangedIsReadAnew(t *testing.T) {
	s := fold(t, demoState(t), pumpReading("COP 1", "1300 rpm", "0.62 bar", "9.20 bar"))
	r := pumpReading("COP 1", "1300 rpm", "0.62 bar", "9.30 bar")
	r.Unchanged = []string{"speed", "suction"}
	s, err := Fold(s, entry(t, 2, minutes(60), r))
	if err != nil {
		t.Fatal(err)
	}
	got := Assess(s, minutes(61)).Parcels[0].Pumps[0]
	if !got.Suction.Unchanged || !got.Speed.Unchanged || got.Discharge.Unchanged || !got.Suction.At.Equal(minutes(60)) {
		t.Errorf("suction %+v, discharge %+v", got.Suction, got.Discharge)
	}
}

// A reading keyed late never replaces a newer one.
func TestLateEntriesKeepTheNewest(t *testing.T) {
	s := demoState(t)
	for i, e := range []struct {
		at    int
		press string
	}{{60, "7.5 bar"}, {30, "6.0 bar"}, {61, "7.6 bar"}, {-10, "1 bar"}} {
		var err error
		if s, err = Fold(s, entry(t, uint64(i+1), minutes(e.at), journal.Reading{Manifold: "M2", Pressure: e.press})); err != nil {
			t.Fatal(err)
		}
	}
	if got := Assess(s, minutes(62)).Parcels[0].Manifolds[0].Pressure; got.Text != "7.6 bar" || !got.At.Equal(minutes(61)) {
		t.Errorf("manifold %q of %v", got.Text, got.At)
	}
}

func TestTanksByTheirLastTwoUllages(t *testing.T) {
	s := demoState(t)
	for i, e := range []struct {
		at     int
		ullage string
	}{{0, "2.00 m"}, {120, "4.00 m"}, {60, "3.00 m"}} { // the middle one keyed late
		var err error
		if s, err = Fold(s, entry(t, uint64(i+1), minutes(e.at), journal.Ullage{Tank: "1C", Ullage: e.ullage})); err != nil {
			t.Fatal(err)
		}
	}
	got := Assess(s, minutes(121)).Parcels[0].Tanks[0]
	// tanks/1c.csv at trim 0: 14490.0 m³ at 2 m; 840 m³ a metre: 13650 at 3 m, 12810 at 4 m.
	near(t, "volume, m3", got.Volume, 12810, 1e-6)
	near(t, "gone, m3", got.Gone, 840, 1e-6)
	near(t, "rate, m3/h", got.Rate*hour, 840, 1e-6)
	if !math.IsNaN(Assess(s, minutes(121)).Parcels[0].Volume) {
		t.Error("the parcel's volume is known though five tanks were never read")
	}
}

func TestStoppedPump(t *testing.T) {
	s := fold(t, demoState(t), append(threePumps(), pumpReading("COP 2", "0 rpm", "1.2 bar", ""))...)
	parcel := Assess(s, minutes(10)).Parcels[0]
	if parcel.Pumps[1].Run != Stopped || len(parcel.Rate.Unread) != 0 {
		t.Errorf("COP 2 is %v, unread %v", parcel.Pumps[1].Run, parcel.Rate.Unread)
	}
	near(t, "total of two", parcel.Rate.Flow, parcel.Pumps[0].Estimate.Flow+parcel.Pumps[2].Estimate.Flow, 1e-12)
}

func TestRateWithoutAPumpThatCantBeRead(t *testing.T) {
	s := fold(t, demoState(t), threePumps()...)
	s = fold(t, s, pumpReading("COP 2", "1300 rpm", "0.5 bar", "11.5 bar")) // over shut-off
	r := Assess(s, minutes(10)).Parcels[0].Rate
	if len(r.Unread) != 1 || r.Unread[0] != "COP 2" || r.LowerBound {
		t.Errorf("unread %v, lower bound %v", r.Unread, r.LowerBound)
	}
	s = fold(t, s, pumpReading("COP 2", "1300 rpm", "0.5 bar", "6 bar")) // past the end
	if r := Assess(s, minutes(10)).Parcels[0].Rate; !r.LowerBound || len(r.Unread) != 0 {
		t.Errorf("unread %v, lower bound %v", r.Unread, r.LowerBound)
	}
	if r := Assess(demoState(t), noon).Parcels[0].Rate; !math.IsNaN(r.Flow) || len(r.Unread) != 3 {
		t.Errorf("nothing read: rate %g, unread %v", r.Flow, r.Unread)
	}
}

func TestFoldRefusesAGap(t *testing.T) {
	s := fold(t, demoState(t), threePumps()...)
	for _, seq := range []uint64{0, 4, 6} {
		after, err := Fold(s, entry(t, seq, noon, journal.Note{Text: "x"}))
		if !errors.Is(err, ErrOrder) || after.Seq() != s.Seq() {
			t.Errorf("entry %d after 4: %v, seq %d", seq, err, after.Seq())
		}
	}
}

func TestBadFiguresLoseNothing(t *testing.T) {
	s := fold(t, demoState(t), threePumps()...)
	for _, body := range []journal.Body{
		pumpReading("COP 9", "1300 rpm", "1 bar", "9 bar"),
		pumpReading("COP 1", "fast", "", ""),
		pumpReading("COP 1", "-1300 rpm", "", ""),
		journal.Reading{Manifold: "M7", Pressure: "3 bar"},
		journal.Reading{Manifold: "M2", Pressure: "3 m"},
		journal.Ullage{Tank: "9C", Ullage: "3 m"},
		journal.Ullage{Tank: "1C", Ullage: "-3 m"},
	} {
		after, err := Fold(s, entry(t, 5, minutes(5), body))
		if err == nil || after.Seq() != 5 {
			t.Errorf("%+v: error %v, seq %d", body, err, after.Seq())
		}
		if got := Assess(after, minutes(6)).Parcels[0]; got.Pumps[0].Speed.Text != "1300 rpm" || got.Manifolds[0].Pressure.Text != "7.02 bar" {
			t.Errorf("%+v replaced a figure", body)
		}
	}
}

func TestAdvance(t *testing.T) {
	s := fold(t, demoState(t), threePumps()...)
	rapid.Check(t, func(rt *rapid.T) {
		a := minutes(rapid.IntRange(-600, 600).Draw(rt, "a"))
		b := minutes(rapid.IntRange(-600, 600).Draw(rt, "b"))
		once, back := Advance(s, a), Advance(Advance(s, a), b)
		if !reflect.DeepEqual(Advance(once, a).now, once.now) || back.now.Before(once.now) {
			rt.Fatalf("advance to %v then %v: now %v", a, b, back.now)
		}
	})
}

func TestNotices(t *testing.T) {
	normal := threePumps()
	with := func(more ...journal.Body) []journal.Body {
		return append(append([]journal.Body(nil), normal...), more...)
	}
	manifold := func(p string) journal.Reading { return journal.Reading{Manifold: "M2", Pressure: p} }
	tests := []struct {
		name     string
		bodies   []journal.Body
		at       int // minutes after noon
		want     string
		priority Priority
		says     string
	}{
		{"normal", normal, 10, "", 0, ""},
		{"manifold at 95 %", with(manifold("8.075 bar")), 10, "", 0, ""}, // 0.95 × 8.5 = 8.075: not above
		{"manifold just over 95 %", with(manifold("8.076 bar")), 10, "near manifold limit", Warning, "8.08 of 8.50 bar"},
		{"manifold at the limit", with(manifold("8.50 bar")), 10, "near manifold limit", Warning, "8.50 of 8.50 bar"},
		{"manifold over", with(manifold("8.51 bar")), 10, "over agreed manifold pressure", Alarm, "8.51 of 8.50 bar"},
		{"over nominal", with(pumpReading("COP 1", "1480 rpm", "0.6 bar", "10.4 bar")), 10, "over nominal capacity", Caution, "COP 1"},
		{"near the end", with(pumpReading("COP 1", "1300 rpm", "0.6 bar", "6 bar")), 10, "near the end of the curve", Alarm, "COP 1"},
		{"above the curve", with(pumpReading("COP 1", "1300 rpm", "0.6 bar", "11.5 bar")), 10, "head above its curve", Warning, "COP 1"},
		{"below minimum", with(pumpReading("COP 1", "1300 rpm", "0.6 bar", "10.15 bar")), 10, "below minimum flow", Warning, "likely"},
		{"too fast", with(pumpReading("COP 1", "1490 rpm", "0.6 bar", "11.8 bar")), 10, "speed above maximum", Alarm, "1490 of 1480 rpm"},
		{"off the scale", with(pumpReading("COP 1", "1300 rpm", "-1.02 bar", "7.6 bar")), 10, "reading implausible", Caution, "-1.02 bar"},
		{"suction low", with(pumpReading("COP 1", "1300 rpm", "-0.18 bar", "8.35 bar")), 10, "NPSH margin low", Warning, "m left"},
		{"suction gone", with(pumpReading("COP 1", "1300 rpm", "-0.62 bar", "7.9 bar")), 10, "no NPSH margin", Alarm, "m left"},
		{"rate likely over", with(pumpReading("COP 1", "1400 rpm", "0.6 bar", "9.6 bar"), pumpReading("COP 2", "1400 rpm", "0.6 bar", "9.6 bar"),
			pumpReading("COP 3", "1400 rpm", "0.6 bar", "9.6 bar")), 10, "rate above agreed", Caution, "likely"},
		{"due but not overdue", normal, 69, "", 0, ""}, // first read at 0, due at 60, 10 minutes' grace
		{"overdue", normal, 70, "readings overdue", Caution, "70 min ago"},
		{"long overdue", normal, 121, "readings overdue", Warning, "121 min ago"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			p := Assess(fold(t, demoState(t), tt.bodies...), minutes(tt.at))
			if tt.want == "" {
				if len(p.Notices) != 0 {
					t.Errorf("notices %+v, want none", p.Notices)
				}
				return
			}
			for _, n := range p.Notices {
				if n.Name == tt.want && n.Priority == tt.priority && strings.Contains(n.Text, tt.says) && n.Action != "" {
					return
				}
			}
			t.Errorf("no %v %q saying %q among %+v", tt.priority, tt.want, tt.says, p.Notices)
		})
	}
}

func TestHighestNoticeComesFirst(t *testing.T) {
	bodies := append(threePumps(), pumpReading("COP 1", "1480 rpm", "0.6 bar", "10.4 bar"), journal.Reading{Manifold: "M2", Pressure: "9 bar"})
	p := Assess(fold(t, demoState(t), bodies...), minutes(10))
	if len(p.Notices) < 2 || p.Notices[0].Priority != Alarm {
		t.Errorf("notices %+v", p.Notices)
	}
	for i := 1; i < len(p.Notices); i++ {
		if p.Notices[i].Priority > p.Notices[i-1].Priority {
			t.Errorf("notice %d outranks the one before it", i)
		}
	}
}

func TestDoubts(t *testing.T) {
	before := fold(t, demoState(t), append(threePumps(), journal.Ullage{Tank: "4C", Ullage: "10.00 m"})...)
	tests := []struct {
		name, field, says string
		body              journal.Body
	}{
		{"as before", "", "", pumpReading("COP 1", "1300 rpm", "0.60 bar", "9.10 bar")},
		{"off the scale", "suction", "scale", pumpReading("COP 1", "1300 rpm", "-1.1 bar", "9.10 bar")},
		{"on the end of the scale", "", "", pumpReading("COP 1", "1300 rpm", "", "9.10 bar")},
		{"swapped", "discharge", "under the suction", pumpReading("COP 1", "1300 rpm", "4.9 bar", "0.6 bar")},
		{"jump at the same speed", "discharge", "9.20 bar at the same speed", pumpReading("COP 1", "1300 rpm", "0.60 bar", "7.3 bar")},
		{"19 % at the same speed", "", "", pumpReading("COP 1", "1300 rpm", "0.60 bar", "7.46 bar")},
		{"jump with the speed", "", "", pumpReading("COP 1", "1100 rpm", "0.60 bar", "6.9 bar")},
		{"a digit lost", "speed", "20 %", pumpReading("COP 1", "130 rpm", "", "")},
		{"stopped", "", "", pumpReading("COP 1", "0 rpm", "", "")},
		{"too fast", "speed", "1480 rpm", pumpReading("COP 1", "1500 rpm", "", "")},
		{"small suction moves", "", "", pumpReading("COP 1", "1300 rpm", "0.45 bar", "9.1 bar")},
		{"suction jump", "suction", "0.62 bar", pumpReading("COP 1", "1300 rpm", "-0.3 bar", "8.4 bar")},
		{"manifold off the scale", "pressure", "scale", journal.Reading{Manifold: "M2", Pressure: "16.1 bar"}},
		{"manifold jump", "pressure", "7.02 bar", journal.Reading{Manifold: "M2", Pressure: "5 bar"}},
		{"level rises", "ullage", "rises", journal.Ullage{Tank: "4C", Ullage: "9.9 m"}},
		{"outside the table", "ullage", "table", journal.Ullage{Tank: "4C", Ullage: "30 m"}},
		{"level falls", "", "", journal.Ullage{Tank: "4C", Ullage: "11 m"}},
		{"not a figure", "", "", journal.Ullage{Tank: "4C", Ullage: "deep"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := Doubts(before, tt.body, minutes(60))
			for _, d := range got {
				if d.Field == tt.field && strings.Contains(d.Text, tt.says) {
					return
				}
			}
			if tt.field != "" || len(got) > 0 {
				t.Errorf("got %+v, want %q saying %q", got, tt.field, tt.says)
			}
		})
	}
}

// A training log says so from its first entry on.
func TestTraining(t *testing.T) {
	s := fold(t, demoState(t))
	e := entry(t, 1, noon, journal.Note{Text: "x"})
	e.Kind, e.Data = journal.KindOpened, []byte(`{"format":"training","version":"test","files":{}}`)
	s, err := Fold(s, e)
	if err != nil || !Assess(s, noon).Training {
		t.Errorf("training %v, error %v", Assess(s, noon).Training, err)
	}
}

func TestStatesReachThePicture(t *testing.T) {
	s := fold(t, demoState(t), pumpReading("COP 1", "1300 rpm", "0.6 bar", "6 bar"))
	if got := Assess(s, noon).Parcels[0].Pumps[0].Estimate.State; got != curves.BeyondEnd {
		t.Errorf("state %v, want beyond-end", got)
	}
}

func BenchmarkFold(b *testing.B) {
	s := fold(b, demoState(b), threePumps()...)
	e := entry(b, 5, minutes(5), pumpReading("COP 1", "1300 rpm", "0.62 bar", "9.20 bar"))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Fold(s, e); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkAssess(b *testing.B) {
	s := fold(b, demoState(b), threePumps()...)
	b.ReportAllocs()
	for b.Loop() {
		if p := Assess(s, minutes(9)); len(p.Parcels) != 1 {
			b.Fatal(p)
		}
	}
}

// One figure left out of a round is as old as it is: the picture says so, and
// it falls due when its own hour is over.
func TestAFigureLeftOutStaysOld(t *testing.T) {
	s := fold(t, demoState(t), threePumps()...)
	for i, body := range []journal.Body{pumpReading("COP 1", "1300 rpm", "0.6 bar", "9.2 bar"), pumpReading("COP 2", "1300 rpm", "0.6 bar", "9.2 bar"),
		pumpReading("COP 3", "1300 rpm", "0.6 bar", "9.2 bar")} { // a round without the manifold
		var err error
		if s, err = Fold(s, entry(t, s.Seq()+1, minutes(60+i), body)); err != nil {
			t.Fatal(err)
		}
	}
	p := Assess(s, minutes(75))
	if !p.Oldest.Equal(minutes(3)) || !p.FirstRead.Equal(minutes(60)) || !p.NextRound.Equal(minutes(63)) {
		t.Errorf("oldest %v, round from %v, next %v", p.Oldest, p.FirstRead, p.NextRound)
	}
	if len(p.Notices) == 0 || p.Notices[0].Name != "readings overdue" {
		t.Errorf("notices %+v, want the manifold overdue", p.Notices)
	}
	if r := p.Parcels[0].Rate; !r.Oldest.Equal(minutes(60)) {
		t.Errorf("the rate rests on figures of %v", r.Oldest)
	}
}

// An open upper end is not a lower bound: only a pump past its curve's end makes
// the rate one.
func TestOpenEndIsNoLowerBound(t *testing.T) {
	s := fold(t, demoState(t), append(threePumps(), pumpReading("COP 1", "1400 rpm", "0.6 bar", "9.1 bar"))...)
	got := Assess(s, minutes(10)).Parcels[0]
	if !math.IsNaN(got.Pumps[0].Estimate.FlowHigh) || got.Pumps[0].Estimate.State != curves.OK {
		t.Fatalf("the example must be open at the end: %+v", got.Pumps[0].Estimate)
	}
	if got.Rate.LowerBound {
		t.Error("the rate is called a lower bound")
	}
}

// Six tanks of the demo, 1 m in 60 minutes each, read a minute apart: what the
// tables say a metre holds, in an hour.
func TestRateByUllage(t *testing.T) {
	s := demoState(t)
	want := 0.0
	for k, tank := range s.Ship().Tanks {
		for i, at := range []string{"2.00 m", "3.00 m"} {
			var err error
			if s, err = Fold(s, entry(t, s.Seq()+1, minutes(60*i+k), journal.Ullage{Tank: tank.Name, Ullage: at})); err != nil {
				t.Fatal(err)
			}
		}
		a, _ := tank.Volumes.Volume(2, 0)
		b, _ := tank.Volumes.Volume(3, 0)
		want += a - b
	}
	got := Assess(s, minutes(70)).Parcels[0]
	near(t, "by ullage, m3/h", got.ByUllage.Flow*hour, want, 1e-6)
	if !(got.ByUllage.U95 > 0) || !got.ByUllage.From.Equal(minutes(5)) || !got.ByUllage.To.Equal(minutes(60)) || !got.TanksRead.Equal(minutes(60)) {
		t.Errorf("%+v, tanks read %v", got.ByUllage, got.TanksRead)
	}
}

// A manifold gauge with a known error: the limit is held against the pressure,
// 8.3 bar shown with a zero of −0.4 bar being 8.7 bar.
func TestManifoldZeroIsTakenOff(t *testing.T) {
	d, err := ship.Load(demo.Files())
	if err != nil {
		t.Fatal(err)
	}
	d.Ship.Manifolds[0].Gauge.Zero = -0.4 * bar
	p := Assess(fold(t, New(d), journal.Reading{Manifold: "M2", Pressure: "8.3 bar"}), minutes(1))
	near(t, "margin, bar", p.Parcels[0].Manifolds[0].Margin/bar, -0.2, 1e-9)
	if len(p.Notices) == 0 || p.Notices[0].Priority != Alarm {
		t.Errorf("notices %+v, want an alarm", p.Notices)
	}
	d.Ship.Manifolds[0].Gauge.Zero, d.Ship.Manifolds[0].Gauge.Absolute = 0, true
	p = Assess(fold(t, New(d), journal.Reading{Manifold: "M2", Pressure: "9.0 bar"}), minutes(1))
	near(t, "margin of an absolute gauge, bar", p.Parcels[0].Manifolds[0].Margin/bar, 8.5-9+1.01325, 1e-9)
}

// A tank read again within the round replaces the figure; the span it closes
// stays. A figure that can't be used changes nothing.
func TestTankReadAgain(t *testing.T) {
	s := demoState(t)
	for i, e := range []struct {
		at     int
		ullage string
	}{{0, "2.00 m"}, {60, "60 m"}, {66, "3.00 m"}} {
		var err error
		if s, err = Fold(s, entry(t, uint64(i+1), minutes(e.at), journal.Ullage{Tank: "1C", Ullage: e.ullage})); err != nil {
			t.Fatal(err)
		}
	}
	s, err := Fold(s, entry(t, 4, minutes(130), journal.Ullage{Tank: "1C", Ullage: "abc"}))
	if err == nil {
		t.Error("abc is an ullage")
	}
	got := Assess(s, minutes(131)).Parcels[0].Tanks[0]
	if got.Ullage.Text != "3.00 m" || got.Previous.Text != "2.00 m" {
		t.Errorf("ullage %q after %q", got.Ullage.Text, got.Previous.Text)
	}
	near(t, "rate, m3/h", got.Rate*hour, 840/1.1, 1e-6) // 840 m³ in 66 minutes
}

// A speed over the maximum is told even where a gauge was never read.
func TestTooFastWithoutAGauge(t *testing.T) {
	p := Assess(fold(t, demoState(t), pumpReading("COP 1", "1600 rpm", "", "9 bar")), minutes(1))
	if len(p.Notices) == 0 || p.Notices[0].Name != "speed above maximum" {
		t.Errorf("notices %+v", p.Notices)
	}
}
