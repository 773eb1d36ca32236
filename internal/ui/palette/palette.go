package palette

import (
	"io"
	"runtime"
	"strings"

	"github.com/charmbracelet/lipgloss"
)

func init() { lipgloss.SetHasDarkBackground(true) }

// Palette is what a terminal can show. The zero Palette shows plain UTF-8 text.
type Palette struct {
	Accent  lipgloss.Style // keys, the field in focus
	Dim     lipgloss.Style // figures of before, units, rules
	Strong  lipgloss.Style // what matters most of a line
	Alarm   lipgloss.Style // of an alarm and of what is not logged, nothing else
	Warning lipgloss.Style // of a warning, a doubt and a mode that is not the usual one

	ascii bool
}

// colour is one colour in the three depths that terminals have. Those of the
// text have a contrast of 4.5 and more on black and on white alike, since the
// background is not known. In 16 colours that can't be had, so that some are
// left out there.
type colour = lipgloss.CompleteColor

var (
	teal   = colour{TrueColor: "#008290", ANSI256: "29", ANSI: "6"}
	grey   = colour{TrueColor: "#757575", ANSI256: "243"}
	black  = colour{TrueColor: "#000000", ANSI256: "16", ANSI: "0"}
	white  = colour{TrueColor: "#ffffff", ANSI256: "231", ANSI: "15"}
	red    = colour{TrueColor: "#b00000", ANSI256: "124", ANSI: "1"}
	yellow = colour{TrueColor: "#ffd700", ANSI256: "220", ANSI: "3"}
)

// New returns the palette of a terminal of which r knows the colours; ascii
// says that it shows no other characters.
func New(r *lipgloss.Renderer, ascii bool) Palette {
	r.SetHasDarkBackground(true)
	return Palette{
		Accent:  r.NewStyle().Foreground(teal).Bold(true),
		Dim:     r.NewStyle().Foreground(grey),
		Strong:  r.NewStyle().Bold(true),
		Alarm:   r.NewStyle().Foreground(white).Background(red).Bold(true),
		Warning: r.NewStyle().Foreground(black).Background(yellow),
		ascii:   ascii,
	}
}

// Detect returns the palette of the terminal that out is. It goes by the
// environment and asks the terminal nothing.
func Detect(out io.Writer, getenv func(string) string) Palette {
	return New(lipgloss.NewRenderer(out), asciiOnly(runtime.GOOS, getenv))
}

// asciiOnly reports whether a terminal is not known to show more than ASCII.
func asciiOnly(system string, getenv func(string) string) bool {
	if getenv("TERM") == "dumb" {
		return true
	}
	for _, name := range []string{"LC_ALL", "LC_CTYPE", "LANG"} { // the first that is set counts, as POSIX says
		if locale := strings.ToLower(getenv(name)); locale != "" {
			return !strings.Contains(locale, "utf-8") && !strings.Contains(locale, "utf8")
		}
	}
	return system != "windows" // which sets none, and shows UTF-8
}
