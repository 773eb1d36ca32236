package ui

import (
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/charmbracelet/lipgloss"

	"example.org/headwatch/internal/ui/palette"
	"example.org/headwatch/internal/watch"
)

var update = flag.Bool("update", false, "rewrite the goldens")

// look is how a golden's terminal shows things.
type look uint8

const (
	mono look = iota
	ascii
	colour // of 16
)

func (l look) palette(t *testing.T) palette.Palette {
	t.Setenv("NO_COLOR", "")
	t.Setenv("TERM", "xterm")
	t.Setenv("CLICOLOR_FORCE", map[look]string{colour: "1"}[l])
	return palette.New(lipgloss.NewRenderer(io.Discard), l == ascii)
}

// TestGoldens compares whole frames with testdata/*.golden, which were read by
// eye; the words are those that a change must not lose.
func TestGoldens(t *testing.T) {
	shown := func(pic func() watch.Picture) func(*bench) {
		return func(b *bench) { b.m.picture, b.m.greeting = pic(), false }
	}
	press := func(keys string) func(*bench) { return func(b *bench) { b.press(keys) } }
	const keyed = "F2 1310 Enter .6 Enter = 1300 Enter Enter 9.4"
	for _, tt := range []struct {
		name          string
		width, height int
		look          look
		settings      []setting
		do            func(*bench)
		words         string // separated by bars
	}{
		{"start", 80, 24, mono, nil, func(*bench) {}, "Advice only|A scratch copy of the demo: figures keyed stay|nothing over a limit at the readings of 14:23|[n now]"},
		{"now", 80, 24, mono, nil, shown(handMade), "FICTIONAL SHIP|running|poorly readable|2,280 ±320|1,100 (600–1,500)|1.30 left|read 14:20–14:23, 54 min ago|15:23, in 6 min"},
		{"now", 120, 40, mono, nil, shown(handMade), "10.34|2h12"},
		{"now-over", 80, 24, mono, nil, shown(overLimit), "ALARM|+2 more|OVER by 0.12|ABOVE CURVE|– (0–900)|BEYOND CURVE|≥2,630|2h02 old|15:23, in 6 min"},
		{"now-over", 120, 40, mono, nil, shown(overLimit), "WARNING|CAUTION|Slow all pumps|no vapour pressure"},
		{"now-over-colour", 80, 24, colour, nil, shown(overLimit), "ALARM|OVER by 0.12"},
		{"now-over-ascii", 80, 24, ascii, nil, shown(overLimit), "ALARM|- (0-900)|>=2,630"},
		{"now-unread", 80, 24, mono, nil, shown(unread), "flow not known: COP 3|stopped|not read|of 8.50: not known|OVERDUE by 25 min"},
		{"now-training", 80, 24, mono, []setting{training}, press("F1"), "TRAINING - SIMULATED SHIP"},
		{"now-aged", 80, 24, mono, nil, shown(aged), "oldest 12:05|1.30 left, 3h12 old|470 left, 3h12 old|54 min ago; oldest 12:05|4,830 ±40|12:20–13:20, 1h57 old|to pump, 1h55 old"},
		{"now-aged-ascii", 80, 24, ascii, nil, shown(aged), "1.30 left, 3h12 old"},
		{"now-readonly", 80, 24, mono, []setting{readOnly}, press("F1"), "READ-ONLY"},
		{"readings", 80, 24, mono, nil, press("F2"), "‹0.62›|[r readings]|Nothing keyed yet|L logs the round"},
		{"readings-fresh", 80, 24, mono, []setting{fresh}, press("F2"), "– not read"},
		{"readings-beyond", 80, 24, ascii, nil, press("F2 Tab Tab 6 L L Tab Tab 6.1 Enter Tab Tab 19 Enter .3 Enter -11 Enter"), ">="},
		{"readings-aged", 80, 24, mono, []setting{secondRound}, press("F2"), "‹0.48› 56m|‹10.02› 54m"},
		{"readings-typing", 80, 24, mono, nil, press(keyed), "▸9.4▏ ‹9.02›|not read|= 9.04|1310 ‹1300›|5 figures not yet logged"},
		{"readings-typing", 120, 40, mono, nil, press(keyed), "logged, newest first|= 1300 rpm"},
		{"readings-typing-colour", 80, 24, colour, nil, press(keyed), "9.4▏"},
		{"readings-doubt", 80, 24, mono, nil, press("F2 Tab Tab 4.5 Enter L"), "▸4.5? ‹9.04›|more than 20 % from 9.04 bar|1 doubt: L again to log as it is"},
		{"readings-fault", 80, 24, ascii, []setting{training}, press("F2 Tab 9.x"), `>9.x_!|unknown unit "x"`},
		{"readings-notlogged", 80, 24, mono, nil, func(b *bench) {
			b.log.fault = os.ErrPermission
			b.press("F2 1310 Enter L")
		}, "NOT LOGGED: permission denied. Nothing typed is lost; L tries again."},
		{"readings-logged", 80, 24, mono, nil, press("F2 1310 Enter L"), "logged 15:19, entry 6|15:17    6  COP 1  1310 rpm"},
		{"readings-line", 80, 24, mono, nil, press("F2 /"), "/ ▏|2 1300 .6 9.1"},
		{"readings-readonly", 80, 24, mono, []setting{readOnly}, press("F2"), "READ-ONLY, following the log: another running instance"},
		{"now-broken", 80, 24, mono, []setting{brokenLog}, press("F1"), "line 214"},
		{"readings-broken", 80, 24, mono, []setting{brokenLog}, press("F2"), "line 214"},
		{"help", 80, 24, mono, nil, press("?"), "advises only; it controls nothing|more below|Esc close help"},
		{"help", 120, 100, mono, nil, press("?"), "likely|certain|1h05 old"},
		{"small", 20, 5, mono, nil, func(*bench) {}, "window too small"},
		{"none", 0, 0, mono, nil, func(b *bench) { b.m.width, b.m.height = 0, 0 }, ""},
	} {
		name := filepath.Join("testdata", fmt.Sprintf("%dx%d-%s.golden", tt.width, tt.height, tt.name))
		t.Run(filepath.Base(name), func(t *testing.T) {
			b := benchWith(t, t.TempDir(), tt.look.palette(t), tt.settings...).size(tt.width, tt.height)
			tt.do(b)
			got := b.m.View()
			compare(t, name, got)
			if w, h := lipgloss.Size(got); w > tt.width || h > max(tt.height, 1) {
				t.Errorf("the frame is %d×%d", w, h)
			}
			for word := range strings.SplitSeq(tt.words, "|") {
				if !strings.Contains(got, word) {
					t.Errorf("%q is not in\n%s", word, got)
				}
			}
			if tt.look == ascii && strings.ContainsFunc(got, func(r rune) bool { return r > 126 }) {
				t.Errorf("not plain ASCII:\n%s", got)
			}
			if tt.look != colour && strings.Contains(got, "\x1b") {
				t.Errorf("colours without a terminal for them:\n%q", got)
			}
		})
	}
}

func compare(t *testing.T, name, got string) {
	t.Helper()
	if *update {
		if err := os.WriteFile(name, []byte(got+"\n"), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if got+"\n" != string(want) {
		t.Errorf("not as in %s (-update rewrites it):\n%s", name, got)
	}
}
