package draw

import (
	"fmt"
	"strings"
	"unicode"

	"github.com/charmbracelet/lipgloss"

	"example.org/headwatch/internal/ui/palette"
)

// Cut returns the part of s that fits into width × height cells.
func Cut(s string, width, height int) string {
	if width <= 0 || height <= 0 {
		return "" // Lip Gloss reads 0 as "no limit"
	}
	return lipgloss.NewStyle().MaxWidth(width).MaxHeight(height).Render(s)
}

// Left returns s in width cells, cut with a sign where it is longer. s carries
// no colours.
func (p Pen) Left(s string, width int) string {
	s = p.clip(s, width)
	return s + blank(width-lipgloss.Width(s))
}

// Right is Left with s at the right.
func (p Pen) Right(s string, width int) string {
	s = p.clip(s, width)
	return blank(width-lipgloss.Width(s)) + s
}

// Ends returns left and right at the two ends of width cells; left is cut when
// there is no room for both. Neither carries colours.
func (p Pen) Ends(left, right string, width int) string {
	right = p.clip(right, width)
	room := width - lipgloss.Width(right)
	return p.Left(p.clip(left, room-1), room) + right
}

// clip returns s as the terminal can show it, in width cells at most.
func (p Pen) clip(s string, width int) string {
	s = p.words(s)
	if lipgloss.Width(s) <= width {
		return s
	}
	if width <= 1 {
		return Cut(s, width, 1)
	}
	return Cut(s, width-1, 1) + p.Text(palette.Cut)
}

// words returns text of others, such as a name of the ship file, as the
// terminal can show it: a control character in it must not steer the terminal.
func (p Pen) words(s string) string {
	if strings.ContainsFunc(s, unicode.IsControl) {
		s = strings.Map(func(r rune) rune {
			if unicode.IsControl(r) {
				return ' '
			}
			return r
		}, s)
	}
	return p.Text(s)
}

func blank(n int) string { return strings.Repeat(" ", max(n, 0)) }

// Wrap returns s in lines of at most width cells, broken between words.
func (p Pen) Wrap(s string, width int) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(p.words(s)) {
		if line != "" && lipgloss.Width(line)+1+lipgloss.Width(word) > width {
			lines, line = append(lines, line), ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// Window returns height of the lines, from the one at top on, and says how many
// there are above and below.
func (p Pen) Window(lines []string, top, height int) []string {
	if len(lines) <= height || height <= 0 {
		return lines[:min(len(lines), max(height, 0))]
	}
	top = min(max(top, 0), Scrolls(len(lines), height))
	shown := append([]string(nil), lines[top:top+height]...)
	if below := len(lines) - top - height; below > 0 {
		shown[height-1] = p.Dim.Render(p.Text(fmt.Sprintf("%s %d more below", palette.More, below+1)))
	}
	if top > 0 {
		shown[0] = p.Dim.Render(p.Text(fmt.Sprintf("%s %d more above", palette.Less, top+1)))
	}
	return shown
}

// Scrolls returns how far the top of a Window can go.
func Scrolls(lines, height int) int { return max(lines-height, 0) }

// Beside puts two blocks side by side, the left one width cells wide.
func Beside(left, right []string, width int) []string {
	var out []string
	for i := range max(len(left), len(right)) {
		line := ""
		if i < len(left) {
			line = Cut(left[i], width, 1)
		}
		if i < len(right) {
			line += blank(width-lipgloss.Width(line)) + right[i]
		}
		out = append(out, line)
	}
	return out
}
