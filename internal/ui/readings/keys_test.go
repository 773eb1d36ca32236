package readings

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"pgregory.net/rapid"

	"example.org/headwatch/internal/journal"
)

func TestKeyedFigures(t *testing.T) {
	for _, tt := range []struct {
		name string
		keys string
		want []journal.Body
	}{
		{"a row", "1310 Enter .6 Enter 9.1 Enter", []journal.Body{journal.Reading{Pump: "COP 1", Speed: "1310 rpm", Suction: ".6 bar", Discharge: "9.1 bar"}}},
		{"Enter on empty: not read", "1310 Enter Enter 9.1 Enter", []journal.Body{journal.Reading{Pump: "COP 1", Speed: "1310 rpm", Discharge: "9.1 bar"}}},
		{"= is read, unchanged, and goes on", "= .6 Enter =", []journal.Body{journal.Reading{Pump: "COP 1", Speed: "1300 rpm", Suction: ".6 bar", Discharge: "9.04 bar", Unchanged: []string{"speed", "discharge"}}}},
		{"Enter after = is one habit too many", "= Enter .6 Enter = Enter", []journal.Body{journal.Reading{Pump: "COP 1", Speed: "1300 rpm", Suction: ".6 bar", Discharge: "9.04 bar", Unchanged: []string{"speed", "discharge"}}}},
		{"comma", "Tab 0,6 Enter", []journal.Body{journal.Reading{Pump: "COP 1", Suction: "0,6 bar"}}},
		{"another unit", "Tab 8psi Enter", []journal.Body{journal.Reading{Pump: "COP 1", Suction: "8psi"}}},
		{"another unit after a space", "Tab 8 Space psi Enter", []journal.Body{journal.Reading{Pump: "COP 1", Suction: "8 psi"}}},
		{"uncertainty", "Tab Tab 9.1±0.2 Enter", []journal.Body{journal.Reading{Pump: "COP 1", Discharge: "9.1±0.2 bar"}}},
		{"uncertainty on a plain keyboard", "Tab Tab 9.1+-0.2 Enter", []journal.Body{journal.Reading{Pump: "COP 1", Discharge: "9.1+-0.2 bar"}}},
		{"suction below zero", "Tab -.25 Enter", []journal.Body{journal.Reading{Pump: "COP 1", Suction: "-.25 bar"}}},
		{"erased and typed again", "1319 Bksp 0 Enter", []journal.Body{journal.Reading{Pump: "COP 1", Speed: "1310 rpm"}}},
		{"erased altogether", "13 Bksp Bksp Enter", nil},
		{"later erased", "1310 Enter Left Bksp Bksp Bksp Bksp", nil},
		{"typed over", "1310 Enter Left 1320 Enter", []journal.Body{journal.Reading{Pump: "COP 1", Speed: "1320 rpm"}}},
		{"Esc keeps what is typed", "1310 Esc", []journal.Body{journal.Reading{Pump: "COP 1", Speed: "1310 rpm"}}},
		{"down the column", "Down 1310 Down 1320 Enter", []journal.Body{journal.Reading{Pump: "COP 2", Speed: "1310 rpm"}, journal.Reading{Pump: "COP 3", Speed: "1320 rpm"}}},
		{"up from the top is the line that logs, up again the last tank", "Up Up 10.3 Enter", []journal.Body{journal.Ullage{Tank: "6C", Ullage: "10.3 m"}}},
		{"back", "Tab Tab BackTab .6 Enter", []journal.Body{journal.Reading{Pump: "COP 1", Suction: ".6 bar"}}},
		{"manifold and tank", "Down Down Down 7,3 Enter Enter Enter Enter 10.4 Enter", []journal.Body{journal.Reading{Manifold: "M2", Pressure: "7,3 bar"}, journal.Ullage{Tank: "4C", Ullage: "10.4 m"}}},
		{"unchanged ullage", "Down Down Down Down Down Down Down =", []journal.Body{journal.Ullage{Tank: "4C", Ullage: "10.02 m"}}},
		{"= where nothing was ever read", "Down Down Down Down =", nil},
		{"unknown keys do nothing", "x z Z ; @", nil},
		{"undo", "1310 Enter .6 Enter u", []journal.Body{journal.Reading{Pump: "COP 1", Speed: "1310 rpm"}}},
		{"undo of =", "= = u u", nil},
		{"undo of an erased figure", "1310 Enter Left Bksp Bksp Bksp Bksp u", []journal.Body{journal.Reading{Pump: "COP 1", Speed: "1310 rpm"}}},
		{"undo with nothing", "u u u", nil},
		{"a figure kept is no figure to undo", "1310 Enter Left Bksp 0 Enter u", nil},
	} {
		k := keys(t).press(tt.keys)
		if got := bodies(k.Drafts(k.now)); !reflect.DeepEqual(got, tt.want) {
			t.Errorf("%s: %s\n got %v\nwant %v\n%s", tt.name, tt.keys, got, tt.want, k.screen())
		}
	}
}

func TestLine(t *testing.T) {
	for _, tt := range []struct {
		name  string
		keys  string
		want  []journal.Body
		words string // on the screen
	}{
		{"a pump by number", "/ 2 Space 1300 Space .6 Space 9.1 Enter", []journal.Body{journal.Reading{Pump: "COP 2", Speed: "1300 rpm", Suction: ".6 bar", Discharge: "9.1 bar"}}, "/ ▏"},
		{"by name", "/ cop Space 2 Space 1300 Enter", []journal.Body{journal.Reading{Pump: "COP 2", Speed: "1300 rpm"}}, ""},
		{"manifold", "/ m Space 7,2 Enter", []journal.Body{journal.Reading{Manifold: "M2", Pressure: "7,2 bar"}}, ""},
		{"manifold by name", "/ M2 Space 7.2 Enter", []journal.Body{journal.Reading{Manifold: "M2", Pressure: "7.2 bar"}}, ""},
		{"tank", "/ 4c Space 11.34 Enter", []journal.Body{journal.Ullage{Tank: "4C", Ullage: "11.34 m"}}, ""},
		{"a unit apart, one not read, one unchanged", "/ 1 Space - Space 8 Space psi Space = Enter", []journal.Body{journal.Reading{Pump: "COP 1", Suction: "8 psi", Discharge: "9.04 bar", Unchanged: []string{"discharge"}}}, "not read"},
		{"of an earlier time", "/ 4C Space 10.2@15:10 Enter", []journal.Body{journal.Ullage{Tank: "4C", Ullage: "10.2 m"}}, "4C as of 15:10"},
		{"two lines", "/ m Space 7.2 Enter 4C Space 11.3 Enter Esc", []journal.Body{journal.Reading{Manifold: "M2", Pressure: "7.2 bar"}, journal.Ullage{Tank: "4C", Ullage: "11.3 m"}}, ""},
		{"undone", "/ 2 Space 1300 Space .6 Enter Esc u", nil, "undone"},
		{"no such pump", "/ 7 Space 1300 Enter", nil, `"7" is no pump by number or name`},
		{"a number alone is never a tank", "/ 4 Space 11.3 Enter", nil, `"4" is no pump`},
		{"too many", "/ m Space 7.2 Space 7.3 Enter", nil, "M2: 2 figures, want pressure"},
		{"none", "/ 2 Enter", nil, "COP 2: want speed, suction, discharge"},
		{"nothing to repeat", "/ 1C Space = Enter", nil, "ullage was never read"},
		{"what is not understood stays to be mended", "/ 7 Space 13 Enter Bksp Bksp Bksp Bksp 1 Space 1310 Enter", []journal.Body{journal.Reading{Pump: "COP 1", Speed: "1310 rpm"}}, ""},
		{"an empty one closes", "/ Enter 1310 Enter", []journal.Body{journal.Reading{Pump: "COP 1", Speed: "1310 rpm"}}, ""},
	} {
		k := keys(t).press(tt.keys)
		if got := bodies(k.Drafts(k.now)); !reflect.DeepEqual(got, tt.want) {
			t.Errorf("%s: %s\n got %v\nwant %v\n%s", tt.name, tt.keys, got, tt.want, k.screen())
		}
		if !strings.Contains(k.screen(), tt.words) {
			t.Errorf("%s: %q is not in\n%s", tt.name, tt.words, k.screen())
		}
	}
}

// The flow moves with each sign that is typed; what was stands beside it.
func TestPreview(t *testing.T) {
	k := keys(t)
	before := k.screen()
	flows := map[string]bool{}
	for _, keys := range []string{"Tab Tab 9", ".", "2", "2"} {
		pump := k.press(keys).round.After.Parcels[0].Pumps[0]
		flows[fmt.Sprintf("%.0f", pump.Estimate.Flow*3600)] = true
	}
	if len(flows) < 3 {
		t.Errorf("the flow took the values %v only", flows)
	}
	if k.round.Before.Parcels[0].Pumps[0].Discharge.Text != "9.04 bar" || k.screen() == before {
		t.Errorf("the figures of before changed:\n%s", k.screen())
	}
}

// A row is of the moment its last figure was keyed.
func TestTimes(t *testing.T) {
	k := keys(t).press("1310 Enter .6 Enter")
	row := k.now
	k.now = k.now.Add(2 * time.Minute)
	k.press("Down 7.3 Enter")
	drafts := k.Drafts(k.now.Add(time.Hour))
	if len(drafts) != 2 || !drafts[0].At.Equal(row) || !drafts[1].At.Equal(k.now) {
		t.Fatalf("%v, want times %v and %v", drafts, row, k.now)
	}
	if zone := drafts[0].At.Format("-07:00"); zone != "+01:00" || drafts[0].By != "2/O Dahl" {
		t.Errorf("offset %s by %q", zone, drafts[0].By)
	}
}

func TestDoubtsAreConfirmedOnce(t *testing.T) {
	k := keys(t).press("Tab Tab 4.5")
	if got := k.screen(); !strings.Contains(got, "4.5▏?") || !strings.Contains(got, "more than 20 % from 9.04 bar at the same speed") {
		t.Fatalf("no doubt while typing:\n%s", got)
	}
	k.press("Enter Down Down Down 7.3 Enter L")
	if k.out != nil || !strings.Contains(k.screen(), "1 doubt: L again to log as it is") {
		t.Fatalf("logged %v without asking:\n%s", k.out, k.screen())
	}
	if k.press("L"); len(k.out) != 2 || !strings.Contains(k.screen(), "logging 2 rows…") {
		t.Fatalf("logged %v:\n%s", k.out, k.screen())
	}
}

// A figure keyed after the doubts were shown was not confirmed with them.
func TestNewDoubtIsAskedAgain(t *testing.T) {
	k := keys(t).press("Tab Tab 4.5 Enter L Down 19.5 Enter L")
	if k.out != nil || !strings.Contains(k.screen(), "2 doubts: L again") {
		t.Fatalf("logged %v:\n%s", k.out, k.screen())
	}
}

func TestNoFigureIsNotLogged(t *testing.T) {
	for keyed, words := range map[string]string{
		"Tab 9.x Enter":     `suction: pressure "9.x"`,
		"Tab 1,234.5 Enter": "write thousands without separators",
		"-5 Enter":          "want 0 or more",
		"13oo Enter":        `unknown unit "oo"`,
	} {
		k := keys(t).press(keyed + " Down Down Down 7.3 Enter L")
		if got := k.screen(); k.out != nil || !strings.Contains(got, "not a figure") || !strings.Contains(got, words) || !strings.Contains(got, "!") {
			t.Errorf("%s: logged %v, want %q in\n%s", keyed, k.out, words, got)
		}
		if kept := k.Drafts(k.now); len(kept) != 2 {
			t.Errorf("%s: kept %v", keyed, kept)
		}
	}
}

func TestLogIsOffered(t *testing.T) {
	k := keys(t).press("= = = Up Up") // up past the first row
	if got := k.screen(); !strings.Contains(got, "▸ Log the round: Enter or L") {
		t.Fatalf("not offered:\n%s", got)
	}
	if k.press("Enter"); len(k.out) != 1 {
		t.Fatalf("Enter logged %v:\n%s", k.out, k.screen())
	}
	k = keys(t).press(strings.Repeat("Enter ", 16)) // 9 fields of pumps, the manifold, 6 tanks
	if got := k.screen(); !strings.Contains(got, "▸ Log the round") {
		t.Errorf("Enter on the last field does not offer it:\n%s", got)
	}
	if k.press("Enter"); k.out != nil || !strings.Contains(k.screen(), "nothing keyed yet") {
		t.Errorf("logged %v of nothing:\n%s", k.out, k.screen())
	}
}

func TestLogged(t *testing.T) {
	k := keys(t).press("= .6 Enter 9.1 Enter L")
	if k.press("1234"); len(k.Drafts(k.now)) != 1 || k.Typing() {
		t.Fatalf("keys went into a round that is being logged: %v", k.Drafts(k.now))
	}
	k.Model = k.Model.Logged([]journal.Entry{{Seq: 41, Entered: begun.Add(2 * time.Minute)}, {Seq: 42, Entered: begun.Add(2 * time.Minute)}}, k.now)
	if got := k.screen(); len(k.Drafts(k.now)) != 0 || !strings.Contains(got, "logged 15:19, entries 41–42") || !strings.Contains(got, "Nothing keyed yet") {
		t.Fatalf("left %v:\n%s", k.Drafts(k.now), got)
	}
	if k.press("u"); !strings.Contains(k.screen(), "nothing to undo") {
		t.Errorf("undid what is logged:\n%s", k.screen())
	}
}

func TestNotLogged(t *testing.T) {
	k := keys(t).press("= .6 Enter 9.1 Enter L")
	want := k.Drafts(k.now)
	k.Model = k.Model.NotLogged("no space left on device. L tries again.")
	if got := k.screen(); !strings.Contains(got, "NOT LOGGED: no space left on device. L tries again.") {
		t.Fatalf("why is not said:\n%s", got)
	}
	k.out = nil
	if k.press("L"); !reflect.DeepEqual(k.out, want) {
		t.Errorf("tried again with %v, want %v", k.out, want)
	}
}

func TestReadOnlyKeysNothing(t *testing.T) {
	k := keys(t)
	k.Model = k.ReadOnly(journal.ErrInUse)
	k.press("1310 Enter = / m L u Bksp")
	if got := k.screen(); len(k.Drafts(k.now)) != 0 || !strings.Contains(got, "READ-ONLY") || !strings.Contains(got, "another running instance writes it") || strings.Contains(got, "▸") {
		t.Errorf("keyed %v:\n%s", k.Drafts(k.now), got)
	}
}

// What was kept comes back as it was, figure or not.
func TestRestore(t *testing.T) {
	old := keys(t).press("1310 Enter 9.x Enter = Down Down 7.3 Enter")
	kept := old.Drafts(old.now)
	m, words := newModel(t).Restore(append(kept, journal.Draft{At: begun, Body: journal.Ullage{Tank: "9C", Ullage: "3.3 m"}}), begun)
	if got := m.Drafts(begun.Add(time.Hour)); !reflect.DeepEqual(got, kept) {
		t.Errorf("got %v, want %v", got, kept)
	}
	if m.Keyed() != "4 figures" || !slices.ContainsFunc(words, contains("9C 3.3 m")) {
		t.Errorf("it says %q", words)
	}
}

func contains(part string) func(string) bool {
	return func(s string) bool { return strings.Contains(s, part) }
}

// Keys of a full round: three pumps, the manifold, six ullages, typed as the
// gauges show them.
func TestKeystrokesOfARound(t *testing.T) {
	k := keys(t)
	count := 0
	press := func(word string) {
		k.press(word)
		if _, ok := named[word]; ok {
			count++
		} else {
			count += len(word)
		}
	}
	for _, figure := range strings.Fields("1300 .62 9.04 1302 .55 9.02 1301 .48 8.98 7.2 11.3 11.5 11.0 10.2 11.0 11.0") {
		press(figure)
		press("Enter")
	}
	press("L")
	if len(k.out) != 10 {
		t.Fatalf("logged %v\n%s", k.out, k.screen())
	}
	t.Logf("%d keys", count)
	if count > 90 {
		t.Errorf("%d keys, want 90 at most", count)
	}
}

func TestPaste(t *testing.T) {
	k := keys(t)
	k.key(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("quit\n"), Paste: true})
	if len(k.Drafts(k.now)) != 0 {
		t.Errorf("words were pasted into a field: %v", k.Drafts(k.now))
	}
	k.key(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("1310\n\x1b" + strings.Repeat("9", 1<<20)), Paste: true})
	if got := bodies(k.Drafts(k.now))[0].(journal.Reading).Speed; !strings.HasPrefix(got, "1310") || len(got) > 40 {
		t.Errorf("pasted %.60q", got)
	}
}

// Whatever is pressed: no panic, sizes hold, and what L logs is what was keyed.
func TestAnyKeys(t *testing.T) {
	words := []string{"Enter", "Tab", "BackTab", "Up", "Down", "Left", "Right", "Esc", "Bksp", "Space", "=", "/", "u", "L", "1", "9", ".", ",", "-", "b", "a", "r", "±", "m", "4C"}
	base := newModel(t)
	rapid.Check(t, func(t *rapid.T) {
		k := &keyboard{Model: base, now: begun}
		for range rapid.IntRange(0, 60).Draw(t, "keys") {
			k.out = nil
			before := k.Drafts(k.now)
			k.press(rapid.SampledFrom(words).Draw(t, "key"))
			if k.out == nil {
				continue
			}
			if !reflect.DeepEqual(k.out, before) {
				t.Fatalf("logged %v, keyed %v", k.out, before)
			}
			if rapid.Bool().Draw(t, "disk full") {
				k.Model = k.NotLogged("disk full")
			} else {
				k.Model = k.Logged([]journal.Entry{{Seq: 1}}, k.now)
			}
		}
		width, height := rapid.IntRange(-1, 150).Draw(t, "width"), rapid.IntRange(-1, 50).Draw(t, "height")
		k.View(width, height)
	})
}

// "=" moves on by itself: the Enter that follows out of habit marks nothing, a
// second one does.
func TestEnterAfterSame(t *testing.T) {
	k := keys(t).press("= Enter")
	if c := k.round.Cell(k.fields[1]); c.Skipped || k.focus != 1 {
		t.Errorf("after one Enter %+v, focus %d", c, k.focus)
	}
	if c := k.press("Enter").round.Cell(k.fields[1]); !c.Skipped || k.focus != 2 {
		t.Errorf("after two %+v, focus %d", c, k.focus)
	}
}

// While a figure is none, nothing of its row is shown from the one before.
func TestFaultShowsNoOldFigure(t *testing.T) {
	for keyed, gone := range map[string][]string{
		"Tab 9.x":            {"101.5", "1,900 ±470", "5,600 ±"},
		"Down Tab 9.x":       {"102.0", "1,860 ±480"},
		"Down Down Down 7.x": {"1.30 left"},
	} {
		before, got := keys(t).screen(), keys(t).press(keyed).screen()
		for _, words := range gone {
			if !strings.Contains(before, words) || strings.Contains(got, words) {
				t.Errorf("%s: %q is in\n%s", keyed, words, got)
			}
		}
	}
}
