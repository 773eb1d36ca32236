package draw

import (
	"io"
	"math"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/charmbracelet/lipgloss"
	"pgregory.net/rapid"

	"example.org/headwatch/internal/ui/palette"
)

var (
	plainPen = Pen{Palette: palette.New(lipgloss.NewRenderer(io.Discard), false)}
	asciiPen = Pen{Palette: palette.New(lipgloss.NewRenderer(io.Discard), true)}
)

func TestPads(t *testing.T) {
	for _, tt := range []struct{ got, want string }{
		{plainPen.Left("COP 1", 8), "COP 1   "},
		{plainPen.Right("9.1", 6), "   9.1"},
		{plainPen.Left("COP number 1", 8), "COP num…"},
		{asciiPen.Left("COP number 1", 8), "COP num~"},
		{plainPen.Left("abc", 1), "a"},
		{plainPen.Left("abc", 0), ""},
		{plainPen.Left("a\x1b[2Jb\n", 12), "a [2Jb      "},
		{plainPen.Ends("left", "right", 12), "left   right"},
		{plainPen.Ends("too long for both", "right", 12), "too l… right"},
		{asciiPen.Right("±1", 4), " +-1"},
	} {
		if tt.got != tt.want {
			t.Errorf("%q, want %q", tt.got, tt.want)
		}
	}
}

func TestBar(t *testing.T) {
	for _, tt := range []struct {
		name         string
		value, limit float64
		width        int
		want, plain  string
	}{
		{"half", 4.25, 8.5, 10, "│████    │", "|####    |"},
		{"an eighth of a cell more", 0.5 + 1./64, 1, 10, "│████▎   │", "|####    |"},
		{"full", 8.5, 8.5, 10, "│████████│", "|########|"},
		{"over", 12, 8.5, 6, "│████│", "|####|"},
		{"nothing", 0, 8.5, 6, "│    │", "|    |"},
		{"below", -3, 8.5, 6, "│    │", "|    |"},
		{"not known", math.NaN(), 8.5, 6, "│    │", "|    |"},
		{"no limit", 3, math.NaN(), 6, "│    │", "|    |"},
		{"limit of nothing", 3, 0, 6, "│    │", "|    |"},
		{"no room", 3, 4, 2, "  ", "  "},
		{"less than none", 3, 4, -2, "", ""},
	} {
		if got := plainPen.Bar(tt.value, tt.limit, tt.width); got != tt.want {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
		}
		if got := asciiPen.Bar(tt.value, tt.limit, tt.width); got != tt.plain {
			t.Errorf("%s, plain: %q, want %q", tt.name, got, tt.plain)
		}
	}
}

func TestWindow(t *testing.T) {
	lines := strings.Fields("a b c d e")
	for _, tt := range []struct {
		top, height int
		want        string
	}{
		{0, 5, "a b c d e"},
		{0, 9, "a b c d e"},
		{0, 3, "a b ↓ 3 more below"},
		{1, 3, "↑ 2 more above c ↓ 2 more below"},
		{2, 3, "↑ 3 more above d e"},
		{99, 3, "↑ 3 more above d e"},
		{-4, 3, "a b ↓ 3 more below"},
		{0, 0, ""},
		{0, -1, ""},
	} {
		if got := strings.Join(plainPen.Window(lines, tt.top, tt.height), " "); got != tt.want {
			t.Errorf("from %d, %d high: %q, want %q", tt.top, tt.height, got, tt.want)
		}
	}
}

func TestWrap(t *testing.T) {
	got := plainPen.Wrap("Slow all pumps at once;  still rising:\ntrip them", 16)
	if want := "Slow all pumps|at once; still|rising: trip|them"; strings.Join(got, "|") != want {
		t.Errorf("%q, want %q", strings.Join(got, "|"), want)
	}
}

func TestBeside(t *testing.T) {
	got := Beside([]string{"ab", "abcdef"}, []string{"x", "y", "z"}, 4)
	if want := "ab  x|abcdy|    z"; strings.Join(got, "|") != want {
		t.Errorf("%q, want %q", strings.Join(got, "|"), want)
	}
}

// Whatever the text and the size: never more cells than asked for, and valid
// text. Signs that join the one before aside, it is just as many.
func TestSizesHold(t *testing.T) {
	letters := rapid.StringOf(rapid.RuneFrom([]rune("aÄ9 .±³–‹船\n\t\x1b")))
	rapid.Check(t, func(t *rapid.T) {
		width, height := rapid.IntRange(-2, 40).Draw(t, "width"), rapid.IntRange(-2, 5).Draw(t, "height")
		usual, any := letters.Draw(t, "letters"), rapid.String().Draw(t, "any")
		for _, p := range []Pen{plainPen, asciiPen} {
			for _, pad := range []func(string, int) string{p.Left, p.Right, func(s string, w int) string { return p.Ends(s, s, w) }} {
				if got := pad(usual, width); lipgloss.Width(got) != max(width, 0) {
					t.Fatalf("%q is %d wide, want %d", got, lipgloss.Width(got), width)
				}
				if got := pad(any, width); lipgloss.Width(got) > max(width, 0) || !utf8.ValidString(got) {
					t.Fatalf("%q is %d wide, want %d at most", got, lipgloss.Width(got), width)
				}
			}
		}
		cut := Cut(strings.Repeat(any+"\n", 3), width, height)
		if w, h := lipgloss.Size(cut); w > max(width, 0) || h > max(height, 1) || !utf8.ValidString(cut) {
			t.Fatalf("%q is %d×%d, want %d×%d", cut, w, h, width, height)
		}
	})
}
