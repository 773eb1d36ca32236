package palette

import (
	"io"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/charmbracelet/lipgloss"
	"pgregory.net/rapid"
)

// luminance returns the relative luminance of a colour, 0 to 1.
//
// Source: W3C, Web Content Accessibility Guidelines 2.1, "relative luminance".
func luminance(r, g, b uint8) float64 {
	linear := func(c uint8) float64 {
		s := float64(c) / 255
		if s <= 0.04045 {
			return s / 12.92
		}
		return math.Pow((s+0.055)/1.055, 2.4)
	}
	return 0.2126*linear(r) + 0.7152*linear(g) + 0.0722*linear(b)
}

// contrast is the contrast ratio of the same source.
func contrast(a, b float64) float64 { return (max(a, b) + 0.05) / (min(a, b) + 0.05) }

func ofHex(t *testing.T, s string) float64 {
	v, err := strconv.ParseUint(strings.TrimPrefix(s, "#"), 16, 32)
	if err != nil {
		t.Fatal(err)
	}
	return luminance(uint8(v>>16), uint8(v>>8), uint8(v))
}

// ofIndex returns the luminance of a colour of the 256, as xterm has them:
// 16 to 231 a cube of six steps, 232 to 255 greys.
func ofIndex(t *testing.T, s string) float64 {
	i, err := strconv.Atoi(s)
	if err != nil || i < 16 {
		t.Fatalf("colour %q: want one of 16 to 255, the others are the user's own", s)
	}
	if i >= 232 {
		grey := uint8(8 + 10*(i-232))
		return luminance(grey, grey, grey)
	}
	step := [6]uint8{0, 95, 135, 175, 215, 255}
	i -= 16
	return luminance(step[i/36], step[i/6%6], step[i%6])
}

// 4.5 is what the same guidelines want of text (1.4.3). The background of a
// terminal may be black or white, and is not asked for.
func TestContrast(t *testing.T) {
	for _, tt := range []struct {
		name   string
		on, of []colour
	}{
		{"accent", []colour{black, white}, []colour{teal}},
		{"dim", []colour{black, white}, []colour{grey}},
		{"alarm", []colour{red}, []colour{white}},
		{"warning", []colour{yellow}, []colour{black}},
	} {
		for _, of := range tt.of {
			for _, on := range tt.on {
				if got := contrast(ofHex(t, of.TrueColor), ofHex(t, on.TrueColor)); got < 4.5 {
					t.Errorf("%s: contrast %.2f of %s on %s", tt.name, got, of.TrueColor, on.TrueColor)
				}
				if got := contrast(ofIndex(t, of.ANSI256), ofIndex(t, on.ANSI256)); got < 4.5 {
					t.Errorf("%s: contrast %.2f of %s on %s", tt.name, got, of.ANSI256, on.ANSI256)
				}
			}
		}
	}
}

func env(pairs ...string) func(string) string {
	return func(name string) string {
		for i := 0; i < len(pairs); i += 2 {
			if pairs[i] == name {
				return pairs[i+1]
			}
		}
		return ""
	}
}

func TestASCIIOnly(t *testing.T) {
	for _, tt := range []struct {
		name   string
		system string
		env    func(string) string
		want   bool
	}{
		{"nothing set", "linux", env(), true},
		{"UTF-8", "linux", env("LANG", "en_GB.UTF-8"), false},
		{"utf8", "linux", env("LANG", "C.utf8"), false},
		{"Latin 1", "linux", env("LANG", "de_DE.ISO-8859-1"), true},
		{"LC_ALL first", "linux", env("LC_ALL", "C", "LANG", "en_GB.UTF-8"), true},
		{"LC_CTYPE before LANG", "linux", env("LC_CTYPE", "C.UTF-8", "LANG", "C"), false},
		{"dumb", "linux", env("TERM", "dumb", "LANG", "C.UTF-8"), true},
		{"Windows sets none", "windows", env(), false},
		{"dumb on Windows", "windows", env("TERM", "dumb"), true},
	} {
		if got := asciiOnly(tt.system, tt.env); got != tt.want {
			t.Errorf("%s: ASCII only %v, want %v", tt.name, got, tt.want)
		}
	}
}

func TestPlainText(t *testing.T) {
	p := New(lipgloss.NewRenderer(io.Discard), true)
	for _, tt := range []struct{ in, want string }{
		{"2,280 ±320 m³/h", "2,280 +-320 m3/h"},
		{"≥ 2,630", ">= 2,630"},
		{"– (0–900)", "- (0-900)"},
		{"‹9.79›▏", "<9.79>_"},
		{"│██▌ │", "|### |"},
		{"MT Øresund", "MT ?resund"},
		{"\x1b[1mplain", "\x1b[1mplain"},
	} {
		if got := p.Text(tt.in); got != tt.want {
			t.Errorf("%q became %q, want %q", tt.in, got, tt.want)
		}
	}
	for _, sign := range append(BarParts[:], Rule, Cursor, Focus, GhostOpen, GhostEnd, BarEnd, BarFull, Hatch, Cut, More, Less) {
		if got := p.Text(sign); strings.Contains(got, "?") || lipgloss.Width(got) != 1 {
			t.Errorf("sign %q became %q: want one plain character", sign, got)
		}
	}
	if utf8 := (Palette{}); utf8.Text("±") != "±" {
		t.Error("a terminal that shows all got something else")
	}
}

func TestPlainTextIsASCII(t *testing.T) {
	p := New(lipgloss.NewRenderer(io.Discard), true)
	rapid.Check(t, func(t *rapid.T) {
		got := p.Text(rapid.String().Draw(t, "s"))
		if !isASCII(got) || p.Text(got) != got {
			t.Fatalf("%q", got)
		}
	})
}

func TestColours(t *testing.T) {
	t.Setenv("NO_COLOR", "")
	t.Setenv("CLICOLOR_FORCE", "1") // as a terminal of 16 colours
	t.Setenv("TERM", "xterm")
	p := New(lipgloss.NewRenderer(io.Discard), false)
	for _, tt := range []struct {
		name  string
		style lipgloss.Style
		want  string // ECMA-48, 8.3.117: 1 bold, 30 black, 36 cyan, 41 red, 43 yellow; 97, as in aixterm, bright white
	}{
		{"accent", p.Accent, "\x1b[1;36mx\x1b[0m"},
		{"dim has no grey in 16 colours", p.Dim, "x"},
		{"alarm", p.Alarm, "\x1b[1;97;41mx\x1b[0m"},
		{"warning", p.Warning, "\x1b[30;43mx\x1b[0m"},
	} {
		if got := tt.style.Render("x"); got != tt.want {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
		}
	}
	t.Setenv("NO_COLOR", "1")
	for _, s := range []lipgloss.Style{Detect(io.Discard, env()).Alarm, Detect(io.Discard, env()).Warning} {
		if got := s.Render("x"); got != "x" {
			t.Errorf("with NO_COLOR %q", got)
		}
	}
}
